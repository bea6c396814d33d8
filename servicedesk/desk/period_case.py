"""Some weeks as the planner sees them: stops, shifts, roads, and what they stand for."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.demand import Times, Wanted, WantedJob, learned_times
from servicedesk.desk.office import Desk
from servicedesk.desk.period_errands import (
    DayChance,
    common_days,
    first_windows,
    inspection_job,
    job_days,
    joined,
    joint_days,
    open_days,
    wanted_of,
    wished_days,
)
from servicedesk.desk.period_problem import USUAL, PeriodSettings, StopFacts, period_problem
from servicedesk.desk.places import Located, located
from servicedesk.desk.windows import SiteWindow, current_windows
from servicedesk.records import period_rows
from servicedesk.records import planning_rows as rows
from servicedesk.records.company import Technician
from servicedesk.records.undo import latest_change_id
from servicedesk.routes.period_problem import PeriodProblem
from servicedesk.values.trouble import Trouble
from servicedesk.words import say


@dataclass(frozen=True, kw_only=True)
class PeriodCase:
    """Everything the planner needs of some weeks. Day n of the problem is `first` + n.

    `stand`: the rounds as they are written, stop ids in order by shift id. `shift_day` and
    `shift_lead` say what a shift stands for; `rounds` are the written rounds by shift id.
    `frozen`: visits of the weeks that the plan leaves where they are (handed out, or with somebody
    who is not planned for). `waiting`: windows that wait for an earlier one of their system.
    """

    first: date
    last: date
    problem: PeriodProblem
    wanted: Mapping[str, Wanted]
    facts: Mapping[str, StopFacts]
    stand: Mapping[str, tuple[str, ...]]
    shift_day: Mapping[str, date]
    shift_lead: Mapping[str, Technician]
    rounds: Mapping[str, rows.RoundRow]
    frozen: tuple[rows.VisitRow, ...]
    waiting: tuple[SiteWindow, ...]
    closed: tuple[int, ...]  # sites of stops without any day on which they can be visited
    sites: Mapping[int, rows.SitePlace]
    located: Mapping[int, Located]
    kept_min: int
    stamp: int  # the latest change this was read at

    def address(self, stop_id: str) -> str:
        """Where a stop is."""
        return self.sites[self.wanted[stop_id].site_id].address


def shift_id(day: date, lead_id: int) -> str:
    """The id of one technician's day."""
    return f"{day.isoformat()}/{lead_id}"


def period_case(
    desk: Desk,
    first: date,
    last: date,
    technicians: Sequence[int] | None = None,
    settings: PeriodSettings = USUAL,
) -> PeriodCase:
    """The weeks `first`..`last` (included) for these technicians (None: all). Reads only.

    Raises Trouble for days that have begun, or a span without a day.
    """
    _refuse(desk, first, last)
    until = last + timedelta(days=1)
    windows = _windows(desk, last)
    with desk.store.read() as session:
        stamp = latest_change_id(session)
        visits = period_rows.visits_between(session, first, until)
        stale = period_rows.visits_between(session, date(1900, 1, 1), desk.today)
        dayless = rows.visits_without_day(session)
        written = period_rows.rounds_between(session, first, until)
        calls = rows.waiting_calls(session)
        owed = rows.waiting_owed(session)
        all_visits = (*visits, *stale, *dayless)
        of_call = rows.calls_of(
            session, [j.call_id for v in all_visits for j in v.jobs if j.call_id]
        )
        of_owed = rows.owed_of(
            session, [j.owed_id for v in all_visits for j in v.jobs if j.owed_id]
        )
        sites = rows.site_places(session)
        closed = rows.closed_spans(session)
        team = period_rows.everybody(session)
        off = period_rows.days_off_between(session, first, until)
    chosen = [t for t in team if technicians is None or t.id in technicians]
    leads = {t.id: t for t in chosen}
    frozen_rounds = {r.id for r in written if r.state != "draft" or r.lead_id not in leads}
    open_shifts = _shifts(desk, first, last, chosen, off, written)
    stays = [v for v in visits if _stays(v, frozen_rounds, open_shifts)]
    gone = {v.id for v in stays}
    replanned = [*(v for v in visits if v.id not in gone), *stale, *dayless]
    times = learned_times(desk.store)
    to_fill, waiting = first_windows(windows, first, last)
    asked = _Asked(desk, first, last, times, sites, closed)
    asked.take_jobs(_jobs(to_fill, calls, owed))
    asked.take_visits([v for v in replanned if v.site_id in sites], windows, of_call, of_owed)
    wanted, days = asked.stops()
    facts = {
        stop_id: StopFacts.of(desk, one, days[stop_id], first, last, settings, open_shifts)
        for stop_id, one in wanted.items()
    }
    spots = located(desk, sites)
    problem, kept_min = period_problem(
        desk, facts, open_shifts, team=team, off=off, sites=sites, spots=spots, first=first,
        settings=settings, times=times,
    )  # fmt: skip
    return PeriodCase(
        first=first,
        last=last,
        problem=problem,
        wanted=wanted,
        facts=facts,
        stand=_stand(wanted, open_shifts),
        shift_day={i: day for i, (day, _) in open_shifts.items()},
        shift_lead={i: lead for i, (_, lead) in open_shifts.items()},
        rounds={shift_id(r.day, r.lead_id): r for r in written if r.id not in frozen_rounds},
        frozen=tuple(stays),
        waiting=tuple(waiting),
        closed=tuple(sorted({wanted[i].site_id for i, found in days.items() if not found})),
        sites=sites,
        located=spots,
        kept_min=kept_min,
        stamp=stamp,
    )


