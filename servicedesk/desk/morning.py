"""The morning's work without a screen: plan what is not planned, look it over, write the papers."""

import os
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

from servicedesk.desk.alerts import look_for_alerts
from servicedesk.desk.morning_alerts import alert_sentence, alerts_to_act_on
from servicedesk.desk.office import Desk
from servicedesk.desk.planning import DayCase, day_case, nobody_works, proposed, take_plan
from servicedesk.desk.room import with_room_used
from servicedesk.desk.sheets import Paper, day_papers
from servicedesk.desk.windows import SiteWindow
from servicedesk.duties.terms import WindowState
from servicedesk.records import company_rows, desk_counts
from servicedesk.records.company_rows import LicenseRow
from servicedesk.records.planning_rows import WaitingCall
from servicedesk.routes.plan import DayPlan
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.reason import Reason
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n
from servicedesk.words.reasons import reasons_text

LICENSE_DAYS = 60
CLOSING_DAYS = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundLine:
    """One round in figures."""

    technician: str
    state: str
    n_stops: int
    road_min: int
    leave_min: int
    home_min: int
    over_min: int  # after the end of the working day
    n_guessed: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Warned:
    """One thing to look at: how pressing (smaller first), its kind, its sentence, where."""

    weight: int
    kind: str
    text: str
    site_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Morning:
    """What `servicedesk morning` says. `papers` are the files written, if any."""

    day: date
    nobody_works: str
    rounds: tuple[RoundLine, ...]
    n_stops: int
    road_min: int
    n_late: int
    n_closing: int
    n_at_risk: int
    n_guessed: int
    n_left_out: int
    planner: str
    warnings: tuple[Warned, ...]
    papers: tuple[Path, ...] = ()

    @property
    def worth_a_look(self) -> tuple[Warned, ...]:
        """The three most pressing things."""
        return self.warnings[:3]


def morning(
    desk: Desk,
    day: date,
    *,
    out: Path | None = None,
    secrets: bool = False,
    progress: Progress = quiet,
) -> Morning:
    """Plan the day if it is not planned, say what is worth looking at, write its papers to `out`.

    Alerts that are newly due are raised first. A second run on the same day changes nothing. On a
    day on which nobody works it says so.
    """
    case = day_case(desk, day)
    if day == desk.today and desk.works_on(day):
        look_for_alerts(desk, with_fleet=True)
    case = _planned(desk, case, progress)
    report = looked_over(desk, case)
    if out is None or not report.rounds:
        return report
    papers = write_papers(day_papers(desk, day, secrets=secrets), out)
    return replace(report, papers=tuple(papers))


def _planned(desk: Desk, case: DayCase, progress: Progress) -> DayCase:
    """The day planned if it was not; on a planned draft, new musts put where there is room."""
    shown = desk.formats.weekday(case.day)
    if not case.problem.crews:
        return case
    if not case.is_planned:
        plan = proposed(desk, case, progress)
        if not any(d.stops for d in plan.days):
            return case
        take_plan(desk, case, plan, what=say("Planned the rounds of {day}", day=shown))
        return day_case(desk, case.day)
    fuller = with_room_used(case)
    if fuller is None:
        return case
    take_plan(desk, case, fuller, what=say("Found room for new stops on {day}", day=shown))
    return day_case(desk, case.day)


def looked_over(desk: Desk, case: DayCase) -> Morning:
    """The day as it stands in the store, in figures and warnings. Reads only."""
    plan = case.stand
    lines = tuple(
        _line(case, plan, crew_id) for crew_id in plan.day_of if plan.day_of[crew_id].stops
    )
    windows = case.demand.windows
    late = [w for w in windows if w.window.state is WindowState.LATE]
    closing = [w for w in windows if _closes_soon(w, case.day)]
    risk = list(_risk(desk, case, plan))
    warnings = [
        *risk,
        *_coming_back(desk),
        *_late(desk, case, late),
        *_closing(desk, case, closing),
        *_left_out(desk, case, plan, {w.site_id for w in risk}),
        *_over_hours(desk, lines),
        *_licenses(desk, case.day),
        *_guessed(lines),
        *_unsent(desk),
    ]
    return Morning(
        day=case.day,
        nobody_works="" if case.problem.crews else nobody_works(desk, case.day, case.off),
        rounds=lines,
        n_stops=sum(line.n_stops for line in lines),
        road_min=sum(line.road_min for line in lines),
        n_late=len(late),
        n_closing=len(closing),
        n_at_risk=len(risk),
        n_guessed=sum(line.n_guessed for line in lines),
        n_left_out=sum(w.kind == "left out" for w in warnings),
        planner=next((r.planner for r in case.rounds.values() if r.planner), ""),
        warnings=tuple(sorted(warnings, key=lambda w: w.weight)),
    )


