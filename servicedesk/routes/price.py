"""What a day costs, in minutes of road: the one yardstick of all planners here."""

from collections.abc import Iterable, Sequence

from servicedesk.routes.plan import CrewDay
from servicedesk.routes.problem import DayProblem, Stop

OVERTIME_COST = (
    8  # a minute after the shift, in minutes of road: who waits for nothing else waits a day
)
LATE_COST = 20  # a minute after a promise, in minutes of road; common practice, no source
LIKED_COST = 45  # another technician than the one wanted; common practice, no source
_LEAST_MUST = 5_000  # more road than one stop can cost in a day


def prizes_of(stops: Sequence[Stop]) -> dict[str, int]:
    """What leaving out each stop costs, by id.

    One must outweighs all optional stops together, one told customer three musts, one stop held
    by hand six; so what must be made is left out last.
    """
    optional = sum(stop.prize_min or 0 for stop in stops if not stop.is_must)
    must = _LEAST_MUST + optional
    return {stop.id: _prize(stop, must) for stop in stops}


def _prize(stop: Stop, must: int) -> int:
    if stop.held_crew is not None:
        return 6 * must
    if stop.told:
        return 3 * must
    return must if stop.prize_min is None else stop.prize_min


def day_price(problem: DayProblem, days: Iterable[CrewDay]) -> int:
    """Road, overtime, lateness, liking and the prizes of all stops that no round makes."""
    days = tuple(days)
    made = {stop_id for day in days for stop_id in day.order}
    left = sum(p for stop_id, p in prizes_of(problem.stops).items() if stop_id not in made)
    return left + sum(round_price(day) for day in days)


def round_price(day: CrewDay) -> int:
    """Road, overtime and lateness of one round, and what the crews liked elsewhere cost."""
    worse = OVERTIME_COST * day.overtime_min + LATE_COST * day.late_min
    return day.road_min + worse + day.liking_min