def _refuse(desk: Desk, first: date, last: date) -> None:
    if first <= desk.today:
        raise Trouble(
            say("{day} has begun already.", day=desk.formats.long_day(first)),
            means=say("Today's rounds are planned under Rounds, not with the weeks."),
            do=say("Begin with {day} or later.",
                   day=desk.formats.long_day(desk.today + timedelta(days=1))),
        )  # fmt: skip
    if last < first:
        raise Trouble(say("The weeks end before they begin."), do=say("Choose one week or more."))


def _windows(desk: Desk, last: date) -> tuple[SiteWindow, ...]:
    """Windows of contracts that run today, and of those that run at the end of the weeks only."""
    today = current_windows(desk)
    known = {(w.contract_id, w.system_id) for w in today}
    then = current_windows(desk, day=last)
    return (*today, *(w for w in then if (w.contract_id, w.system_id) not in known))


def _shifts(
    desk: Desk,
    first: date,
    last: date,
    chosen: Sequence[Technician],
    off: Sequence[period_rows.OffRow],
    written: Sequence[rows.RoundRow],
) -> dict[str, tuple[date, Technician]]:
    """Every day of every chosen technician that may be planned, by shift id."""
    taken = {(r.day, who) for r in written if r.state != "draft" for who in (r.lead_id, *r.crew)}
    found: dict[str, tuple[date, Technician]] = {}
    day = first
    while day <= last:
        for one in chosen if desk.works_on(day) else ():
            here = (one.from_on is None or one.from_on <= day) and (
                one.until_on is None or day < one.until_on
            )
            away = any(o.technician_id == one.id and o.from_on <= day < o.until_on for o in off)
            at_work = day.weekday() in one.working_days and not away
            if here and at_work and (day, one.id) not in taken:
                found[shift_id(day, one.id)] = (day, one)
        day += timedelta(days=1)
    return found


def _stays(
    visit: rows.VisitRow, frozen_rounds: set[int], shifts: Mapping[str, tuple[date, Technician]]
) -> bool:
    """Is it left where it is: handed out, another's, or held with somebody who is not there?"""
    if visit.round_id in frozen_rounds:
        return True
    if visit.held and visit.planned_on is not None and visit.held_crew_id is not None:
        return shift_id(visit.planned_on, visit.held_crew_id) not in shifts
    return False


def _jobs(
    windows: Sequence[SiteWindow],
    calls: Sequence[rows.WaitingCall],
    owed: Sequence[rows.WaitingOwed],
) -> dict[int, list[WantedJob]]:
    """Jobs without a visit, by site: calls first, then inspections, then owed work."""
    found: dict[int, list[WantedJob]] = {}
    for call in calls:
        job = WantedJob(kind="callback", system_id=call.system_id, call=call, call_id=call.id)
        found.setdefault(call.site_id, []).append(job)
    for window in windows:
        found.setdefault(window.site_id, []).append(inspection_job(window))
    for work in owed:
        job = WantedJob(kind="owed", system_id=work.system_id, owed=work, owed_id=work.id)
        found.setdefault(work.site_id, []).append(job)
    return found


