"""A second look at every plan of weeks, sharing no code with those who made it.

Counting, days, hours, skills, bindings, holds, shifts, road: worked out again from the problem
alone. Anything found is a mistake of ours. (The clock of a round with its break is looked at by
`routes.feasible`, which this calls for every day that has stops.)
"""

from collections import Counter
from collections.abc import Iterator

from servicedesk.routes.feasible import faults_in as faults_in_day
from servicedesk.routes.period_plan import PeriodPlan
from servicedesk.routes.period_problem import PeriodStop, Shift
from servicedesk.routes.plan import CrewDay, DayPlan
from servicedesk.routes.problem import DayProblem, Stop
from servicedesk.values.reason import Reason


def faults_in(plan: PeriodPlan) -> tuple[Reason, ...]:
    """Everything that is wrong with a plan of weeks; empty for a sound one."""
    return (*_of_counting(plan), *_of_shifts(plan))


def _of_counting(plan: PeriodPlan) -> Iterator[Reason]:
    """Each stop once: on one shift, or left out with a reason."""
    seen = Counter(s.stop_id for day in plan.days.values() for s in day.stops)
    seen.update(left.stop_id for left in plan.left_out)
    known = {stop.id for stop in plan.problem.stops}
    for stop_id in sorted(known | set(seen)):
        if stop_id not in known:
            yield Reason.of("unknown_stop", stop=stop_id)
        elif seen[stop_id] != 1:
            yield Reason.of("not_once", stop=stop_id, times=seen[stop_id])
    for left in plan.left_out:
        if not left.reasons:
            yield Reason.of("no_reason", stop=left.stop_id)
    if set(plan.days) != {shift.id for shift in plan.problem.shifts}:
        yield Reason.of("crews_differ")


def _of_shifts(plan: PeriodPlan) -> Iterator[Reason]:
    known = {stop.id: stop for stop in plan.problem.stops}
    for shift in plan.problem.shifts:
        day = plan.days.get(shift.id)
        if day is None or any(s.stop_id not in known for s in day.stops):
            continue  # counted above
        stops = [known[s.stop_id] for s in day.stops]
        for stop, planned in zip(stops, day.stops, strict=True):
            yield from _of_stop(shift, stop, planned.begin_min)
        yield from _of_end(plan, shift, day, stops)
        yield from _of_clock(plan, shift, day, stops)


def _of_stop(shift: Shift, stop: PeriodStop, begin_min: int) -> Iterator[Reason]:
    """A day it may be made on, at an hour that is open, by somebody who may and can."""
    open_then = [
        one
        for one in stop.chances
        if one.first_day <= shift.day <= one.last_day and one.from_min <= begin_min <= one.until_min
    ]
    if not open_then:
        yield Reason.of("outside_chances", stop=stop.id, day=shift.day, begin_min=begin_min)
    if not stop.needs.issubset(shift.crew.skills):
        yield Reason.of("lacks_skill", stop=stop.id, crew=shift.crew.id)
    if {stop.only_crew, stop.held_crew} - {None, shift.crew.id}:
        yield Reason.of("wrong_crew", stop=stop.id, crew=shift.crew.id)
    if stop.held_day is not None and stop.held_day != shift.day:
        yield Reason.of("wrong_day", stop=stop.id, day=shift.day)
    if stop.held_at_min is not None and begin_min != stop.held_at_min:
        yield Reason.of("not_at_held_time", stop=stop.id, begin_min=begin_min)


def _of_end(
    plan: PeriodPlan, shift: Shift, day: CrewDay, stops: list[PeriodStop]
) -> Iterator[Reason]:
    """Road and work without the break end before what is kept free; with it within the shift."""
    if not stops:
        return
    minutes = plan.problem.travel.minutes
    now, here, road = shift.crew.shift_from_min, shift.crew.start_place, 0
    for stop in stops:
        drive = minutes[here][stop.place]
        road += drive
        opens = min(
            (one.from_min for one in stop.chances if one.first_day <= shift.day <= one.last_day),
            default=0,
        )
        now = max(now + drive, opens, stop.held_at_min or 0) + stop.service_min
        here = stop.place
    back = minutes[here][shift.crew.end_place]
    pause = shift.crew.break_min if day.pause is not None else 0
    limit = shift.crew.shift_until_min - pause - shift.kept_min
    if now + back > limit:
        yield Reason.of("eats_what_is_kept", shift=shift.id, by_min=now + back - limit)
    if day.road_min != road + back:
        yield Reason.of("road_differs", crew=shift.crew.id, really_min=road + back)
    if day.overtime_min or day.over_limit_min:
        yield Reason.of("over_limit", crew=shift.crew.id, by_min=day.overtime_min)


def _of_clock(
    plan: PeriodPlan, shift: Shift, day: CrewDay, stops: list[PeriodStop]
) -> Iterator[Reason]:
    """The round as a plan of one day, looked at by the second look of days."""
    if not stops:
        return
    problem = DayProblem(
        stops=tuple(_plain(s, shift.crew.id) for s in stops),
        crews=(shift.crew,),
        travel=plan.problem.travel,
    )
    yield from faults_in_day(
        DayPlan(problem=problem, days=(day,), left_out=(), planner=plan.planner)
    )


def _plain(stop: PeriodStop, crew_id: str) -> Stop:
    """Hours were looked at above: here only clock, road, break and the order of what is held."""
    held = stop.held_crew == crew_id
    return Stop(
        id=stop.id,
        place=stop.place,
        service_min=stop.service_min,
        held_crew=stop.held_crew if held else None,
        held_position=stop.held_position if held else None,
        held_at_min=stop.held_at_min if held else None,
    )
