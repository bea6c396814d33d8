"""Why a stop found no place on a day. Codes and their values (times are minutes of the day):

| code | values | meaning |
|---|---|---|
| nobody_works | | no crew is at work |
| crew_away | crew | bound to a crew that is not at work |
| no_skill | skills | nobody at work has these skills |
| crew_lacks_skill | crew, skills | the crew it is bound to lacks these skills |
| no_common_hours | open_from_min, open_until_min | nobody can be there then, even first |
| promise_not_reachable | until_min, earliest_min | even going there first is too late for it |
| too_long | over_min | work and road alone are longer than any shift, by so much |
| day_full | crew, over_min | the best place would end that crew's day so much too late |
| pushes_out | crew, stop, by_min | the best place would push that stop so far past its hours |
| own_hours_taken | crew, by_min | the crew with most room gets there so late |
| makes_late | crew, stop, by_min | it would break the promise to that stop |
| not_worth_road | crew, extra_min, prize_min | there is a place, but it costs more than its worth |
| waits_for | crew, liked, extra_min, liked_min, prize_min | worth it, were it the crew liked |
"""

from collections.abc import Mapping, Sequence

from servicedesk.routes.insertion import Insertion, insertions
from servicedesk.routes.problem import Crew, DayProblem, Stop
from servicedesk.routes.timing import Clock, clock_of
from servicedesk.values.reason import Reason


def why_never(problem: DayProblem, stop: Stop) -> tuple[Reason, ...]:
    """Why no crew could make this stop even with nothing else to do; empty if one could."""
    if not problem.crews:
        return (Reason.of("nobody_works"),)
    if stop.bound_crew is not None and stop.bound_crew not in problem.crew_of:
        return (Reason.of("crew_away", crew=stop.bound_crew),)
    able = [crew for crew in problem.crews if crew.may_serve(stop)]
    if not able:
        return (_no_skill(problem, stop),)
    alone = [(clock_of(crew, [stop], problem.travel), crew) for crew in able]
    if any(clock.shut == 0 and clock.over_limit == 0 for clock, _ in alone):
        return ()
    return (_impossible(stop, alone),)


def why_left_out(
    problem: DayProblem, stop: Stop, orders: Mapping[str, Sequence[Stop]]
) -> tuple[Reason, ...]:
    """Why this stop is not in those rounds: the nearest miss of every crew that could come."""
    never = why_never(problem, stop)
    if never:
        return never
    reasons = []
    for crew in problem.crews:
        if crew.may_serve(stop):
            order = orders[crew.id]
            tries = list(insertions(stop, crew, order, problem.travel))
            reasons.append(_nearest_miss(stop, crew, order, tries))
    return tuple(dict.fromkeys(reasons))


def _no_skill(problem: DayProblem, stop: Stop) -> Reason:
    if stop.bound_crew is None:
        known = {skill for crew in problem.crews for skill in crew.skills}
        return Reason.of("no_skill", skills=tuple(sorted(stop.needs - known or stop.needs)))
    if stop.held_crew and stop.only_crew and stop.held_crew != stop.only_crew:
        return Reason.of("crew_away", crew=stop.only_crew)
    lacks = stop.needs - problem.crew_of[stop.bound_crew].skills
    return Reason.of("crew_lacks_skill", crew=stop.bound_crew, skills=tuple(sorted(lacks)))


def _impossible(stop: Stop, alone: Sequence[tuple[Clock, Crew]]) -> Reason:
    """All crews alone break something: hours if that is so for all of them, else the length."""
    if all(clock.shut > 0 for clock, _ in alone):
        return Reason.of(
            "no_common_hours", open_from_min=stop.open_from_min, open_until_min=stop.open_until_min
        )
    over, crew = min(
        ((clock.over_limit, crew) for clock, crew in alone if clock.shut == 0),
        key=lambda pair: (pair[0], pair[1].id),
    )
    latest_begin = crew.home_by_min - stop.service_min
    if stop.begin_from_min > latest_begin:
        return Reason.of(
            "no_common_hours", open_from_min=stop.begin_from_min, open_until_min=stop.open_until_min
        )
    return Reason.of("too_long", over_min=over)


def _nearest_miss(
    stop: Stop, crew: Crew, order: Sequence[Stop], tries: Sequence[Insertion]
) -> Reason:
    """What stands in the way at the place that breaks least."""
    best = min(
        tries,
        key=lambda i: (
            i.clock.shut + i.clock.over_limit,
            i.clock.late,
            # Of equal misses the stop's own is the plainer reason.
            i.clock.begins[i.position] <= stop.begin_until_min,
            i.extra_price_min,
            i.position,
        ),
    )
    if best.is_clean:
        liking, prize = stop.liking_min(crew.id), stop.prize_min
        if liking and prize is not None and best.extra_price_min - liking <= prize:
            return Reason.of(
                "waits_for", crew=crew.id, liked=stop.liked_crew, liked_min=liking,
                extra_min=best.extra_price_min - liking, prize_min=prize,
            )  # fmt: skip
        return Reason.of(
            "not_worth_road", crew=crew.id, extra_min=best.extra_price_min, prize_min=stop.prize_min
        )
    if best.clock.over_limit:
        return Reason.of("day_full", crew=crew.id, over_min=best.clock.over_limit)
    new_order = [*order[: best.position], stop, *order[best.position :]]
    if best.is_sound:
        late, late_stop = _worst(best.clock, new_order, promised=True)
        if late_stop is stop:
            return Reason.of(
                "promise_not_reachable",
                until_min=stop.agreed_until_min,
                earliest_min=best.clock.begins[best.position],
            )
        return Reason.of("makes_late", crew=crew.id, stop=late_stop.id, by_min=late)
    shut, shut_stop = _worst(best.clock, new_order, promised=False)
    if shut_stop is stop:
        return Reason.of("own_hours_taken", crew=crew.id, by_min=shut)
    return Reason.of("pushes_out", crew=crew.id, stop=shut_stop.id, by_min=shut)


def _worst(clock: Clock, order: Sequence[Stop], *, promised: bool) -> tuple[int, Stop]:
    """The stop that misses its promise (or its hours) by most, and by how much."""
    misses = []
    for begin, stop in zip(clock.begins, order, strict=True):
        until = stop.agreed_until_min if promised else stop.open_until_min
        misses.append((0 if until is None else begin - until, stop))
    return max(misses, key=lambda miss: (miss[0], miss[1].id))