class _Asked:
    """Gathers stops: visits that exist take along what waits at their site and fits their days."""

    def __init__(
        self,
        desk: Desk,
        first: date,
        last: date,
        times: Times,
        sites: Mapping[int, rows.SitePlace],
        closed: Mapping[int, list[rows.ClosedRow]],
    ) -> None:
        self._desk, self._first, self._last = desk, first, last
        self._times, self._sites, self._closed = times, sites, closed
        self._waiting: dict[int, list[WantedJob]] = {}
        self._wanted: dict[str, Wanted] = {}
        self._days: dict[str, dict[date, DayChance]] = {}

    def take_jobs(self, jobs: Mapping[int, list[WantedJob]]) -> None:
        """What waits without a visit."""
        self._waiting = {site: list(found) for site, found in jobs.items() if site in self._sites}

    def take_visits(
        self,
        visits: Sequence[rows.VisitRow],
        windows: Sequence[SiteWindow],
        calls: Mapping[int, rows.WaitingCall],
        owed: Mapping[int, rows.WaitingOwed],
    ) -> None:
        """What has a visit already; each takes along what waits there and shares a day with it."""
        of_visit = {(w.planned_visit_id, w.system_id): w for w in windows if w.planned_visit_id}
        for visit in visits:
            jobs = [
                WantedJob(
                    kind=job.kind, id=job.id, system_id=job.system_id,
                    contract_id=job.contract_id, ordinal=job.ordinal,
                    window=of_visit.get((visit.id, job.system_id or 0))
                    if job.kind == "inspection" else None,
                    call=calls.get(job.call_id) if job.call_id else None, call_id=job.call_id,
                    owed=owed.get(job.owed_id) if job.owed_id else None, owed_id=job.owed_id,
                )
                for job in visit.jobs
            ]  # fmt: skip
            days = common_days(self._days_of(job) for job in jobs) if jobs else self._any_day()
            left = []
            for job in self._waiting.get(visit.site_id, []):
                both = {} if visit.kept_apart else joint_days(days, self._days_of(job))
                if both:
                    jobs.append(job)
                    days = both
                else:
                    left.append(job)
            if visit.site_id in self._waiting:
                self._waiting[visit.site_id] = left
            one = wanted_of(f"v{visit.id}", visit.site_id, visit, jobs, self._times)
            self._wanted[one.id], self._days[one.id] = one, days

    def stops(self) -> tuple[dict[str, Wanted], dict[str, dict[date, DayChance]]]:
        """All stops, and the days on which each may be made as far as its site is open."""
        for site_id, jobs in self._waiting.items():
            for one, days in joined(site_id, jobs, [self._days_of(j) for j in jobs], self._times):
                self._wanted[one.id], self._days[one.id] = one, days
        opened = {
            stop_id: open_days(
                wished_days(days, self._wanted[stop_id]),
                self._sites[self._wanted[stop_id].site_id],
                self._closed.get(self._wanted[stop_id].site_id, ()),
                self._wanted[stop_id].service_min,
            )
            for stop_id, days in self._days.items()
        }
        return self._wanted, opened

    def _days_of(self, job: WantedJob) -> Mapping[date, DayChance]:
        return job_days(job, self._first, self._last, self._desk)

    def _any_day(self) -> dict[date, DayChance]:
        n = (self._last - self._first).days + 1
        return {self._first + timedelta(days=k): DayChance() for k in range(n)}


def _stand(
    wanted: Mapping[str, Wanted], shifts: Mapping[str, tuple[date, Technician]]
) -> dict[str, tuple[str, ...]]:
    found: dict[str, list[tuple[int, str]]] = {i: [] for i in shifts}
    for one in wanted.values():
        visit = one.visit
        if visit is not None and visit.planned_on is not None and visit.lead_id is not None:
            at = shift_id(visit.planned_on, visit.lead_id)
            if at in found:
                found[at].append((visit.place or 0, one.id))
    return {i: tuple(stop for _, stop in sorted(order)) for i, order in found.items()}
