"""A technician is ill, or leaves: their stops go to the others with as few changes as may be.

Nobody else's stop changes its day, its round or its place in the order; what is told, promised or
held is placed first. Looked at before it is written, written in one change.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from servicedesk.desk.absence_holds import Holdings, holdings_of
from servicedesk.desk.at_once import moved_at_once, without
from servicedesk.desk.carry import let_go
from servicedesk.desk.day_wishes import allows
from servicedesk.desk.demand import Wanted, demand_of
from servicedesk.desk.office import Desk
from servicedesk.desk.period_errands import DayChance, open_days
from servicedesk.desk.planning import DayCase, case_of, write_plan
from servicedesk.desk.squeeze_read import released
from servicedesk.records import absence_rows
from servicedesk.records import planning_rows as rows
from servicedesk.records.company import DayOff, Technician
from servicedesk.records.store import Changed
from servicedesk.records.undo import latest_change_id
from servicedesk.records.visits import Visit
from servicedesk.routes.plan import DayPlan
from servicedesk.routes.problem import Stop
from servicedesk.routes.squeeze import places_for
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

LATER_DAYS = 10  # working days looked at for what found no place on its own day


@dataclass(frozen=True, slots=True, kw_only=True)
class GoesTo:
    """A stop of the one away: where it goes, None and "" where it found no place.

    `is_agreed`: the customer was told the day, or an hour was promised, or it was held.
    `begins_was`, `begins` are minutes of the day.
    """

    visit_id: int
    address: str
    was_on: date
    begins_was: int | None
    is_agreed: bool
    to_day: date | None
    to_technician: str
    begins: int | None

    @property
    def is_to_tell(self) -> bool:
        """Does somebody know of a day or hour that is no longer so?"""
        return self.is_agreed and (self.to_day != self.was_on or self.begins != self.begins_was)


@dataclass(frozen=True, kw_only=True)
class Absence:
    """What an absence would do. `until` is excluded; None means for good (they leave).

    `holds`: what else hangs on who leaves; empty for a day off.
    """

    technician_id: int
    name: str
    first: date
    until: date | None
    why: str
    stops: tuple[GoesTo, ...]
    holds: Holdings
    n_rounds: int
    _days: tuple["_Day", ...]
    _stamp: int

    @property
    def placed(self) -> tuple[GoesTo, ...]:
        """Stops that found a place."""
        return tuple(one for one in self.stops if one.to_day is not None)

    @property
    def waiting(self) -> tuple[GoesTo, ...]:
        """Stops that found none: they wait for a day."""
        return tuple(one for one in self.stops if one.to_day is None)


@dataclass(slots=True, kw_only=True)
class _Day:
    """A day on its way: `lost` are the stops of the one away, `taken` those of earlier days."""

    case: DayCase
    plan: DayPlan
    lost: tuple[str, ...]
    taken: list[str]
    elsewhere: set[str]


def ill(desk: Desk, technician_id: int, day: date, progress: Progress = quiet) -> Absence:
    """What a day off would do: the stops of that day among the others. Reads only."""
    return absence(
        desk, technician_id, day, day + timedelta(days=1), why=say("ill"), progress=progress
    )


def leaves(desk: Desk, technician_id: int, on: date, progress: Progress = quiet) -> Absence:
    """What it would do if a technician is not here from `on`: rounds, promises, keys, stock."""
    return absence(desk, technician_id, on, None, progress=progress)


def absence(
    desk: Desk,
    technician_id: int,
    first: date,
    until: date | None,
    *,
    why: str = "",
    progress: Progress = quiet,
) -> Absence:
    """What an absence from `first` until `until` (excluded, None: for good) would do. Reads only.

    Raises Trouble for somebody who is not there or a time that has passed.
    """
    with desk.store.read() as session:
        stamp = latest_change_id(session)
        technician = absence_rows.technician(session, technician_id)
        days = absence_rows.days_of_rounds(session, technician_id, max(first, desk.today), until)
    if technician is None:
        raise Trouble(say("There is no technician with the key {n}.", n=technician_id))
    _refuse_past(desk, first, until)
    found = _Refill(desk, technician, first, until).run(days, progress)
    return Absence(
        technician_id=technician_id,
        name=technician.name,
        first=first,
        until=until,
        why=why,
        stops=found.told(),
        holds=holdings_of(desk, technician, first) if until is None else Holdings(),
        n_rounds=len(days),
        _days=tuple(found.days),
        _stamp=stamp,
    )


def _refuse_past(desk: Desk, first: date, until: date | None) -> None:
    if until is not None and until <= max(first, desk.today):
        raise Trouble(
            say("The absence ends before it begins, or it is over."),
            do=say("Give a day that is still to come."),
            exit_code=2,
        )
    if until is None and first < desk.today:
        raise Trouble(say("That day has passed."), do=say("Give today, or a day after."),
                      exit_code=2)  # fmt: skip


def take_absence(desk: Desk, asked: Absence) -> Changed:
    """Write it: days off or the last day, and all stops that move, in one change.

    Raises Trouble if anything was changed since it was looked at.
    """
    with desk.store.read() as session:
        if latest_change_id(session) != asked._stamp:
            raise Trouble(
                say("Something was changed since this was looked at."),
                means=say("Nothing was written."),
                do=say("Look at it again."),
                exit_code=3,
            )
    with desk.store.change(desk.who, _words(desk, asked)) as work:
        if asked.until is None:
            work.get(Technician, asked.technician_id).until_on = asked.first
        else:
            work.add(DayOff(technician_id=asked.technician_id, from_on=asked.first,
                            until_on=asked.until, why=asked.why))  # fmt: skip
        for day in asked._days:
            write_plan(work, day.case, day.plan, elsewhere=frozenset(day.elsewhere))
        for day in asked._days:
            for stop_id in day.taken:
                visit = day.case.wanted[stop_id].visit
                if visit is not None:
                    let_go(work, visit.id)
        for one in asked.waiting:  # the day they know is no longer so: they are to be told
            let_go(work, one.visit_id)
            work.get(Visit, one.visit_id).planned_on = None
    return work.changed


def _words(desk: Desk, asked: Absence) -> str:
    first = desk.formats.weekday(asked.first)
    if asked.until is None:
        return say("{name} leaves on {day}", name=asked.name, day=first)
    last = asked.until - timedelta(days=1)
    if last == asked.first:
        return say("{name} is away on {day}", name=asked.name, day=first)
    return say("{name} is away from {day} to {last}", name=asked.name, day=first,
               last=desk.formats.weekday(last))  # fmt: skip


class _Refill:
    """Goes through the days; what finds no place on its own day is tried on those after it."""

    def __init__(self, desk: Desk, technician: Technician, first: date, until: date | None) -> None:
        self._desk, self._technician = desk, technician
        self._crew = str(technician.id)
        self._first, self._until = first, until
        self._waiting: dict[str, Wanted] = {}
        self._lost: dict[str, tuple[Wanted, date]] = {}
        self._sites: dict[int, rows.SitePlace] = {}
        self.days: list[_Day] = []

    def run(self, days: Sequence[date], progress: Progress) -> "_Refill":
        """All days with rounds of the one away, then as many as are needed."""
        for number, day in enumerate(days):
            progress(number, len(days) + 1)
            for between in self._days_between(days[number - 1] if number else None, day):
                self._take_day(between)
            self._take_day(day)
        day = days[-1] if days else self._first
        for _ in range(LATER_DAYS):
            if not self._waiting:
                break
            day = _next_working_day(self._desk, day)
            self._take_day(day)
        progress(len(days) + 1, len(days) + 1)
        return self

    def _days_between(self, before: date | None, day: date) -> list[date]:
        found = []
        if before is not None and self._waiting:
            at = _next_working_day(self._desk, before)
            while at < day:
                found.append(at)
                at = _next_working_day(self._desk, at)
        return found

    def _is_away(self, day: date) -> bool:
        return self._first <= day and (self._until is None or day < self._until)

    def _take_day(self, day: date) -> None:
        waiting = {i: w for i, w in self._waiting.items() if self._may_go(w, day)}
        demand = demand_of(self._desk, day)
        self._sites |= demand.sites
        others = tuple(w for w in demand.wanted if w.id not in waiting)
        asked = replace(demand, wanted=(*others, *waiting.values()),
                        sites={**self._sites, **demand.sites})  # fmt: skip
        case = case_of(self._desk, day, asked)
        lost = self._lost_on(case) if self._is_away(day) else ()
        if not lost and not waiting:
            return
        case = _freed(case, lost)
        plan = case.stand
        for stop_id in lost:
            plan = without(plan, stop_id)
        away = frozenset({self._crew}) if self._is_away(day) else frozenset[str]()
        taken: list[str] = []
        for stop_id in sorted([*lost, *waiting], key=lambda i: _rank(case.problem.stop_of[i])):
            put = _put(plan, stop_id, away, after_min=self._now_on(day))
            if put is not None:
                plan = put
                if stop_id in waiting:
                    taken.append(stop_id)
                    self._waiting.pop(stop_id)
        still = [i for i in lost if i not in plan.crew_id_of]
        for stop_id in lost:
            self._lost[stop_id] = (case.wanted[stop_id], day)
        for stop_id in still:
            self._waiting[stop_id] = _released(case.wanted[stop_id])
        if lost or taken:
            self.days.append(_Day(case=case, plan=plan, lost=lost, taken=taken, elsewhere=set()))
        self._mark_elsewhere(taken)

    def _now_on(self, day: date) -> int:
        """The minute before which nothing can begin any more."""
        return self._desk.clock.minute_of_day() if day == self._desk.today else -1

    def _lost_on(self, case: DayCase) -> tuple[str, ...]:
        """The stops of the one away that were not made yet, in their order."""
        row = case.rounds.get(self._crew)
        if row is None:
            return ()
        own = [
            w for w in case.wanted.values()
            if w.visit is not None and w.visit.round_id == row.id and w.visit.arrived_at is None
        ]  # fmt: skip
        return tuple(w.id for w in sorted(own, key=lambda w: (_place(w), w.id)))

    def _may_go(self, wanted: Wanted, day: date) -> bool:
        """Does the day lie within its window, suit the customer, and is the site open?"""
        visit = wanted.visit
        if visit is None or not allows(visit.wishes, day):
            return False
        closes = [j.window.window.closes_on for j in wanted.jobs if j.window is not None]
        closes += [j.window_until for j in visit.jobs if j.window_until is not None]
        if closes and day > min(closes):
            return False
        site = self._sites[wanted.site_id]
        with self._desk.store.read() as session:
            shut = rows.closed_spans(session, site.id).get(site.id, [])
        return bool(open_days({day: DayChance()}, site, shut, wanted.service_min))

    def _mark_elsewhere(self, taken: Sequence[str]) -> None:
        """A stop that found another day is not left out of its own."""
        for day in self.days:
            day.elsewhere |= {i for i in taken if i in day.lost}

    def told(self) -> tuple[GoesTo, ...]:
        """Every stop of the one away with where it goes, by its day and order."""
        at: dict[str, tuple[DayCase, DayPlan]] = {}
        for day in self.days:
            for stop_id in (*day.lost, *day.taken):
                if stop_id in day.plan.crew_id_of:
                    at[stop_id] = (day.case, day.plan)
        return tuple(
            self._goes(i, wanted, was, at.get(i)) for i, (wanted, was) in self._lost.items()
        )

    def _goes(
        self, stop_id: str, wanted: Wanted, was: date, to: tuple[DayCase, DayPlan] | None
    ) -> GoesTo:
        visit = wanted.visit
        assert visit is not None  # noqa: S101 (only visits have a round)
        begins, who, day = None, "", None
        if to is not None:
            case, plan = to
            crew = plan.crew_id_of[stop_id]
            lead = case.technicians[crew]
            who, day = lead.short_name or lead.name.split()[0], case.day
            begins = next(s.begin_min for s in plan.day_of[crew].stops if s.stop_id == stop_id)
        return GoesTo(
            visit_id=visit.id,
            address=self._sites[wanted.site_id].address,
            was_on=was,
            begins_was=visit.begin_min,
            is_agreed=visit.told or visit.held or visit.promise_until_min is not None,
            to_day=day,
            to_technician=who,
            begins=begins,
        )


def _next_working_day(desk: Desk, day: date) -> date:
    for _ in range(60):
        day += timedelta(days=1)
        if desk.works_on(day):
            return day
    return day


def _place(wanted: Wanted) -> int:
    return (wanted.visit.place or 0) if wanted.visit is not None else 0


def _freed(case: DayCase, lost: Sequence[str]) -> DayCase:
    """The day in which nobody holds these stops any more: others may make them."""
    stops = tuple(
        replace(s, held_crew=None, held_position=None, held_at_min=None) if s.id in lost else s
        for s in case.problem.stops
    )
    problem = replace(case.problem, stops=stops)
    return replace(case, problem=problem, stand=replace(case.stand, problem=problem))


def _released(wanted: Wanted) -> Wanted:
    visit = wanted.visit
    return replace(wanted, prize_min=None, visit=None if visit is None else released(visit))


def _rank(stop: Stop) -> tuple[object, ...]:
    """What was agreed first, then what must be made, the soonest last hour first."""
    agreed = stop.told or stop.promise_until_min is not None
    return (not agreed, stop.prize_min is not None, stop.begin_until_min, -(stop.prize_min or 0),
            stop.id)  # fmt: skip


def _put(plan: DayPlan, stop_id: str, away: frozenset[str], *, after_min: int) -> DayPlan | None:
    """The plan with the stop at its cheapest place that breaks nobody's promise; None if none."""
    for place in places_for(plan.problem.stop_of[stop_id], plan):
        is_past = place.begin_min <= after_min
        if place.crew_id not in away and not place.promises_broken and not is_past:
            return moved_at_once(plan, stop_id, to_crew=place.crew_id, position=place.position)
    return None


def by_day(stops: Sequence[GoesTo]) -> Mapping[date, tuple[GoesTo, ...]]:
    """Stops by the day they were planned for."""
    found: dict[date, list[GoesTo]] = {}
    for one in stops:
        found.setdefault(one.was_on, []).append(one)
    return {day: tuple(of) for day, of in sorted(found.items())}
