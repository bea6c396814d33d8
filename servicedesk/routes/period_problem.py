"""What some weeks ask for: stops with the days they may be made on, shifts, the road between them.

Days are whole numbers from 0, working days or calendar days as the caller counts them. Every time
is whole minutes after local midnight of its day. A shift is one crew on one day.
"""

from collections import Counter
from dataclasses import dataclass
from functools import cached_property

from servicedesk.routes.problem import Crew, Stop
from servicedesk.values.travel_times import TravelTimes


@dataclass(frozen=True, slots=True, kw_only=True)
class Chance:
    """Days `first_day`..`last_day` (both included) on which a stop may be made, and how.

    The work begins within `from_min`..`until_min` of such a day (both allowed). Taking this
    chance costs `price_min`, in minutes of road: a later day, another day than was told.
    """

    first_day: int
    last_day: int
    from_min: int = 0
    until_min: int = 1440
    price_min: int = 0

    def __post_init__(self) -> None:
        if self.first_day > self.last_day or self.from_min > self.until_min:
            raise ValueError(
                f"a chance on days {self.first_day}..{self.last_day},"
                f" minutes {self.from_min}..{self.until_min} is none"
            )
        if self.price_min < 0:
            raise ValueError(f"a chance at the price of {self.price_min} is negative")


@dataclass(frozen=True, slots=True, kw_only=True)
class PeriodStop:
    """One stop of the period, to be made at most once, on one of its `chances`.

    `prize_min`: what leaving it out costs, in minutes of road. `closes_on_day`: the last day that
    is in time (it may lie after the period; None: nothing says so). A stop with `only_crew` is
    made by that crew alone; another crew than `liked_crew` costs `liked_min`. A held stop
    (`held_crew`, `held_day`) stays there, in its order among the held ones (`held_position`), and
    begins at `held_at_min` where that is given. `now_at` is the shift it stands on now.
    """

    id: str
    place: int
    service_min: int
    chances: tuple[Chance, ...]
    prize_min: int
    closes_on_day: int | None = None
    needs: frozenset[str] = frozenset()
    only_crew: str | None = None
    liked_crew: str | None = None
    liked_min: int = 0
    held_crew: str | None = None
    held_day: int | None = None
    held_position: int | None = None
    held_at_min: int | None = None
    now_at: str | None = None

    def __post_init__(self) -> None:
        if self.service_min < 0 or self.prize_min < 0 or self.liked_min < 0:
            raise ValueError(f"stop {self.id}: minutes of work, prize or liking are negative")
        if (self.held_crew is None) != (self.held_day is None):
            raise ValueError(f"stop {self.id}: held with a crew or on a day, but not both")

    def chances_on(self, day: int) -> tuple[Chance, ...]:
        """The chances that hold `day`, the cheapest first."""
        found = [one for one in self.chances if one.first_day <= day <= one.last_day]
        return tuple(sorted(found, key=lambda one: (one.price_min, one.from_min, one.until_min)))

    def as_stop(self, chance: Chance) -> Stop:
        """The stop as the calculations of a single day see it."""
        return Stop(
            id=self.id,
            place=self.place,
            service_min=self.service_min,
            open_from_min=chance.from_min,
            open_until_min=chance.until_min,
            prize_min=self.prize_min,
            needs=self.needs,
            only_crew=self.only_crew,
            held_crew=self.held_crew,
            held_position=self.held_position if self.held_crew else None,
            held_at_min=self.held_at_min if self.held_crew else None,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """One crew at work on one day. `crew` has the whole shift, its break and the places.

    `kept_min` at its end stay free for callbacks. Beyond `target_min` of work and road a minute
    costs `balance_cost`: that is what spreads the work over the days.
    """

    id: str
    day: int
    crew: Crew
    kept_min: int = 0
    target_min: int | None = None
    balance_cost: int = 1

    @property
    def plan_until_min(self) -> int:
        """Home by then if the break is not counted: shift end less break and what is kept."""
        pause = self.crew.break_min if self.crew.takes_break else 0
        return max(self.crew.shift_from_min + 1, self.crew.shift_until_min - pause - self.kept_min)

    def may_serve(self, stop: PeriodStop) -> bool:
        """Has the crew the skills, is the stop bound to nobody else, and has it a chance then?"""
        if stop.held_crew is not None and (stop.held_crew, stop.held_day) != (
            self.crew.id,
            self.day,
        ):
            return False
        if stop.only_crew is not None and stop.only_crew != self.crew.id:
            return False
        return stop.needs <= self.crew.skills and any(
            one.first_day <= self.day <= one.last_day for one in stop.chances
        )


@dataclass(frozen=True, kw_only=True)
class PeriodProblem:
    """All stops and shifts of the weeks, and road minutes between the places they name."""

    stops: tuple[PeriodStop, ...]
    shifts: tuple[Shift, ...]
    travel: TravelTimes

    def __post_init__(self) -> None:
        _refuse_twins("stop", [stop.id for stop in self.stops])
        _refuse_twins("shift", [shift.id for shift in self.shifts])
        _refuse_twins("crew on a day", [f"{s.crew.id} on {s.day}" for s in self.shifts])
        places = [stop.place for stop in self.stops]
        places += [p for s in self.shifts for p in (s.crew.start_place, s.crew.end_place)]
        if any(not 0 <= place < len(self.travel) for place in places):
            raise ValueError(f"a place is not one of {len(self.travel)}")

    @cached_property
    def stop_of(self) -> dict[str, PeriodStop]:
        """Stops by id."""
        return {stop.id: stop for stop in self.stops}

    @cached_property
    def shift_of(self) -> dict[str, Shift]:
        """Shifts by id."""
        return {shift.id: shift for shift in self.shifts}


def _refuse_twins(what: str, ids: list[str]) -> None:
    twice = [one for one, n in Counter(ids).items() if n > 1]
    if twice:
        raise ValueError(f"{what} {twice[0]} is there twice")
