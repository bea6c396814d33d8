"""The rounds of the next days as they stand, each with the new stop beside it and who may wait."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from servicedesk.desk.day_problem import day_problem
from servicedesk.desk.day_wishes import allows
from servicedesk.desk.demand import Demand, Times, Wanted, WantedJob
from servicedesk.desk.office import Desk
from servicedesk.desk.past_times import past_times
from servicedesk.desk.period_errands import DayChance, open_days, wanted_of
from servicedesk.desk.places import located, office_position
from servicedesk.desk.skills import Staff, abilities, staff_on
from servicedesk.desk.windows import current_windows
from servicedesk.records import period_rows
from servicedesk.records import planning_rows as rows
from servicedesk.records.company import Technician
from servicedesk.routes.plan import CrewDay
from servicedesk.routes.problem import Crew, DayProblem, Stop
from servicedesk.routes.squeeze_days import OpenRound
from servicedesk.routes.timing import time_round
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

NEW_STOP = "call"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What room is asked for: `stop` is wanted, or a call at the site that nobody wrote yet.

    `by_at` is the promise; after `closes_on` a window has closed, before `opens_on` none is open.
    """

    site_id: int
    days: tuple[date, ...]
    stop: Wanted | None = None
    kind: str = "callback"
    by_at: datetime | None = None
    opens_on: date | None = None
    closes_on: date | None = None
    call_id: int | None = None

    def is_new(self, visit: rows.VisitRow) -> bool:
        """Is it the very stop that room is asked for, where it stands now?"""
        if self.stop is not None and self.stop.visit is not None:
            return visit.id == self.stop.visit.id
        return self.call_id is not None and any(j.call_id == self.call_id for j in visit.jobs)


@dataclass(frozen=True, slots=True)
class StoodRound:
    """One round still open: what it stands for, how it runs now, and what lies behind it.

    `now` runs without the new stop; `begins` are those of the round as it is written, `stands_at`
    is where in it the stop stands already and when it begins, None if it does not.
    """

    day: date
    technician: Technician
    now: CrewDay
    begins: Mapping[str, int]
    open: OpenRound
    n_past: int
    stands_at: tuple[int, int] | None


@dataclass(frozen=True, slots=True)
class StoodRounds:
    """The open rounds; addresses by stop id; days on which somebody goes to the site anyway."""

    rounds: tuple[StoodRound, ...]
    names: Mapping[str, str]
    goes_there: tuple[tuple[date, str], ...]


@dataclass(frozen=True, slots=True)
class _Facts:
    """What was read from the store."""

    visits: Mapping[date, list[rows.VisitRow]]
    leads: Mapping[date, frozenset[int]]
    people: Mapping[date, list[Technician]]
    owed: Mapping[int, rows.WaitingOwed]
    sites: Mapping[int, rows.SitePlace]
    closed: list[rows.ClosedRow]
    staff: Staff


def working_days(desk: Desk, n: int) -> tuple[date, ...]:
    """Today if it is worked on, and the next working days, `n` in all."""
    found: list[date] = []
    for ahead in range(10 * n + 30):
        day = desk.today + timedelta(days=ahead)
        if desk.works_on(day):
            found.append(day)
        if len(found) == n:
            break
    return tuple(found)


def stood_rounds(desk: Desk, asked: Asked) -> StoodRounds:
    """The rounds of the days that could take the stop. Raises Trouble for an unknown site."""
    facts = _read(desk, asked)
    times = past_times(desk)
    site = facts.sites[asked.site_id]
    new = _new_stop(asked, times)
    spots = located(desk, facts.sites)
    stops = [_wanted(v, times, facts.owed) for found in facts.visits.values() for v in found]
    team = {t.id: t for people in facts.people.values() for t in people}
    # One table of roads for all days, so that a stop can be timed on any of them.
    problem = day_problem(
        desk, desk.today, [*stops, new], list(team.values()),
        Demand(day=desk.today, wanted=(), closed=(), windows=(), sites=facts.sites), spots,
        office_position(desk, spots), facts.staff,
    )  # fmt: skip
    last_days = _last_days(desk, facts.visits)
    chances = open_days(
        {day: DayChance() for day in asked.days if _is_open(asked, day)}, site, facts.closed,
        new.service_min,
    )  # fmt: skip
    joins, found = [], []
    for number, day in enumerate(asked.days):
        there = [v for v in facts.visits[day] if _joins(asked, v)]
        joins += [(day, _short(team, v.lead_id)) for v in there]
        if day in chances and not there:
            then = _licensed_on(problem, team, facts.staff, day)
            found += _open_rounds(desk, asked, day, number, facts, then, last_days)
    names = {NEW_STOP: site.address} | {w.id: facts.sites[w.site_id].address for w in stops}
    return StoodRounds(_with_homes(found, last_days), names, tuple(joins))


