"""All places for one more stop in the next days, ranked by the harm they do, shown before choosing.

Only rounds that are planned count, and of today only what is still to come.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from servicedesk.desk.day_problem import day_problem
from servicedesk.desk.demand import Demand, Times, Wanted, WantedJob, learned_times
from servicedesk.desk.office import Desk
from servicedesk.desk.period_errands import DayChance, open_days, wanted_of
from servicedesk.desk.places import located, office_position
from servicedesk.desk.usual import SQUEEZE_DAYS
from servicedesk.desk.windows import current_windows
from servicedesk.records import company_rows
from servicedesk.records import planning_rows as rows
from servicedesk.records.company import Technician
from servicedesk.routes.plan import CrewDay
from servicedesk.routes.problem import Crew, DayProblem, Stop
from servicedesk.routes.squeeze_days import OpenRound, SqueezeOption, squeeze_options
from servicedesk.routes.timing import time_round
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

_CALL = "call"


@dataclass(frozen=True, slots=True, kw_only=True)
class LaterStop:
    """A stop after the new one: when it begins now and then, and how late that is for a promise."""

    address: str
    now_min: int
    then_min: int
    late_min: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PutOff:
    """A visit left out for the new stop, and where it would go: None and "" for nowhere yet."""

    visit_id: int
    address: str
    to_day: date | None
    to_technician: str
    begin_min: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Squeezed:
    """One way to squeeze the stop in. `harm_min` adds all harm up, in minutes of road.

    `position`: before which stop of the whole round it stands, counted from 0 without the one
    put off. `later`: every stop that begins later. `after`: the address before it, "" at first.
    """

    day: date
    technician_id: int
    technician: str
    position: int
    after: str
    begin_min: int
    leave_min: int
    extra_road_min: int
    extra_overtime_min: int
    home_min: int
    later: tuple[LaterStop, ...]
    keeps_promise: bool
    breaks: tuple[str, ...]
    put_off: PutOff | None
    harm_min: int


@dataclass(frozen=True, slots=True)
class SqueezePage:
    """The ways, best first; `why_none` is one sentence where there are none."""

    address: str
    ways: tuple[Squeezed, ...]
    n_rounds: int
    why_none: str = ""


@dataclass(frozen=True, slots=True)
class _Round:
    """One round still open: what it stands for, and what lies behind it."""

    day: date
    technician: Technician
    now: CrewDay
    open: OpenRound
    n_past: int


def squeeze(
    desk: Desk,
    site_id: int,
    *,
    days: int = SQUEEZE_DAYS,
    kind: str = "callback",
    by_at: datetime | None = None,
    call_id: int | None = None,
) -> SqueezePage:
    """Every way to put a stop at a site on the rounds of the next `days` working days.

    Today counts as the first. `by_at` is the promise; a visit made for `call_id` already is left
    away. One option leaves a visit out that is neither told nor held and whose window goes on.
    Reads only. Raises Trouble for a site that is not there.
    """
    with desk.store.read() as session:
        sites = rows.site_places(session)
        wanted_days = _days(desk, days)
        planned = {day: rows.visits_of_day(session, day) for day in wanted_days}
        written = {day: rows.rounds_on(session, day) for day in wanted_days}
        people = {
            day: [t for t in company_rows.technicians(session, day) if t.id not in off]
            for day in wanted_days
            for off in [company_rows.days_off(session, day)]
        }
        owed = rows.owed_of(
            session,
            [j.owed_id for found in planned.values() for v in found for j in v.jobs if j.owed_id],
        )
        closed = rows.closed_spans(session, site_id)
    if site_id not in sites:
        raise Trouble(say("There is no site with the key {n}.", n=site_id))
    address = sites[site_id].address
    times = learned_times(desk.store)
    last_days = _last_days(desk)
    spots = located(desk, sites)
    on_rounds = {
        day: [
            v for v in planned[day]
            if v.site_id in sites and v.round_id is not None
            and not any(j.call_id is not None and j.call_id == call_id for j in v.jobs)
        ]
        for day in wanted_days
    }  # fmt: skip
    stops = [_wanted(v, times, owed) for visits in on_rounds.values() for v in visits]
    names = {_CALL: address} | {w.id: sites[w.site_id].address for w in stops}
    new = _new_stop(site_id, kind, times)
    open_then = open_days(
        {day: DayChance() for day in wanted_days}, sites[site_id], closed.get(site_id, ()),
        new.service_min,
    )  # fmt: skip
    team = {t.id: t for day in wanted_days for t in people[day]}
    # One table of roads for all days, so that a stop can be timed on any of them.
    problem = day_problem(
        desk, desk.today, [*stops, new], list(team.values()),
        Demand(day=desk.today, wanted=(), closed=(), windows=(), sites=sites), spots,
        office_position(desk, spots),
    )  # fmt: skip
    found: list[_Round] = []
    for number, day in enumerate(wanted_days):
        leads = {r.lead_id for r in written[day]}
        at_work = [t for t in people[day] if t.id in leads and day in open_then]
        found += _open_rounds(desk, day, number, on_rounds[day], problem, at_work, by_at, last_days)
    if not found:
        none = say("No rounds are planned in these days on which the site is open.")
        return SqueezePage(address, (), 0, none)
    options = squeeze_options(_with_homes([one.open for one in found], last_days, found))
    by_id = {one.open.id: one for one in found}
    ways = tuple(_way(option, by_id, names) for option in options)
    none = (
        "" if ways else say("No round of these days can take it without breaking hours or shifts.")
    )
    return SqueezePage(address, ways, len(found), none)


def _days(desk: Desk, n: int) -> tuple[date, ...]:
    """Today if it is worked on, and the next working days, `n` in all."""
    found: list[date] = []
    for ahead in range(10 * n + 30):
        day = desk.today + timedelta(days=ahead)
        if desk.works_on(day):
            found.append(day)
        if len(found) == n:
            break
    return tuple(found)


def _last_days(desk: Desk) -> dict[int, date]:
    """The last day in time of each planned inspection, by visit."""
    found: dict[int, date] = {}
    for window in current_windows(desk):
        if window.planned_visit_id is not None:
            known = found.get(window.planned_visit_id)
            closes = window.window.closes_on
            found[window.planned_visit_id] = closes if known is None else min(known, closes)
    return found


def _wanted(visit: rows.VisitRow, times: Times, owed: Mapping[int, rows.WaitingOwed]) -> Wanted:
    jobs = [
        WantedJob(
            kind=j.kind, id=j.id, system_id=j.system_id, call_id=j.call_id, owed_id=j.owed_id,
            owed=owed.get(j.owed_id) if j.owed_id else None,
        )
        for j in visit.jobs
    ]  # fmt: skip
    one = wanted_of(f"v{visit.id}", visit.site_id, visit, jobs, times)
    return replace(one, prize_min=None)


def _new_stop(site_id: int, kind: str, times: Times) -> Wanted:
    one = wanted_of(_CALL, site_id, None, [WantedJob(kind=kind)], times)
    return replace(one, prize_min=None)


def _open_rounds(
    desk: Desk,
    day: date,
    number: int,
    visits: Sequence[rows.VisitRow],
    problem: DayProblem,
    at_work: Sequence[Technician],
    by_at: datetime | None,
    last_days: Mapping[int, date],
) -> list[_Round]:
    call = _as_promised(desk, problem.stop_of[_CALL], day, by_at)
    found = []
    for lead in at_work:
        own = [v for v in visits if v.lead_id == lead.id]
        if not own:
            continue
        crew = problem.crew_of[str(lead.id)]
        if day != desk.today:  # what is under way today says nothing of other days
            crew = replace(crew, shift_from_min=lead.day_from_min)
        own.sort(key=lambda v: (v.place or 0, v.id))
        order = [problem.stop_of[f"v{v.id}"] for v in own]
        now = time_round(crew, order, problem.travel)
        n_past, crew_now = _from_now(desk, day, crew, own, now)
        if crew_now is None:
            continue
        may_wait = {
            f"v{v.id}": frozenset[str]()
            for v in own[n_past:]
            if not (v.told or v.held or v.promise_until_min) and _can_wait(v, day, last_days)
        }
        found.append(
            _Round(
                day=day,
                technician=lead,
                now=now,
                open=OpenRound(
                    id=f"{day.isoformat()}/{lead.id}", day=number, crew=crew_now,
                    order=tuple(order[n_past:]), stop=call, travel=problem.travel,
                    may_wait=may_wait,
                    too_late=by_at is not None and day > desk.clock.day_of(by_at),
                ),
                n_past=n_past,
            )
        )  # fmt: skip
    return found


def _as_promised(desk: Desk, stop: Stop, day: date, by_at: datetime | None) -> Stop:
    """The new stop on a day: due by the promise's minute on its day."""
    if by_at is None or day != desk.clock.day_of(by_at):
        return stop
    return replace(stop, promise_until_min=desk.clock.minute_of(by_at))


