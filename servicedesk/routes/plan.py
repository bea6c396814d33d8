"""What a day came out as: who is where at which minute, and what was left out and why."""

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from servicedesk.routes.problem import DayProblem, Stop
from servicedesk.values.reason import Reason

Planner = Literal["solver", "simple", "hand"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedStop:
    """One stop in its place. `wait_min` is idle time after arrival, the break not counted.

    `drive_min` leads to it. Arriving by `latest_arrival_min` keeps every hour, promise and limit
    of the rest of the day (less than the arrival where one of them is broken already).
    `late_min`: how long after what was promised or held the work begins; `shut_min`: how long
    after visiting hours. Both are 0 in a sound plan.
    """

    stop_id: str
    place: int
    drive_min: int
    drive_m: int | None
    arrival_min: int
    wait_min: int
    begin_min: int
    leave_min: int
    latest_arrival_min: int
    late_min: int = 0
    shut_min: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pause:
    """A break: from when to when, at which place, and where in the round.

    ``at`` is "start" (before leaving), "before" or "after" the work at `stop_id`, or "end".
    """

    begin_min: int
    end_min: int
    place: int
    at: Literal["start", "before", "after", "end"]
    stop_id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewDay:
    """One crew's round. With no stops: nobody leaves, every figure is 0, both times shift start.

    `over_limit_min` is time beyond shift and allowed overtime together; 0 in a sound plan.
    `liking_min`: what it costs, in minutes of road, where another crew was liked.
    """

    crew_id: str
    stops: tuple[PlannedStop, ...]
    pause: Pause | None
    leave_home_min: int
    home_min: int
    drive_home_min: int
    road_min: int
    road_m: int | None
    overtime_min: int
    over_limit_min: int
    liking_min: int = 0

    @property
    def order(self) -> tuple[str, ...]:
        """Stop ids in order."""
        return tuple(stop.stop_id for stop in self.stops)

    @property
    def late_min(self) -> int:
        """Minutes after promises, all stops together."""
        return sum(stop.late_min for stop in self.stops)

    @property
    def is_sound(self) -> bool:
        """Are visiting hours and the limit of the shift kept? (Lateness is told apart.)"""
        return self.over_limit_min == 0 and all(stop.shut_min == 0 for stop in self.stops)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A stop that found no place, and why: codes as in `routes.why`."""

    stop_id: str
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, kw_only=True)
class DayPlan:
    """All rounds of a day, in the order of the crews, and the stops left out.

    `planner` is "solver", "simple" (without the solver) or "hand" (changed by hand since).
    """

    problem: DayProblem
    days: tuple[CrewDay, ...]
    left_out: tuple[LeftOut, ...]
    planner: Planner

    @cached_property
    def day_of(self) -> dict[str, CrewDay]:
        """Rounds by crew id."""
        return {day.crew_id: day for day in self.days}

    @cached_property
    def crew_id_of(self) -> dict[str, str]:
        """For every planned stop the crew that makes it."""
        return {stop_id: day.crew_id for day in self.days for stop_id in day.order}

    @property
    def orders(self) -> dict[str, tuple[str, ...]]:
        """Stop ids in order, by crew id."""
        return {day.crew_id: day.order for day in self.days}

    @property
    def road_min(self) -> int:
        """Minutes on the road, all crews together."""
        return sum(day.road_min for day in self.days)

    @property
    def late(self) -> tuple[PlannedStop, ...]:
        """The stops that begin after what was promised or held."""
        return tuple(stop for day in self.days for stop in day.stops if stop.late_min > 0)


def stops_in(problem: DayProblem, day: CrewDay) -> tuple[Stop, ...]:
    """The stops of a round, in order."""
    return tuple(problem.stop_of[stop_id] for stop_id in day.order)
