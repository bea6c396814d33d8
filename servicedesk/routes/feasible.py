"""A second look at every plan, sharing no code with those who made it.

Clock, road, hours, skills, likings and holds are worked out again from the problem alone. Lateness
against a promise is allowed if the plan says it openly; everything else found is a mistake.
"""

from collections import Counter
from collections.abc import Iterator

from servicedesk.routes.plan import CrewDay, DayPlan, LeftOut, PlannedStop
from servicedesk.routes.problem import Crew, Stop
from servicedesk.values.reason import Reason


def faults_in(plan: DayPlan) -> tuple[Reason, ...]:
    """Everything that is wrong with a plan; empty for a sound one."""
    return (*_faults_of_counting(plan), *_faults_of_rounds(plan))


def _faults_of_counting(plan: DayPlan) -> Iterator[Reason]:
    """Each stop once: in one round, or left out with a reason."""
    seen = Counter(stop.stop_id for day in plan.days for stop in day.stops)
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
        yield from _faults_of_lacking(plan, left)
    if [day.crew_id for day in plan.days] != [crew.id for crew in plan.problem.crews]:
        yield Reason.of("crews_differ")


def _faults_of_lacking(plan: DayPlan, left: LeftOut) -> Iterator[Reason]:
    """Nobody may be said to lack what somebody at work has."""
    for stop in plan.problem.stops:
        if stop.id != left.stop_id or all(why.code != "no_skill" for why in left.reasons):
            continue
        for crew in plan.problem.crews:
            if stop.needs.issubset(crew.skills):
                yield Reason.of("not_lacking", stop=stop.id, crew=crew.id)


def _faults_of_rounds(plan: DayPlan) -> Iterator[Reason]:
    crews = {crew.id: crew for crew in plan.problem.crews}
    stops = {stop.id: stop for stop in plan.problem.stops}
    for day in plan.days:
        if day.crew_id not in crews or any(s.stop_id not in stops for s in day.stops):
            continue  # counted above
        crew = crews[day.crew_id]
        if not day.stops:
            if day.road_min or day.pause or day.overtime_min or day.liking_min:
                yield Reason.of("idle_but_busy", crew=crew.id)
            continue
        yield from _faults_of_road(plan, crew, day)
        yield from _faults_of_shift(crew, day)
        yield from _faults_of_break(crew, day)
        for planned in day.stops:
            yield from _faults_of_stop(crew, stops[planned.stop_id], planned)
        yield from _faults_of_holds(crew, [stops[s.stop_id] for s in day.stops])
        disliked = [s for s in (stops[p.stop_id] for p in day.stops) if s.liked_crew is not None]
        liking = sum(s.liked_min for s in disliked if s.liked_crew != crew.id)
        if day.liking_min != liking:
            yield Reason.of("liking_differs", crew=crew.id, really_min=liking)


def _faults_of_road(plan: DayPlan, crew: Crew, day: CrewDay) -> Iterator[Reason]:
    """Each drive as long as the table says, each arrival after leaving and driving."""
    minutes = plan.problem.travel.minutes
    here, free, road = crew.start_place, day.leave_home_min, 0
    for planned in day.stops:
        drive = minutes[here][plan.problem.stop_of[planned.stop_id].place]
        if planned.drive_min != drive:
            yield Reason.of("drive_differs", crew=crew.id, stop=planned.stop_id, really_min=drive)
        if planned.arrival_min != free + drive:
            yield Reason.of("arrival_differs", crew=crew.id, stop=planned.stop_id)
        here, free, road = planned.place, planned.leave_min, road + drive
        if planned.place != plan.problem.stop_of[planned.stop_id].place:
            yield Reason.of("wrong_place", crew=crew.id, stop=planned.stop_id)
    back = minutes[here][crew.end_place]
    if day.home_min != free + back or day.drive_home_min != back:
        yield Reason.of("home_differs", crew=crew.id, really_min=free + back)
    if day.road_min != road + back:
        yield Reason.of("road_differs", crew=crew.id, really_min=road + back)


