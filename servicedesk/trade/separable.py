"""Can every cause be told from its neighbors by some check?

Neighbors are the rivals that a cause names and the other causes of each of its symptoms. A check
tells two causes apart by the total variation between its rows for both: half the sum of the
differences, 0 where it says the same, 1 where it never does (Levin, Peres, Wilmer, Markov Chains
and Mixing Times, proposition 4.2; from memory).
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from servicedesk.trade.faults import Knowledge

APART = 0.3


@dataclass(frozen=True, slots=True)
class TooAlike:
    """Two causes that no check tells apart: the best one and how far it does. `symptom`: "" for
    rivals that a cause names.
    """

    symptom: str
    first: str
    second: str
    check: str
    variation: float


def variation(first: Mapping[str, float], second: Mapping[str, float]) -> float:
    """The total variation between two rows over the same results, 0..1."""
    return sum(abs(chance - second[result]) for result, chance in first.items()) / 2


def best_check(knowledge: Knowledge, first: str, second: str) -> tuple[str, float]:
    """The check that tells two causes apart best, and how far (0..1)."""
    asked = {
        *knowledge.causes[first].evidence,
        *knowledge.causes[second].evidence,
    }  # elsewhere both rows are the usual one
    far = {
        check: variation(knowledge.row(first, check), knowledge.row(second, check))
        for check in asked
    }
    best = max(sorted(far), key=lambda check: far[check], default="")
    return best, far.get(best, 0.0)


def too_alike(knowledge: Knowledge, causes: Iterable[str] | None = None) -> tuple[TooAlike, ...]:
    """Neighbors that no check tells apart by `APART` or more (of `causes` alone, if given)."""
    wanted = None if causes is None else set(causes)
    looked: dict[tuple[str, str], tuple[str, float]] = {}
    found = []
    for symptom, first, second in _neighbors(knowledge):
        if wanted is not None and not {first, second} & wanted:
            continue
        pair = (min(first, second), max(first, second))
        if pair in looked:
            continue
        looked[pair] = best_check(knowledge, *pair)
        check, far = looked[pair]
        if far < APART:
            found.append(TooAlike(symptom, *pair, check, far))
    return tuple(found)


def _neighbors(knowledge: Knowledge) -> Iterator[tuple[str, str, str]]:
    for cause in knowledge.causes.values():
        for rival in cause.rivals:
            yield "", cause.id, rival.cause
    for symptom, one in knowledge.causes_of.items():
        ids = list(one.weights)
        for i, first in enumerate(ids):
            for second in ids[i + 1 :]:
                yield symptom, first, second
