"""What the company's own confirmed cases teach: counts over the shipped chances.

Shipped chances are worth ten cases (checks/statistics, section 5: "default tables are assumptions,
worth 10 cases"); a symptom stays "default" until it has twenty of its own. Forgetting is starting
again from `Learned()`: nothing else is kept.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

PSEUDO_CASES = 10.0
DEFAULT_UNTIL = 20
UNLISTED = "unlisted"


@dataclass(frozen=True, slots=True)
class Confirmed:
    """One closed case whose cause was proved (a direct check spoke, or the fix has held).

    `id` tells it from others, so that nothing counts twice; `cause` may be "unlisted".
    """

    id: int | str
    symptom: str
    cause: str
    found: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Learned:
    """Counts of confirmed cases. `causes`: by symptom and cause; `results`: by cause and check."""

    causes: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    results: Mapping[str, Mapping[str, Mapping[str, int]]] = field(default_factory=dict)

    @classmethod
    def of(cls, cases: Iterable[Confirmed]) -> "Learned":
        """Counts from cases; a case given twice counts once (the first one given)."""
        causes: dict[str, dict[str, int]] = {}
        results: dict[str, dict[str, dict[str, int]]] = {}
        seen: set[int | str] = set()
        for case in cases:
            if case.id in seen:
                continue
            seen.add(case.id)
            of_symptom = causes.setdefault(case.symptom, {})
            of_symptom[case.cause] = of_symptom.get(case.cause, 0) + 1
            for check, result in case.found.items():
                row = results.setdefault(case.cause, {}).setdefault(check, {})
                row[result] = row.get(result, 0) + 1
        return cls(causes, results)

    def n_cases(self, symptom: str) -> int:
        """How many confirmed cases speak for this symptom."""
        return sum(self.causes.get(symptom, {}).values())

    def is_default(self, symptom: str) -> bool:
        """Whether the shipped chances still carry the answer."""
        return self.n_cases(symptom) < DEFAULT_UNTIL

    def share(self, symptom: str, cause: str, shipped: float) -> float:
        """Chance of a cause before any finding: the shipped share as ten cases, and our own."""
        n = self.causes.get(symptom, {}).get(cause, 0)
        return (PSEUDO_CASES * shipped + n) / (PSEUDO_CASES + self.n_cases(symptom))

    def row(self, cause: str, check: str, shipped: Mapping[str, float]) -> Mapping[str, float]:
        """Chances of the results of a check under a cause, blended in the same way."""
        counts = self.results.get(cause, {}).get(check)
        if not counts:
            return shipped
        total = PSEUDO_CASES + sum(counts.get(result, 0) for result in shipped)
        return {r: (PSEUDO_CASES * p + counts.get(r, 0)) / total for r, p in shipped.items()}


NOTHING_LEARNED = Learned()
