"""Calls within two weeks: one callback, and a list of their own ("not fixed the first time")."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from servicedesk.trouble.call_facts import CallFact

RETURN_DAYS = 14


@dataclass(frozen=True, slots=True)
class Return:
    """A call for the same thing `days` (1 to 14) after the one before it, of `after_on`."""

    place: str
    symptom: str
    on: date
    after_on: date
    days: int


def returns(calls: Iterable[CallFact]) -> tuple[Return, ...]:
    """Every call that came within 14 days of the one before, same place and symptom, by day.

    Two calls of one day are one; calls of an event are left out.
    """
    found = [
        Return(place, symptom, later, earlier, (later - earlier).days)
        for (place, symptom), days in _days(calls).items()
        for earlier, later in pairwise(days)
        if (later - earlier).days <= RETURN_DAYS
    ]
    return tuple(sorted(found, key=lambda one: (one.on, one.place, one.symptom)))


def counted(calls: Iterable[CallFact]) -> tuple[CallFact, ...]:
    """The calls that count as callbacks of their own, by day, place and symptom.

    A call within 14 days of the last *counted* one is joined to it. Counting from that one, and
    not from the last call, a site that calls every ten days for a year is not one callback.
    """
    kept: list[CallFact] = []
    for (place, symptom), days in _days(calls).items():
        last: date | None = None
        for on in days:
            if last is None or (on - last).days > RETURN_DAYS:
                kept.append(CallFact(place, on, symptom))
                last = on
    return tuple(sorted(kept, key=lambda one: (one.on, one.place, one.symptom)))


def _days(calls: Iterable[CallFact]) -> dict[tuple[str, str], list[date]]:
    """The days of calls by place and symptom, each day once, in order."""
    days: defaultdict[tuple[str, str], set[date]] = defaultdict(set)
    for call in calls:
        if not call.in_event:
            days[call.place, call.symptom].add(call.on)
    return {pair: sorted(those) for pair, those in days.items()}
