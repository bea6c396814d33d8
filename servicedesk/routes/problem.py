"""What a day asks for: stops, crews and the road between them.

Every time is whole minutes after local midnight of the day; one past 1440 is after midnight.
"""

from collections import Counter
from dataclasses import dataclass
from functools import cached_property

from servicedesk.values.travel_times import TravelTimes


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """One stop that a crew should make.

    The work must *begin* at `open_from_min` or later and at `open_until_min` or earlier: the
    latter is the last minute for beginning, itself allowed (whoever must be gone by closing time
    takes the work off first). The same reading holds for the promise and for `held_at_min`.

    `prize_min` is what leaving the stop out costs, in minutes of road; None means it must be
    made. A `told` customer outranks every must. A stop held by hand (`held_crew`) outranks both,
    stays with that crew, keeps its order (`held_position`, ascending) among the held stops there
    and begins at `held_at_min` where that is given. Another crew than `liked_crew` costs
    `liked_min` minutes of road.
    """

    id: str
    place: int
    service_min: int
    open_from_min: int = 0
    open_until_min: int = 1440
    promise_from_min: int | None = None
    promise_until_min: int | None = None
    prize_min: int | None = None
    needs: frozenset[str] = frozenset()
    only_crew: str | None = None
    held_crew: str | None = None
    held_position: int | None = None
    held_at_min: int | None = None
    told: bool = False
    liked_crew: str | None = None
    liked_min: int = 0

    def __post_init__(self) -> None:
        if self.service_min < 0:
            raise ValueError(f"stop {self.id}: {self.service_min} minutes of work are negative")
        if self.open_from_min > self.open_until_min:
            raise ValueError(
                f"stop {self.id}: opens at {self.open_from_min}, closes at {self.open_until_min}"
            )
        if self.prize_min is not None and self.prize_min < 0:
            raise ValueError(f"stop {self.id}: a prize of {self.prize_min} is negative")
        if self.liked_min < 0:
            raise ValueError(f"stop {self.id}: a liking of {self.liked_min} is negative")
        if self.held_crew is None and (self.held_position, self.held_at_min) != (None, None):
            raise ValueError(f"stop {self.id}: held in place or time but with no crew")

    @property
    def is_must(self) -> bool:
        """Is it one that must be made, was told, or is held by hand?"""
        return self.prize_min is None or self.told or self.held_crew is not None

    @property
    def begin_from_min(self) -> int:
        """The first minute at which the work may begin, from hours, promise and hold."""
        return max(self.open_from_min, self.promise_from_min or 0, self.held_at_min or 0)

    @property
    def agreed_until_min(self) -> int | None:
        """The last minute that was agreed (promise, hold), or None if nothing was."""
        agreed = [m for m in (self.promise_until_min, self.held_at_min) if m is not None]
        return min(agreed) if agreed else None

    @property
    def begin_until_min(self) -> int:
        """The last minute at which the work may begin, from hours, promise and hold."""
        agreed = self.agreed_until_min
        return self.open_until_min if agreed is None else min(self.open_until_min, agreed)

    @property
    def bound_crew(self) -> str | None:
        """The one crew that may come, or None if any may."""
        return self.held_crew or self.only_crew

    def liking_min(self, crew_id: str) -> int:
        """What it costs, in minutes of road, that this crew comes and not the one liked."""
        return 0 if self.liked_crew in {None, crew_id} else self.liked_min


@dataclass(frozen=True, slots=True, kw_only=True)
class Crew:
    """One crew at work: from `start_place` not before `shift_from_min`, to `end_place`.

    Home by `shift_until_min`, at the very latest `overtime_min` later. The break lasts
    `break_min`, begins between `break_from_min` and `break_until_min` (both allowed) and is taken
    at a place: before leaving, on arrival at a stop, after the work there, or at the end.
    """

    id: str
    start_place: int
    end_place: int
    shift_from_min: int
    shift_until_min: int
    overtime_min: int = 0
    break_min: int = 0
    break_from_min: int = 0
    break_until_min: int = 1440
    skills: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        if self.shift_from_min >= self.shift_until_min:
            raise ValueError(
                f"crew {self.id}: a shift from {self.shift_from_min} to {self.shift_until_min}"
            )
        if self.overtime_min < 0 or self.break_min < 0:
            raise ValueError(f"crew {self.id}: overtime or break is negative")
        if self.break_from_min > self.break_until_min:
            raise ValueError(
                f"crew {self.id}: a break between {self.break_from_min} and {self.break_until_min}"
            )

    @property
    def home_by_min(self) -> int:
        """The latest minute at which the day may end, overtime included."""
        return self.shift_until_min + self.overtime_min

    @property
    def takes_break(self) -> bool:
        """Does the shift reach into the break's hours far enough to hold it?"""
        starts_in_time = self.shift_from_min <= self.break_until_min
        return (
            self.break_min > 0
            and starts_in_time
            and self.break_from_min + self.break_min <= self.shift_until_min
        )

    def may_serve(self, stop: Stop) -> bool:
        """Has the crew the skills, and is the stop not bound to another?"""
        for bound in (stop.held_crew, stop.only_crew):
            if bound is not None and bound != self.id:
                return False
        return stop.needs <= self.skills


@dataclass(frozen=True, kw_only=True)
class DayProblem:
    """One day: all stops, all crews at work, road minutes between the places they name."""

    stops: tuple[Stop, ...]
    crews: tuple[Crew, ...]
    travel: TravelTimes

    def __post_init__(self) -> None:
        _refuse_twins("stop", [stop.id for stop in self.stops])
        _refuse_twins("crew", [crew.id for crew in self.crews])
        places = [(f"stop {s.id}", s.place) for s in self.stops]
        places += [(f"crew {c.id}", p) for c in self.crews for p in (c.start_place, c.end_place)]
        for who, place in places:
            if not 0 <= place < len(self.travel):
                raise ValueError(f"{who}: place {place} is not one of {len(self.travel)}")

    @cached_property
    def stop_of(self) -> dict[str, Stop]:
        """Stops by id."""
        return {stop.id: stop for stop in self.stops}

    @cached_property
    def crew_of(self) -> dict[str, Crew]:
        """Crews by id."""
        return {crew.id: crew for crew in self.crews}


def _refuse_twins(what: str, ids: list[str]) -> None:
    twice = [one for one, n in Counter(ids).items() if n > 1]
    if twice:
        raise ValueError(f"{what} {twice[0]} is there twice")