def _line(case: DayCase, plan: DayPlan, crew_id: str) -> RoundLine:
    day = plan.day_of[crew_id]
    technician = case.technicians[crew_id]
    sites = [case.wanted[s.stop_id].site_id for s in day.stops]
    return RoundLine(
        technician=technician.name,
        state=case.rounds[crew_id].state if crew_id in case.rounds else "draft",
        n_stops=len(day.stops),
        road_min=day.road_min,
        leave_min=day.leave_home_min,
        home_min=day.home_min,
        over_min=max(0, day.home_min - technician.day_until_min),
        n_guessed=sum(case.located[site].is_guessed for site in sites),
    )


def _closes_soon(window: SiteWindow, day: date) -> bool:
    due = window.window.is_due and window.window.state is not WindowState.LATE
    return due and window.window.days_left(day) <= CLOSING_DAYS


def _address(case: DayCase, site_id: int) -> str:
    site = case.demand.sites.get(site_id)
    return site.address if site else say("unknown")


def _risk(desk: Desk, case: DayCase, plan: DayPlan) -> Iterable[Warned]:
    """Promises that the day as it stands would break."""
    for day in plan.days:
        for stop in day.stops:
            if stop.late_min:
                site = case.wanted[stop.stop_id].site_id
                text = say(
                    "{address} is promised and would be {time} late.",
                    address=_address(case, site),
                    time=desk.formats.minutes(stop.late_min),
                )
                yield Warned(weight=0, kind="promise", text=text, site_id=site)
    reasons = {left.stop_id: left.reasons for left in plan.left_out}
    for wanted in case.wanted.values():
        promised = [j.call for j in wanted.jobs if j.call and j.call.promised_by_at]
        due = [c for c in promised if _promised_on(desk, c) <= case.day]
        told = wanted.visit is not None and wanted.visit.told and wanted.visit.arrived_at is None
        if wanted.id in reasons and (due or told):
            why = _why(desk, case, reasons[wanted.id])
            text = say(
                "{address} was promised for this day and has no place: {why}.",
                address=_address(case, wanted.site_id),
                why=why,
            )
            yield Warned(weight=1, kind="promise", text=text, site_id=wanted.site_id)


def _promised_on(desk: Desk, call: WaitingCall) -> date:
    return desk.clock.day_of(call.promised_by_at) if call.promised_by_at else date.max


def _why(desk: Desk, case: DayCase, reasons: tuple[Reason, ...]) -> str:
    names = {i: t.short_name or t.name for i, t in case.technicians.items()}
    names |= {i: _address(case, w.site_id) for i, w in case.wanted.items()}
    return reasons_text(reasons[:1], desk.formats, names)


def _coming_back(desk: Desk) -> Iterable[Warned]:
    alerts = alerts_to_act_on(desk)
    if alerts:
        text = alert_sentence(alerts)
        yield Warned(weight=8, kind="alert", text=text, site_id=alerts[0].site_id)


def _late(desk: Desk, case: DayCase, late: list[SiteWindow]) -> Iterable[Warned]:
    if late:
        worst = max(late, key=lambda w: w.window.days_late)
        text = say_n(
            "{n} inspection is late: {address}, window closed {day}.",
            "{n} inspections are late; the longest at {address}, window closed {day}.",
            len(late),
            address=_address(case, worst.site_id),
            day=desk.formats.day(worst.window.closes_on, near=case.day),
        )
        yield Warned(weight=10, kind="late", text=text, site_id=worst.site_id)


def _closing(desk: Desk, case: DayCase, closing: list[SiteWindow]) -> Iterable[Warned]:
    placed = {case.wanted[s].site_id for s in case.stand.crew_id_of}
    without = [w for w in closing if w.planned_on is None and w.site_id not in placed]
    if without:
        first = min(without, key=lambda w: (w.window.closes_on, w.site_id))
        text = say_n(
            "{n} window closes within a week and has no day: {address}, {day}.",
            "{n} windows close within a week and have no day; first {address}, {day}.",
            len(without),
            address=_address(case, first.site_id),
            day=desk.formats.weekday(first.window.closes_on),
        )
        yield Warned(weight=20, kind="closing", text=text, site_id=first.site_id)


