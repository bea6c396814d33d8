"""Do two symptoms share causes? The overlap of what may lie behind them.

For every symptom the knowledge gives relative weights of its causes. Divided by their sum (the
weight of "not in this list" included, as a cause of that symptom's own) they are chances. The
overlap of two symptoms is the sum, over all causes, of the smaller of the two chances: 1 for the
same chances, 0 where no cause is in both. It is one less the total variation distance, and the
largest chance with which both can have come of the very same cause (the coupling inequality).

Calls share causes at an overlap of `SHARED` or more: one in four of what may lie behind the one is
what may lie behind the other. Of the pairs of shipped symptoms those above are one story told twice
(high-water alarm and alarm that comes and goes about 0.5, no spray and high-water alarm 0.45, weak
spray and wet area, dead panel and breaker trips 0.33), and a chance meeting such as smell in the
house and breaker trips stays below 0.05. In between lie pairs that may be either, such as pump will
not stop and wet area (0.2); there a person joins. Where to cut is our judgment, no source.

Several calls together are the mean of their chances. The overlap with a mean is at least the mean
of the overlaps: a thread stays one while its calls share causes on the whole, and no chain of
neighbors leads it from one trouble to another.
"""

from collections.abc import Iterable, Mapping, Sequence

from servicedesk.trade.faults import Knowledge

SHARED = 0.25

Chances = Mapping[str, float]


class Alike:
    """Overlaps for one knowledge; remembers the chances it computed."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self._known: dict[tuple[str, ...], Chances] = {}
        self._overlaps: dict[tuple[tuple[str, ...], tuple[str, ...]], float] = {}
        self._among: dict[tuple[tuple[str, ...], tuple[tuple[str, ...], ...]], float] = {}

    def chances(self, symptoms: tuple[str, ...]) -> Chances:
        """What may lie behind a call, as chances that add to 1; nothing reported: nothing.

        A symptom that the knowledge does not have shares causes with itself only.
        """
        found = self._known.get(symptoms)
        if found is None:
            found = mean(self._of_one(symptom) for symptom in symptoms)
            self._known[symptoms] = found
        return found

    def _of_one(self, symptom: str) -> Chances:
        behind = self.knowledge.causes_of.get(symptom)
        if behind is None:
            return {f"? {symptom}": 1.0}
        total = sum(behind.weights.values()) + behind.unlisted_weight
        chances = {cause: weight / total for cause, weight in behind.weights.items()}
        return {**chances, f"? {symptom}": behind.unlisted_weight / total}

    def overlap(self, some: tuple[str, ...], others: tuple[str, ...]) -> float:
        """Overlap of what may lie behind two calls, 0 to 1."""
        key = (some, others)
        if key not in self._overlaps:
            self._overlaps[key] = overlap(self.chances(some), self.chances(others))
        return self._overlaps[key]

    def overlap_with_mean(self, some: tuple[str, ...], several: Sequence[tuple[str, ...]]) -> float:
        """Overlap of what may lie behind a call and several others on the whole, 0 to 1."""
        key = (some, tuple(sorted(several)))
        if key not in self._among:
            behind = mean(self.chances(one) for one in key[1])
            self._among[key] = overlap(self.chances(some), behind)
        return self._among[key]


_KNOWN: list[Alike] = []  # shipped, and the company's own as it is edited
_MOST_KNOWN = 4


def alike_of(knowledge: Knowledge) -> Alike:
    """The overlaps of this knowledge, made the first time it is asked for."""
    for one in _KNOWN:
        if one.knowledge is knowledge:
            return one
    del _KNOWN[: max(0, len(_KNOWN) + 1 - _MOST_KNOWN)]
    _KNOWN.append(Alike(knowledge))
    return _KNOWN[-1]


def overlap(some: Chances, others: Chances) -> float:
    """Sum of the smaller chances, 0 to 1."""
    few, many = sorted((some, others), key=len)
    return sum(min(chance, many.get(cause, 0.0)) for cause, chance in few.items())


def mean(several: Iterable[Chances]) -> Chances:
    """The chances of several taken together, each with the same weight."""
    all_of_them = [one for one in several if one]
    total: dict[str, float] = {}
    for one in all_of_them:
        for cause, chance in one.items():
            total[cause] = total.get(cause, 0.0) + chance / len(all_of_them)
    return total