def _from_now(
    desk: Desk, day: date, crew: Crew, own: Sequence[rows.VisitRow], now: CrewDay
) -> tuple[int, Crew | None]:
    """How many stops are behind a crew, and the crew as it is now; None after its shift."""
    if day != desk.today:
        return 0, crew
    minute = desk.clock.minute_of_day()
    n_past = 0
    for n, (visit, stop) in enumerate(zip(own, now.stops, strict=True), start=1):
        if visit.arrived_at is not None or stop.begin_min <= minute:
            n_past = n
    free = max(minute, crew.shift_from_min)
    if n_past:
        left_at = own[n_past - 1].left_at
        leave = now.stops[n_past - 1].leave_min
        free = max(minute, desk.clock.minute_of(left_at) if left_at else leave)
        crew = replace(crew, start_place=now.stops[n_past - 1].place)
    if free >= crew.shift_until_min:
        return n_past, None
    had_break = now.pause is not None and now.pause.end_min <= free
    return n_past, replace(crew, shift_from_min=free, break_min=0 if had_break else crew.break_min)


def _can_wait(visit: rows.VisitRow, day: date, last_days: Mapping[int, date]) -> bool:
    """Has it nothing but an inspection whose window goes on after the day?"""
    only = visit.jobs and all(j.kind == "inspection" for j in visit.jobs)
    return bool(only) and last_days.get(visit.id, day) > day


