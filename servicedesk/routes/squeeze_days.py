"""Room for one more stop on the rounds of several days, ranked by all the harm it does.

Beside every plain place, each stop that may wait is left out once and the new one put in without
it; the one left out is itself offered the cheapest place on the other rounds it may go to. What
cannot be among the best is not timed: road alone already costs more, or the day cannot hold it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from heapq import heappush, heapreplace

from servicedesk.routes.holds import gaps_for
from servicedesk.routes.insertion import extra_road_min, road_of
from servicedesk.routes.problem import Crew, Stop
from servicedesk.routes.squeeze import (
    LATE_WEIGHT,
    OVERTIME_WEIGHT,
    SqueezePlace,
    place_at,
)
from servicedesk.routes.timing import Clock, clock_of
from servicedesk.values.travel_times import TravelTimes

DROPPED_PRICE = (
    45.0  # a visit put off, beside the road of its new place; common practice, no source
)
HOMELESS_PRICE = 300.0  # and for one that finds no other day among those looked at
DAY_PRICE = 20.0  # a day later, in minutes of road; common practice, no source
KEPT = 12


@dataclass(frozen=True, kw_only=True)
class OpenRound:
    """A round as it stands: `stop` is the new stop as of its day (its hours, its promise).

    `may_wait`: for each stop that may be left out, the ids of the rounds that could take it.
    """

    id: str
    day: int
    crew: Crew
    order: tuple[Stop, ...]
    stop: Stop
    travel: TravelTimes
    may_wait: dict[str, frozenset[str]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewHome:
    """Where a stop that was left out would go."""

    round_id: str
    place: SqueezePlace


@dataclass(frozen=True, slots=True, kw_only=True)
class SqueezeOption:
    """One way to make the stop. `harm_min`: all of it, in minutes of road.

    `dropped`: the stop left out for it, "" for none; `new_home`: where that one goes, None if
    nowhere among these rounds. `place.position` counts without the stop left out.
    """

    round_id: str
    day: int
    place: SqueezePlace
    dropped: str
    new_home: NewHome | None
    harm_min: float

    @property
    def rank(self) -> tuple[object, ...]:
        """Orders options: its own promise, the promises of others, harm, then the soonest."""
        others = len(self.place.promises_broken) - (self.place.late_min > 0)
        return (
            self.place.late_min > 0, others > 0, self.harm_min, self.day, self.place.begin_min,
            self.round_id, self.place.position, self.dropped,
        )  # fmt: skip


def squeeze_options(rounds: Sequence[OpenRound], *, keep: int = KEPT) -> tuple[SqueezeOption, ...]:
    """The best `keep` ways, best first; only those that keep every hour and every shift."""
    best = _Best(keep)
    clocks = {one.id: clock_of(one.crew, one.order, one.travel) for one in rounds}
    for one in rounds:
        if one.crew.may_serve(one.stop):
            for option in _plain(one, clocks[one.id]):
                best.offer(option)
    homes = _Homes(rounds, clocks)
    for one in rounds:
        if one.crew.may_serve(one.stop):
            for dropped in one.order:
                if dropped.id in one.may_wait:
                    _without(one, clocks[one.id], dropped, best, homes)
    return best.ranked()


class _Best:
    """The best options so far; knows what harm is too much to be among them."""

    def __init__(self, keep: int) -> None:
        self._keep = keep
        self._clean: list[float] = []  # minus the harm of clean options: a heap, the worst first
        self._found: list[SqueezeOption] = []

    @property
    def too_much(self) -> float:
        """More harm than this is never among the best."""
        return -self._clean[0] if len(self._clean) == self._keep else float("inf")

    def offer(self, option: SqueezeOption) -> None:
        """Keep it if it is sound; whether it is among the best shows at the end."""
        if not option.place.is_sound or option.harm_min > self.too_much:
            return
        self._found.append(option)
        if option.place.promises_broken:
            return
        if len(self._clean) < self._keep:
            heappush(self._clean, -option.harm_min)
        elif option.harm_min < self.too_much:
            heapreplace(self._clean, -option.harm_min)

    def ranked(self) -> tuple[SqueezeOption, ...]:
        """The best, best first."""
        return tuple(sorted(self._found, key=lambda o: o.rank)[: self._keep])


def _plain(one: OpenRound, before: Clock) -> Iterator[SqueezeOption]:
    """Every gap of a round that the day could hold."""
    for place in _places(one.stop, one, one.order, before, less_road_min=0):
        yield SqueezeOption(
            round_id=one.id, day=one.day, place=place, dropped="", new_home=None,
            harm_min=place.price_min + DAY_PRICE * one.day,
        )  # fmt: skip


def _without(one: OpenRound, before: Clock, dropped: Stop, best: _Best, homes: "_Homes") -> None:
    """Every gap of a round without one of its stops."""
    at = one.order.index(dropped)
    rest = (*one.order[:at], *one.order[at + 1 :])
    begins = [*before.begins[:at], *before.begins[at + 1 :]]
    saved = road_of(one.crew, one.order, one.travel) - road_of(one.crew, rest, one.travel)
    # What overtime and lateness there were may go, and nothing more.
    gain = OVERTIME_WEIGHT * before.overtime + LATE_WEIGHT * before.late
    least = DROPPED_PRICE + DAY_PRICE * one.day - gain
    places = _places(
        one.stop, one, rest, replace(before, begins=begins), less_road_min=saved,
        most_road=best.too_much - least,
    )  # fmt: skip
    for place in places:
        harm = place.price_min + DROPPED_PRICE + DAY_PRICE * one.day
        if not place.is_sound or harm > best.too_much:
            continue
        home = homes.of(dropped, one)
        harm += HOMELESS_PRICE if home is None else max(0.0, home.place.price_min)
        best.offer(
            SqueezeOption(
                round_id=one.id, day=one.day, place=place, dropped=dropped.id, new_home=home,
                harm_min=harm,
            )
        )  # fmt: skip


def _places(
    stop: Stop,
    one: OpenRound,
    order: Sequence[Stop],
    before: Clock,
    *,
    less_road_min: int,
    most_road: float = float("inf"),
) -> Iterator[SqueezePlace]:
    crew = one.crew
    pause = crew.break_min if crew.takes_break else 0
    busy = sum(s.service_min for s in order) + stop.service_min + pause
    room = crew.home_by_min - crew.shift_from_min - busy - road_of(crew, order, one.travel)
    for position in gaps_for(stop, order):
        extra = extra_road_min(stop, crew, order, position, one.travel)
        if extra > room or extra - less_road_min > most_road:
            continue
        yield place_at(
            stop, crew, order, position, before=before, travel=one.travel,
            less_road_min=less_road_min,
        )  # fmt: skip


class _Homes:
    """The cheapest clean place of stops that were left out, worked out once each."""

    def __init__(self, rounds: Sequence[OpenRound], clocks: dict[str, Clock]) -> None:
        self._rounds, self._clocks = rounds, clocks
        self._known: dict[tuple[str, str], NewHome | None] = {}

    def of(self, dropped: Stop, here: OpenRound) -> NewHome | None:
        """On another round that may take it; None if no place there harms nobody."""
        key = (dropped.id, here.id)
        if key not in self._known:
            self._known[key] = self._find(dropped, here)
        return self._known[key]

    def _find(self, dropped: Stop, here: OpenRound) -> NewHome | None:
        best: NewHome | None = None
        for other in self._rounds:
            if other.id not in here.may_wait[dropped.id] or not other.crew.may_serve(dropped):
                continue
            most = float("inf") if best is None else best.place.price_min
            gain = OVERTIME_WEIGHT * self._clocks[other.id].overtime
            for place in _places(
                dropped, other, other.order, self._clocks[other.id], less_road_min=0,
                most_road=most + gain,
            ):  # fmt: skip
                clean = place.is_sound and not place.promises_broken
                if clean and (best is None or place.price_min < best.place.price_min):
                    best = NewHome(round_id=other.id, place=place)
        return best