def _left_out(
    desk: Desk, case: DayCase, plan: DayPlan, told: Collection[int | None]
) -> Iterable[Warned]:
    """What found no place; a site told already, as a promise at risk, is not told again."""
    if not case.is_planned:
        return
    for left in plan.left_out:
        wanted = case.wanted[left.stop_id]
        if wanted.site_id in told:
            continue
        closes = [j.window.window.closes_on for j in wanted.jobs if j.window]
        if wanted.prize_min is None or any(c <= case.day for c in closes):
            text = say(
                "{address} found no place: {why}.",
                address=_address(case, wanted.site_id),
                why=_why(desk, case, left.reasons),
            )
            yield Warned(weight=15, kind="left out", text=text, site_id=wanted.site_id)


def _over_hours(desk: Desk, lines: Iterable[RoundLine]) -> Iterable[Warned]:
    for line in lines:
        if line.over_min > 0:
            text = say(
                "{name}'s round ends {time} after the working day.",
                name=line.technician,
                time=desk.formats.minutes(line.over_min),
            )
            yield Warned(weight=30, kind="over hours", text=text)


def _licenses(desk: Desk, day: date) -> Iterable[Warned]:
    with desk.store.read() as session:
        held = company_rows.licenses(session)
        here = {t.id for t in company_rows.technicians(session, day)}
    for row in _latest(held):
        if row.valid_until is None or (row.technician_id or 0) not in here | {0}:
            continue
        last_day = row.valid_until - timedelta(days=1)
        if last_day > day + timedelta(days=LICENSE_DAYS):
            continue
        whose = row.technician or desk.company.name or say("the company")
        shown = desk.formats.day(last_day, near=day)
        if last_day < day:
            text = say(
                "License of {name} ({c}) ran out on {day}.",
                c=row.license_class,
                name=whose,
                day=shown,
            )
            yield Warned(weight=5, kind="license", text=text)
        else:
            text = say(
                "License of {name} ({c}) runs out on {day}.",
                c=row.license_class,
                name=whose,
                day=shown,
            )
            yield Warned(weight=40, kind="license", text=text)


def _latest(held: Iterable[LicenseRow]) -> Iterable[LicenseRow]:
    """Of each holder and class the license that runs longest: a renewed one is no trouble."""
    latest: dict[tuple[int | None, str], LicenseRow] = {}
    for row in held:
        key = (row.technician_id, row.license_class)
        known = latest.get(key)
        if known is None or (row.valid_until or date.max) > (known.valid_until or date.max):
            latest[key] = row
    return sorted(latest.values(), key=lambda row: (row.valid_until or date.max, row.id))


def _guessed(lines: Iterable[RoundLine]) -> Iterable[Warned]:
    some = list(lines)
    n, of = sum(line.n_guessed for line in some), sum(line.n_stops for line in some)
    if n:
        text = say_n(
            "{n} of {of} stops has a guessed place: its times are guesses too.",
            "{n} of {of} stops have a guessed place: their times are guesses too.",
            n,
            of=of,
        )
        yield Warned(weight=35, kind="place guessed", text=text)


def _unsent(desk: Desk) -> Iterable[Warned]:
    with desk.store.read() as session:
        n, oldest = desk_counts.unsent_reports(session)
    if n:
        text = say_n(
            "{n} inspection report was not sent, since {day}.",
            "{n} inspection reports were not sent; the oldest since {day}.",
            n,
            day=desk.formats.day(oldest, near=desk.today),
        )
        yield Warned(weight=25, kind="reports", text=text)


def write_papers(papers: Iterable[Paper], out: Path, *, option: str = "--out FOLDER") -> list[Path]:
    """Write the papers into a folder, each whole or not at all. Raises Trouble if it cannot.

    `option` is what names another place in the shell.
    """
    written = []
    try:
        out.mkdir(parents=True, exist_ok=True)
        for paper in papers:
            path = out / paper.name
            part = path.with_name(path.name + ".part")
            with part.open("wb") as file:
                file.write(paper.data)
                file.flush()
                os.fsync(file.fileno())
            part.replace(path)
            written.append(path)
    except OSError as error:
        raise Trouble(
            say("The papers could not be written to {folder}.", folder=out),
            means=say("What is in the store is safe."),
            do=say(
                "Name a folder that you may write to and that has room: {option}", option=option
            ),
        ) from error
    return written