def _read(desk: Desk, asked: Asked) -> _Facts:
    first, until = asked.days[0], asked.days[-1] + timedelta(days=1)
    with desk.store.read() as session:
        visits: dict[date, list[rows.VisitRow]] = {day: [] for day in asked.days}
        for visit in period_rows.visits_on_rounds(session, first, until):
            if visit.planned_on in visits:
                visits[visit.planned_on].append(visit)
        ids = {v.site_id for found in visits.values() for v in found} | {asked.site_id}
        sites = rows.site_places(session, ids)
        if any(site.lat_deg is None for site in sites.values()):
            sites |= rows.site_places(session)  # a place is guessed from its neighbors
        leads: dict[date, set[int]] = {}
        for row in period_rows.rounds_between(session, first, until):
            leads.setdefault(row.day, set()).add(row.lead_id)
        off = period_rows.days_off_between(session, first, until)
        everybody = period_rows.everybody(session)
        owed_ids = [j.owed_id for found in visits.values() for v in found for j in v.jobs]
        owed = rows.owed_of(session, [i for i in owed_ids if i])
        closed = rows.closed_spans(session, asked.site_id)
    if asked.site_id not in sites or sites[asked.site_id].is_ended:
        raise Trouble(say("There is no site with the key {n}.", n=asked.site_id))
    people = {
        day: [
            t for t in everybody
            if (t.from_on is None or t.from_on <= day) and (t.until_on is None or day < t.until_on)
            and not any(o.technician_id == t.id and o.from_on <= day < o.until_on for o in off)
        ]
        for day in asked.days
    }  # fmt: skip
    found = {day: [v for v in of if v.site_id in sites] for day, of in visits.items()}
    led = {day: frozenset(leads.get(day, ())) for day in asked.days}
    staff = staff_on(desk, desk.today)
    return _Facts(found, led, people, owed, sites, closed.get(asked.site_id, []), staff)


def _is_open(asked: Asked, day: date) -> bool:
    """Has the window opened, and do the wishes of this visit leave the day?"""
    visit = asked.stop.visit if asked.stop is not None else None
    if visit is not None and not allows(visit.wishes, day):
        return False
    return asked.opens_on is None or asked.opens_on <= day


def _joins(asked: Asked, visit: rows.VisitRow) -> bool:
    """Does somebody go to the site that day, whose visit takes what has none of its own?"""
    has_none = asked.stop is not None and asked.stop.visit is None
    return has_none and visit.site_id == asked.site_id and not visit.kept_apart


def _short(team: Mapping[int, Technician], lead_id: int | None) -> str:
    lead = team.get(lead_id or 0)
    return "" if lead is None else lead.short_name or lead.name.split()[0]


def _licensed_on(
    problem: DayProblem, team: Mapping[int, Technician], staff: Staff, day: date
) -> DayProblem:
    """The same stops and roads with what each technician may do on that day."""
    crews = (replace(c, skills=abilities(team[int(c.id)], staff, day)) for c in problem.crews)
    return replace(problem, crews=tuple(crews))


def _last_days(desk: Desk, visits: Mapping[date, Sequence[rows.VisitRow]]) -> dict[int, date]:
    """The last day in time of each planned inspection, by visit: as written when it was planned.

    Where that was not written, all windows are counted, which takes longer.
    """
    found: dict[int, date] = {}
    unknown = False
    for visit in (v for of in visits.values() for v in of):
        for job in visit.jobs:
            if job.kind != "inspection":
                continue
            if job.window_until is None:
                unknown = True
                continue
            found[visit.id] = min(found.get(visit.id, job.window_until), job.window_until)
    if unknown:
        for window in current_windows(desk):
            if window.planned_visit_id is not None:
                closes = window.window.closes_on
                known = found.get(window.planned_visit_id, closes)
                found[window.planned_visit_id] = min(known, closes)
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