def _faults_of_shift(crew: Crew, day: CrewDay) -> Iterator[Reason]:
    end = day.home_min
    if day.pause is not None and day.pause.at == "end":
        end = day.pause.end_min
    if day.leave_home_min < crew.shift_from_min:
        yield Reason.of(
            "before_shift", crew=crew.id, by_min=crew.shift_from_min - day.leave_home_min
        )
    over = max(0, end - crew.shift_until_min)
    if day.overtime_min != over:
        yield Reason.of("overtime_differs", crew=crew.id, really_min=over)
    if over > crew.overtime_min:
        yield Reason.of("over_limit", crew=crew.id, by_min=over - crew.overtime_min)


def _faults_of_stop(crew: Crew, stop: Stop, planned: PlannedStop) -> Iterator[Reason]:
    """Hours, skills, bindings and holds of one stop; lateness as the plan says it."""
    begin = planned.begin_min
    if begin < planned.arrival_min or planned.wait_min < 0:
        yield Reason.of("begins_before_arrival", stop=stop.id)
    if planned.leave_min < begin + stop.service_min:
        yield Reason.of("leaves_before_done", stop=stop.id)
    first = [stop.open_from_min, stop.promise_from_min, stop.held_at_min]
    if any(minute is not None and begin < minute for minute in first):
        yield Reason.of("too_early", stop=stop.id)
    if begin > stop.open_until_min:
        yield Reason.of("after_hours", stop=stop.id, by_min=begin - stop.open_until_min)
    late = 0
    for minute in (stop.promise_until_min, stop.held_at_min):
        if minute is not None:
            late = max(late, begin - minute)
    if planned.late_min != late:
        yield Reason.of("lateness_differs", stop=stop.id, really_min=late)
    if not stop.needs.issubset(crew.skills):
        yield Reason.of("lacks_skill", stop=stop.id, crew=crew.id)
    if {stop.only_crew, stop.held_crew} - {None, crew.id}:
        yield Reason.of("wrong_crew", stop=stop.id, crew=crew.id)


def _faults_of_holds(crew: Crew, order: list[Stop]) -> Iterator[Reason]:
    """Held stops of this crew stand in their held order."""
    last: tuple[int, Stop] | None = None
    for stop in order:
        if stop.held_crew != crew.id or stop.held_position is None:
            continue
        if last is not None and stop.held_position < last[0]:
            yield Reason.of("held_order", stop=stop.id, before=last[1].id)
        last = (stop.held_position, stop)


def _faults_of_break(crew: Crew, day: CrewDay) -> Iterator[Reason]:
    """There when due, long enough, in its hours, at a place, and at nobody's expense."""
    reaches = crew.shift_until_min >= crew.break_from_min + crew.break_min
    due = crew.break_min > 0 and reaches and crew.shift_from_min <= crew.break_until_min
    pause = day.pause
    if pause is None or not due:
        if due or pause is not None:
            yield Reason.of("break_missing" if due else "break_undue", crew=crew.id)
        return
    if pause.end_min - pause.begin_min != crew.break_min:
        yield Reason.of("break_length", crew=crew.id)
    if not crew.break_from_min <= pause.begin_min <= crew.break_until_min:
        yield Reason.of("break_hours", crew=crew.id)
    if not _break_fits(crew, day):
        yield Reason.of("break_overlaps", crew=crew.id)


def _break_fits(crew: Crew, day: CrewDay) -> bool:
    """Does the break lie in the free time at the place where it is said to be?"""
    pause = day.pause
    if pause is None:
        return False
    if pause.at == "start":
        inside = crew.shift_from_min <= pause.begin_min and pause.end_min <= day.leave_home_min
        return inside and pause.place == crew.start_place
    if pause.at == "end":
        return pause.begin_min >= day.home_min and pause.place == crew.end_place
    here = [planned for planned in day.stops if planned.stop_id == pause.stop_id]
    if len(here) != 1 or here[0].place != pause.place:
        return False
    if pause.at == "before":
        return here[0].arrival_min <= pause.begin_min and pause.end_min <= here[0].begin_min
    return here[0].begin_min <= pause.begin_min and pause.end_min <= here[0].leave_min