def _with_homes(
    opened: Sequence[OpenRound], last_days: Mapping[int, date], found: Sequence[_Round]
) -> list[OpenRound]:
    """Each stop that may wait, with the rounds that could take it before its window closes."""
    day_of = {one.open.id: one.day for one in found}
    result = []
    for one in opened:
        waits = {
            stop_id: frozenset(
                other.id
                for other in opened
                if other.id != one.id and day_of[other.id] <= last_days[int(stop_id[1:])]
            )
            for stop_id in one.may_wait
        }
        result.append(replace(one, may_wait=waits))
    return result


def _way(
    option: SqueezeOption,
    by_id: Mapping[str, _Round],
    names: Mapping[str, str],
) -> Squeezed:
    one = by_id[option.round_id]
    place = option.place
    rest = [s for s in one.now.stops if s.stop_id != option.dropped]
    position = one.n_past + place.position
    begins = {s.stop_id: s.begin_min for s in one.now.stops}
    return Squeezed(
        day=one.day,
        technician_id=one.technician.id,
        technician=one.technician.short_name or one.technician.name.split()[0],
        position=position,
        after=names[rest[position - 1].stop_id] if position else "",
        begin_min=place.begin_min,
        leave_min=place.begin_min + one.open.stop.service_min,
        extra_road_min=place.extra_road_min,
        extra_overtime_min=place.extra_overtime_min,
        home_min=place.home_min,
        later=tuple(
            LaterStop(
                address=names[d.stop_id],
                now_min=begins[d.stop_id],
                then_min=begins[d.stop_id] + d.by_min,
                late_min=d.late_min,
            )
            for d in place.delays
        ),
        keeps_promise=not option.breaks_its_promise,
        breaks=tuple(names[i] for i in place.promises_broken if i != _CALL),
        put_off=_put_off(option, by_id, names),
        harm_min=round(option.harm_min),
    )


def _put_off(
    option: SqueezeOption, by_id: Mapping[str, _Round], names: Mapping[str, str]
) -> PutOff | None:
    if not option.dropped:
        return None
    home = option.new_home
    to = by_id[home.round_id] if home is not None else None
    return PutOff(
        visit_id=int(option.dropped[1:]),
        address=names[option.dropped],
        to_day=to.day if to is not None else None,
        to_technician=(to.technician.short_name or to.technician.name) if to is not None else "",
        begin_min=home.place.begin_min if home is not None else None,
    )
