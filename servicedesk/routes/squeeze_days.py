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
    `too_late`: the day lies after the new stop's promise.
    """

    id: str
    day: int
    crew: Crew
    order: tuple[Stop, ...]
    stop: Stop
    travel: TravelTimes
    may_wait: dict[str, frozenset[str]] = field(default_factory=dict)
    too_late: bool = False


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
    too_late: bool = False

    @property
    def breaks_its_promise(self) -> bool:
        """Would the new stop itself come after its promise?"""
        return self.too_late or self.place.late_min > 0

    @property
    def rank(self) -> tuple[object, ...]:
        """Orders options: its own promise, the promises of others, harm, then the soonest."""
        others = len(self.place.promises_broken) - (self.place.late_min > 0)
        return (
            self.breaks_its_promise, others > 0, self.harm_min, self.day, self.place.begin_min,
            self.round_id, self.place.position, self.dropped,
        )  # fmt: skip


def squeeze_options(rounds: Sequence[OpenRound], *, keep: int = KEPT) -> tuple[SqueezeOption, ...]:
    """The best `keep` ways, best first; only those that keep every hour and every shift."""
    best = _Best(keep)
    clocks = {one.id: clock_of(one.crew, one.order, one.travel) for one in rounds}
    homes = _Homes(rounds, clocks)
    tries: list[_Try] = []
    for one in rounds:
        if one.crew.may_serve(one.stop):
            tries += _tries(one, None, clocks[one.id])
            for dropped in one.order:
                if dropped.id in one.may_wait:
                    tries += _tries(one, dropped, clocks[one.id])
    # The least that each can cost, ascending: after the first that is too much all others are.
    for one_try in sorted(tries, key=lambda t: (t.least, t.round.id, t.position, t.dropped_id)):
        if one_try.least > best.too_much:
            break
        option = _timed(one_try, homes, best.too_much)
        if option is not None:
            best.offer(option)
    return best.ranked()


@dataclass(frozen=True, slots=True)
class _Try:
    """One gap of one round, `dropped` left out, and the least harm it can do."""

    least: float
    round: OpenRound
    rest: tuple[Stop, ...]
    before: Clock
    position: int
    dropped: Stop | None
    saved: int

    @property
    def dropped_id(self) -> str:
        return "" if self.dropped is None else self.dropped.id


def _tries(one: OpenRound, dropped: Stop | None, before: Clock) -> Iterator[_Try]:
    """The gaps that the day could hold by road and work alone."""
    # What overtime and lateness there were may go, and nothing more.
    least = DAY_PRICE * one.day - OVERTIME_WEIGHT * before.overtime - LATE_WEIGHT * before.late
    rest, saved = one.order, 0
    if dropped is not None:
        at = one.order.index(dropped)
        rest = (*one.order[:at], *one.order[at + 1 :])
        before = replace(before, begins=[*before.begins[:at], *before.begins[at + 1 :]])
        saved = road_of(one.crew, one.order, one.travel) - road_of(one.crew, rest, one.travel)
        least += DROPPED_PRICE
    for position, extra in _gaps(one.stop, one, rest):
        yield _Try(least + extra - saved, one, rest, before, position, dropped, saved)


def _gaps(stop: Stop, one: OpenRound, order: Sequence[Stop]) -> Iterator[tuple[int, int]]:
    """Gap and more road for every gap that the day could hold, never waiting for anybody."""
    crew = one.crew
    pause = crew.break_min if crew.takes_break else 0
    busy = sum(s.service_min for s in order) + stop.service_min + pause
    room = crew.home_by_min - crew.shift_from_min - busy - road_of(crew, order, one.travel)
    for position in gaps_for(stop, order):
        extra = extra_road_min(stop, crew, order, position, one.travel)
        if extra <= room:
            yield position, extra


def _timed(one: _Try, homes: "_Homes", too_much: float) -> SqueezeOption | None:
    """The option with its whole clock; None if it is unsound or too much."""
    place = place_at(
        one.round.stop, one.round.crew, one.rest, one.position, before=one.before,
        travel=one.round.travel, less_road_min=one.saved,
    )  # fmt: skip
    harm = place.price_min + DAY_PRICE * one.round.day
    home = None
    if one.dropped is not None:
        harm += DROPPED_PRICE
        if place.is_sound and harm <= too_much:
            home = homes.of(one.dropped, one.round)
            harm += HOMELESS_PRICE if home is None else max(0.0, home.place.price_min)
    if not place.is_sound or harm > too_much:
        return None
    return SqueezeOption(
        round_id=one.round.id, day=one.round.day, place=place, dropped=one.dropped_id,
        new_home=home, harm_min=harm, too_late=one.round.too_late,
    )  # fmt: skip


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
        if option.place.promises_broken or option.too_late:
            return
        if len(self._clean) < self._keep:
            heappush(self._clean, -option.harm_min)
        elif option.harm_min < self.too_much:
            heapreplace(self._clean, -option.harm_min)

    def ranked(self) -> tuple[SqueezeOption, ...]:
        """The best, best first."""
        return tuple(sorted(self._found, key=lambda o: o.rank)[: self._keep])


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
        for least, other, position in sorted(
            self._gaps(dropped, here), key=lambda g: (g[0], g[1].id, g[2])
        ):
            if best is not None and least > best.place.price_min:
                break
            place = place_at(
                dropped, other.crew, other.order, position, before=self._clocks[other.id],
                travel=other.travel,
            )  # fmt: skip
            clean = place.is_sound and not place.promises_broken
            if clean and (best is None or place.price_min < best.place.price_min):
                best = NewHome(round_id=other.id, place=place)
        return best

    def _gaps(self, dropped: Stop, here: OpenRound) -> Iterator[tuple[float, OpenRound, int]]:
        for other in self._rounds:
            if other.id in here.may_wait[dropped.id] and other.crew.may_serve(dropped):
                clock = self._clocks[other.id]
                gain = OVERTIME_WEIGHT * clock.overtime + LATE_WEIGHT * clock.late
                for position, extra in _gaps(dropped, other, other.order):
                    yield extra - gain, other, position
