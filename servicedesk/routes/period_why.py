"""Why a stop has no day in some weeks, and what would free one. Codes and their values:

| code | values | meaning |
|---|---|---|
| no_shift_then | | nobody who may come works on any day on which it may be made |
| no_skill | skills | nobody at work has all these skills |
| crew_away | crew | bound to a crew that is not at work then |
| too_long | over_min | work and road alone are longer than any shift, by so much |
| no_common_hours | open_from_min, open_until_min | nobody can be there then, even first |
| weeks_full | crew, day, over_min | the best place ends that day so much too late |
| hours_taken | crew, day, by_min | the best place reaches it so long after its hours |
| can_wait | day | there is time until that day, and others are more pressing |
| not_worth_road | crew, extra_min, prize_min | there is a place, but it costs more than its worth |

What would free a day:

| code | values | meaning |
|---|---|---|
| frees_kept | crew, day, by_min | so much of what is kept for callbacks |
| frees_longer | crew, day, by_min | so much overtime |
| frees_instead | crew, day, stop, waits_until | that stop made later: it may wait until then |
"""

from collections.abc import Sequence

from servicedesk.routes.period_mend import last_day
from servicedesk.routes.period_plan import Orders, PeriodLeftOut
from servicedesk.routes.period_problem import PeriodProblem, PeriodStop, Shift
from servicedesk.routes.period_room import Room, Rounds, best_gap, rooms
from servicedesk.values.reason import Reason

_SWAPS_TRIED = 4  # shifts in which somebody else could wait, the nearest misses first


def why_never(problem: PeriodProblem, stop: PeriodStop) -> tuple[Reason, ...]:
    """Why nobody could make this stop with nothing else to do; empty if somebody could."""
    serving = (shift for shift in problem.shifts if shift.may_serve(stop))
    if not any(shift.may_serve(stop) for shift in problem.shifts):
        return (_nobody(problem, stop),)
    alone = []
    for shift in serving:
        alone.append(best_gap(problem, shift, (), stop))
        if alone[-1].fits:
            return ()
    best = min(alone, key=lambda room: (room.shut_min > 0, room.over_min))
    if best.shut_min:
        chance = stop.chances[0]
        return (
            Reason.of(
                "no_common_hours", open_from_min=chance.from_min, open_until_min=chance.until_min
            ),
        )
    return (Reason.of("too_long", over_min=best.over_min),)


def left_out(problem: PeriodProblem, orders: Orders) -> tuple[PeriodLeftOut, ...]:
    """All stops without a day, the soonest to close first, each with why and what would free."""
    rounds = {
        shift_id: [problem.stop_of[stop_id] for stop_id in order]
        for shift_id, order in orders.items()
    }
    made = {stop.id for order in rounds.values() for stop in order}
    waiting = [stop for stop in problem.stops if stop.id not in made]
    return tuple(
        _left_out(problem, rounds, stop)
        for stop in sorted(waiting, key=lambda s: (_closes(s), -s.prize_min, s.id))
    )


def _closes(stop: PeriodStop) -> int:
    return last_day(stop) if stop.closes_on_day is None else stop.closes_on_day


def _nobody(problem: PeriodProblem, stop: PeriodStop) -> Reason:
    bound = stop.held_crew or stop.only_crew
    if bound is not None and all(shift.crew.id != bound for shift in problem.shifts):
        return Reason.of("crew_away", crew=bound)
    if problem.shifts and not any(stop.needs <= s.crew.skills for s in problem.shifts):
        return Reason.of("no_skill", skills=tuple(sorted(stop.needs)))
    return Reason.of("no_shift_then")


def _left_out(problem: PeriodProblem, rounds: Rounds, stop: PeriodStop) -> PeriodLeftOut:
    never = why_never(problem, stop)
    if never:
        return PeriodLeftOut(stop.id, never)
    found = sorted(
        rooms(problem, rounds, stop),
        key=lambda r: (r.shut_min + r.over_min, r.price_min, r.shift_id),
    )
    best = found[0]
    shift = problem.shift_of[best.shift_id]
    reasons = [_miss(shift, best, stop)]
    days = [one.day for one in problem.shifts]
    if stop.closes_on_day is not None and stop.closes_on_day > max(days):
        reasons.append(Reason.of("can_wait", day=stop.closes_on_day))
    frees = [_longer(shift, best)] if best.over_min and not best.shut_min else []
    swap = _instead(problem, rounds, stop, found)
    if swap is not None:
        frees.append(swap)
    return PeriodLeftOut(stop.id, tuple(reasons), tuple(frees))


def _miss(shift: Shift, best: Room, stop: PeriodStop) -> Reason:
    crew, day = shift.crew.id, shift.day
    if best.fits:
        return Reason.of(
            "not_worth_road", crew=crew, extra_min=best.price_min, prize_min=stop.prize_min
        )
    if best.shut_min:
        return Reason.of("hours_taken", crew=crew, day=day, by_min=best.shut_min)
    return Reason.of("weeks_full", crew=crew, day=day, over_min=best.over_min)


def _longer(shift: Shift, best: Room) -> Reason:
    code = "frees_kept" if best.over_min <= shift.kept_min else "frees_longer"
    by_min = best.over_min if code == "frees_kept" else best.over_min - shift.kept_min
    return Reason.of(code, crew=shift.crew.id, day=shift.day, by_min=by_min)


def _instead(
    problem: PeriodProblem, rounds: Rounds, stop: PeriodStop, found: Sequence[Room]
) -> Reason | None:
    """Somebody on the nearest misses who may wait longer and whose place would do."""
    closes = _closes(stop)
    for room in found[:_SWAPS_TRIED]:
        shift = problem.shift_of[room.shift_id]
        order = list(rounds[shift.id])
        for other in sorted(order, key=lambda s: (-_closes(s), s.id)):
            if other.held_crew is not None or _closes(other) <= closes:
                continue
            rest = [one for one in order if one is not other]
            if best_gap(problem, shift, rest, stop).fits:
                return Reason.of(
                    "frees_instead",
                    crew=shift.crew.id,
                    day=shift.day,
                    stop=other.id,
                    waits_until=_closes(other),
                )
    return None