def _new_stop(asked: Asked, times: Times) -> Wanted:
    if asked.stop is not None:
        visit = asked.stop.visit
        return replace(
            asked.stop, id=NEW_STOP, prize_min=None,
            visit=None if visit is None else released(visit),
        )  # fmt: skip
    one = wanted_of(NEW_STOP, asked.site_id, None, [WantedJob(kind=asked.kind)], times)
    return replace(one, prize_min=None)


def released(visit: rows.VisitRow) -> rows.VisitRow:
    """A visit as if nothing was agreed about its day and hour; what it wishes for stays."""
    return replace(
        visit, held=False, held_crew_id=None, held_at_min=None, told=False,
        promise_from_min=None, promise_until_min=None,
    )  # fmt: skip


def _open_rounds(
    desk: Desk,
    asked: Asked,
    day: date,
    number: int,
    facts: _Facts,
    problem: DayProblem,
    last_days: Mapping[int, date],
) -> list[StoodRound]:
    new = _as_agreed(desk, asked, problem.stop_of[NEW_STOP], day)
    found = []
    for lead in facts.people[day]:
        written = [v for v in facts.visits[day] if v.lead_id == lead.id]
        if not facts.leads[day]:
            continue  # nobody's day is planned yet
        crew = problem.crew_of[str(lead.id)]
        if day != desk.today:  # what is under way today says nothing of other days
            crew = replace(crew, shift_from_min=lead.day_from_min)
        written.sort(key=lambda v: (v.place or 0, v.id))
        own = [v for v in written if not asked.is_new(v)]
        as_written = time_round(crew, [problem.stop_of[f"v{v.id}"] for v in written],
                                problem.travel)  # fmt: skip
        order = [problem.stop_of[f"v{v.id}"] for v in own]
        now = as_written if own == written else time_round(crew, order, problem.travel)
        n_past, crew_now = _from_now(desk, day, crew, own, now)
        if crew_now is None:
            continue
        may_wait = {
            f"v{v.id}": frozenset[str]()
            for v in own[n_past:]
            if not (v.told or v.held or v.promise_until_min) and _can_wait(v, day, last_days)
        }
        opened = OpenRound(
            id=f"{day.isoformat()}/{lead.id}", day=number, crew=crew_now,
            order=tuple(order[n_past:]), stop=new, travel=problem.travel, may_wait=may_wait,
            too_late=_is_too_late(desk, asked, day),
        )  # fmt: skip
        begins = {s.stop_id: s.begin_min for s in as_written.stops}
        stands_at = next(
            ((n, begins[f"v{v.id}"]) for n, v in enumerate(written) if asked.is_new(v)), None
        )
        found.append(StoodRound(day, lead, now, begins, opened, n_past, stands_at))
    return found


def _is_too_late(desk: Desk, asked: Asked, day: date) -> bool:
    after_promise = asked.by_at is not None and day > desk.clock.day_of(asked.by_at)
    return after_promise or (asked.closes_on is not None and day > asked.closes_on)


def _as_agreed(desk: Desk, asked: Asked, stop: Stop, day: date) -> Stop:
    """The new stop on a day: due by the promise's minute on its day."""
    visit = asked.stop.visit if asked.stop is not None else None
    if visit is not None and visit.planned_on == day and visit.promise_until_min is not None:
        stop = replace(stop, promise_from_min=visit.promise_from_min,
                       promise_until_min=visit.promise_until_min)  # fmt: skip
    if asked.by_at is None or day != desk.clock.day_of(asked.by_at):
        return stop
    return replace(stop, promise_until_min=desk.clock.minute_of(asked.by_at))


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
    found: Sequence[StoodRound], last_days: Mapping[int, date]
) -> tuple[StoodRound, ...]:
    """Each stop that may wait, with the rounds that could take it before its window closes."""
    result = []
    for one in found:
        waits = {
            stop_id: frozenset(
                other.open.id
                for other in found
                if other is not one and other.day <= last_days[int(stop_id[1:])]
            )
            for stop_id in one.open.may_wait
        }
        result.append(replace(one, open=replace(one.open, may_wait=waits)))
    return tuple(result)
