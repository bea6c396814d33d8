"""Alerts for trouble that comes back at one place: change odds, call by call.

An alert uses only calls dated on or before it: the same data cut at a day gives the same alerts up
to that day. Returns within 14 days are joined first; calls of an event are left out.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import groupby
from typing import Literal

from dateutil.relativedelta import relativedelta

from servicedesk.trouble.call_facts import CallFact, RepairFact, SiteFact
from servicedesk.trouble.change_odds import YEAR_DAYS, after_call, after_gap, chance_of
from servicedesk.trouble.fixed_rule import Level, level_by_rule, told_days
from servicedesk.trouble.fleet_so_far import Exposure, FleetSoFar
from servicedesk.trouble.repaired import MORE_LIKELY_THAN_NOT
from servicedesk.trouble.returns import Return, counted, returns
from servicedesk.values.reason import Reason

__all__ = [
    "Alert", "CallFact", "RepairFact", "Return", "Settings", "SiteFact",
    "alerts", "returns", "watching_since",
]  # fmt: skip

WATCH_FROM, ACT_FROM = 0.40, 0.70
QUIET_DAYS = 180  # no second alert of a level for the same place and symptom within
WATCHING_MONTHS = 12

Dial = Literal["fewer", "usual", "more"]
# chance per year that a site turns bad: the one thing the dial moves
TURNING_PER_YEAR: dict[str, float] = {"fewer": 0.01, "usual": 0.02, "more": 0.04}


@dataclass(frozen=True, slots=True)
class Settings:
    """The one dial: fewer alerts, as usual, more alerts."""

    dial: Dial = "usual"

    def __post_init__(self) -> None:
        if self.dial not in TURNING_PER_YEAR:
            raise ValueError(f"dial {self.dial!r} is none of {', '.join(TURNING_PER_YEAR)}")

    @property
    def turning_per_year(self) -> float:
        """Chance per year that a site turns bad, all symptoms together."""
        return TURNING_PER_YEAR[self.dial]


USUAL = Settings()


@dataclass(frozen=True, slots=True)
class Alert:
    """An alert of `on`, raised by a call of that day.

    `level` "act" stands for "watch" as well. `chance`: that the symptom has become frequent here;
    None where only the fixed rule could speak. `why`: code "repeat" (callbacks `n` in `days`,
    usual is one in `usual_days`) or "repeat_by_rule".
    """

    place: str
    on: date
    symptom: str
    level: Level
    chance: float | None
    why: Reason


@dataclass(slots=True)
class _Pair:
    """What is carried along for one place and symptom. `at`: the day of `odds`."""

    at: date
    odds: float = 0.0
    callbacks: list[date] = field(default_factory=list)
    last_watch: date | None = None
    last_act: date | None = None


def alerts(
    calls: Iterable[CallFact],
    sites: Iterable[SiteFact],
    repairs: Iterable[RepairFact] = (),
    settings: Settings = USUAL,
    until: date | None = None,
) -> tuple[Alert, ...]:
    """Every alert that is or would have been raised, by day, place and symptom.

    `until`: nothing dated later is looked at. A place without a known start, or called from
    before it, counts from the first call of all. Until the first known start
    there is no exposure, and the fixed rule decides.
    """
    within = [c for c in calls if not c.in_event and (until is None or c.on <= until)]
    if not within:
        return ()
    watched = _Watched(tuple(sites), within, repairs)
    found: list[Alert] = []
    for _on, group in groupby(counted(within), key=lambda call: call.on):
        today = tuple(group)
        watched.fleet.meet(call.symptom for call in today)
        found += [one for call in today if (one := watched.alert_at(call, settings)) is not None]
        for call in today:
            watched.fleet.add(call)
    return tuple(found)


def watching_since(
    repairs: Iterable[RepairFact], place: str, symptom: str, *, today: date
) -> date | None:
    """The day of the last root-cause repair, shown as "watching since" for 12 months.

    Of one that probably had nothing to do with these calls nobody says so.
    """
    days = [
        repair.on
        for repair in repairs
        if repair.place == place
        and repair.symptom in ("", symptom)
        and repair.on <= today
        and repair.settles >= MORE_LIKELY_THAN_NOT
    ]
    last = max(days, default=None)
    if last is None or today >= last + relativedelta(months=WATCHING_MONTHS):
        return None
    return last


class _Watched:
    """The fleet and every place with its symptoms, carried along day by day."""

    def __init__(
        self, sites: Sequence[SiteFact], calls: Sequence[CallFact], repairs: Iterable[RepairFact]
    ) -> None:
        self._starts = _starts(sites, calls)
        self._odds_from = min((s.start_on for s in sites if s.start_on is not None), default=None)
        self._repaired = _repairs(repairs)
        self._pairs: dict[tuple[str, str], _Pair] = {}
        self.fleet = FleetSoFar(_exposure(sites, calls, self._starts))

    def alert_at(self, call: CallFact, settings: Settings) -> Alert | None:
        """The alert that this callback raises, None if it raises none."""
        key = (call.place, call.symptom)
        start = self._starts[call.place]
        pair = self._pairs.setdefault(key, _Pair(start))
        exposure_years = (call.on - start).days / YEAR_DAYS
        usual = self.fleet.usual(*key, on=call.on, exposure_years=exposure_years)
        turning = settings.turning_per_year * self.fleet.share(call.symptom)
        _forget_repaired(pair, self._repaired, call, usual, turning)
        _take(pair, call.on, usual, turning)
        if self._odds_from is None or call.on < self._odds_from:
            return _raised_by_rule(pair, call)
        return _raised(pair, call, usual)


def _starts(sites: Sequence[SiteFact], calls: Sequence[CallFact]) -> dict[str, date]:
    """The day each place counts from: the first call of all where its own start cannot be."""
    first_of_all = min(call.on for call in calls)
    starts = _listed_starts(sites, first_of_all)
    for call in calls:
        if call.on < starts.get(call.place, date.max):
            starts[call.place] = first_of_all
    return starts


def _listed_starts(sites: Sequence[SiteFact], unknown: date) -> dict[str, date]:
    starts: dict[str, date] = {}
    for site in sites:
        start = site.start_on or unknown
        starts[site.place] = min(start, starts.get(site.place, start))
    return starts


def _exposure(
    sites: Sequence[SiteFact], calls: Sequence[CallFact], starts: dict[str, date]
) -> Exposure:
    """Exposure by day. A place counts once it is there: from its start, or its first call."""
    there = _listed_starts(sites, min(call.on for call in calls))
    for call in calls:
        there[call.place] = min(call.on, there.get(call.place, call.on))
    ends: dict[str, date | None] = {}
    for site in sites:
        end = ends.get(site.place, site.until_on)
        ends[site.place] = max(end, site.until_on) if end and site.until_on else None
    return Exposure((there[place], start, ends.get(place)) for place, start in starts.items())


def _repairs(
    repairs: Iterable[RepairFact],
) -> dict[tuple[str, str], list[tuple[date, float]]]:
    found: defaultdict[tuple[str, str], list[tuple[date, float]]] = defaultdict(list)
    for repair in repairs:
        found[repair.place, repair.symptom].append((repair.on, repair.settles))
    return found


def _forget_repaired(
    pair: _Pair,
    repaired: dict[tuple[str, str], list[tuple[date, float]]],
    call: CallFact,
    usual: float,
    turning: float,
) -> None:
    """A repair leaves the odds that something else is behind: none where it settles it for sure.

    A call of the very day of the repair is what led to it.
    """
    there = [
        one
        for symptom in ("", call.symptom)
        for one in repaired.get((call.place, symptom), ())
        if pair.at <= one[0] < call.on
    ]
    for on, settles in sorted(there):
        pair.odds = _odds_on(pair, on, usual, turning) * (1 - settles)
        pair.at = on
        if settles >= MORE_LIKELY_THAN_NOT:
            pair.callbacks.clear()


def _odds_on(pair: _Pair, on: date, usual: float, turning: float) -> float:
    gap_years = (on - pair.at).days / YEAR_DAYS
    return after_gap(pair.odds, gap_years, usual=usual, turning=turning)


def _take(pair: _Pair, on: date, usual: float, turning: float) -> None:
    pair.odds = after_call(_odds_on(pair, on, usual, turning), usual=usual)
    pair.at = on
    pair.callbacks.append(on)


def _raised(pair: _Pair, call: CallFact, usual: float) -> Alert | None:
    chance = chance_of(pair.odds)
    wanted: Level | None = None
    if chance >= WATCH_FROM:
        wanted = "act" if chance >= ACT_FROM else "watch"
    level = _not_said_lately(pair, wanted, call.on)
    if level is None:
        return None
    n, days = _span(pair.callbacks)
    why = Reason.of(
        "repeat", symptom=call.symptom, n=n, days=days, usual_days=round(YEAR_DAYS / usual)
    )  # fmt: skip
    return Alert(call.place, call.on, call.symptom, level, chance, why)


def _raised_by_rule(pair: _Pair, call: CallFact) -> Alert | None:
    level = _not_said_lately(pair, level_by_rule(pair.callbacks), call.on)
    if level is None:
        return None
    n, days = _span(pair.callbacks)
    why = Reason.of("repeat_by_rule", symptom=call.symptom, n=n, days=days)
    return Alert(call.place, call.on, call.symptom, level, None, why)


def _span(callbacks: Sequence[date]) -> tuple[int, int]:
    """How many callbacks to tell, and over how many days."""
    told = told_days(callbacks)
    return len(told), (told[-1] - told[0]).days


def _not_said_lately(pair: _Pair, wanted: Level | None, on: date) -> Level | None:
    """The level to raise: no level twice within 180 days, and an act alert is a watch alert too."""
    if wanted == "act" and _is_free(pair.last_act, on):
        pair.last_act = pair.last_watch = on
        return "act"
    if wanted is not None and _is_free(pair.last_watch, on):
        pair.last_watch = on
        return "watch"
    return None


def _is_free(last: date | None, on: date) -> bool:
    return last is None or (on - last).days >= QUIET_DAYS
