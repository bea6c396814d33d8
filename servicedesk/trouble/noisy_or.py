"""Several faults at once: independent causes, each of which may bring a finding about (noisy-OR).

The ranking of causes supposes one fault (`trouble.causes`): a case is short, causes of one
symptom compete, and every result counts, not only "there" or "not there". That model cannot say
"two faults together". This one can, for the few causes that the findings touch:
`trouble.contradictions` asks it when the leading cause leaves a finding unexplained. Chances here
need not add to 1.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, product
from math import prod

from servicedesk.trouble.bayes import entropy_bits, expected_bits

# 2 to this power states are looked at one by one; beyond, the sum runs over the findings
MOST_CAUSES = 12


@dataclass(frozen=True, slots=True)
class Sign:
    """A finding that is there or not: its chance with no cause (`leak`), and each cause's own."""

    leak: float
    by_cause: Mapping[str, float]

    def absent(self, present: Sequence[str]) -> float:
        """Chance that it is not there while these causes are."""
        return (1 - self.leak) * prod(1 - self.by_cause.get(cause, 0.0) for cause in present)


@dataclass(frozen=True, slots=True)
class Faults:
    """Causes with the chance of each to be there, independent of one another, and their signs."""

    priors: Mapping[str, float]
    signs: Mapping[str, Sign]

    def chances(self, seen: Mapping[str, bool]) -> dict[str, float]:
        """Chance that each cause is there, given signs seen (True) or seen absent (False).

        Signs not named are unknown and drop out. Raises ValueError if what was seen cannot be.
        """
        if len(self.priors) <= MOST_CAUSES:
            return self._by_states(seen)
        return by_found_signs(self, seen)

    def states(self, seen: Mapping[str, bool]) -> tuple[list[tuple[str, ...]], list[float]]:
        """Every set of causes that may be there together, and the chance of each."""
        names = list(self.priors)
        present = [
            tuple(name for name, there in zip(names, flags, strict=True) if there)
            for flags in product((False, True), repeat=len(names))
        ]
        weights = [self._prior(one) * self._seen_given(one, seen) for one in present]
        total = sum(weights)
        if total <= 0:
            raise ValueError("what was seen cannot be")
        return present, [one / total for one in weights]

    def bits(self, seen: Mapping[str, bool], sign: str) -> float:
        """How many bits a look for `sign` is expected to tell about all causes together."""
        present, chances = self.states(seen)
        absent = [self.signs[sign].absent(one) for one in present]
        return expected_bits(chances, [absent, [1 - one for one in absent]])

    def open_bits(self, seen: Mapping[str, bool]) -> float:
        """How open the question is which causes are there, in bits."""
        return entropy_bits(self.states(seen)[1])

    def _by_states(self, seen: Mapping[str, bool]) -> dict[str, float]:
        present, chances = self.states(seen)
        return {
            name: sum(p for one, p in zip(present, chances, strict=True) if name in one)
            for name in self.priors
        }

    def _prior(self, present: tuple[str, ...]) -> float:
        return prod(p if name in present else 1 - p for name, p in self.priors.items())

    def _seen_given(self, present: tuple[str, ...], seen: Mapping[str, bool]) -> float:
        absent = ((self.signs[name].absent(present), there) for name, there in seen.items())
        return prod(1 - chance if there else chance for chance, there in absent)


def by_found_signs(faults: Faults, seen: Mapping[str, bool]) -> dict[str, float]:
    """The same chances for many causes: the sum runs over subsets of the signs found.

    Inclusion-exclusion over positive findings (Heckerman 1989): exponential in the signs found,
    linear in the causes. Raises ValueError if what was seen cannot be.
    """
    found = [name for name, there in seen.items() if there]
    absent = [name for name, there in seen.items() if not there]
    total = _sum_over(faults, found, absent, None)
    if total <= 0:
        raise ValueError("what was seen cannot be")
    return {name: _sum_over(faults, found, absent, name) / total for name in faults.priors}


def _sum_over(faults: Faults, found: list[str], absent: list[str], held: str | None) -> float:
    """Chance of what was seen, together with `held` being there if one is named."""
    total = 0.0
    for size in range(len(found) + 1):
        for some in combinations(found, size):
            signs = [faults.signs[name] for name in (*absent, *some)]
            term = prod(1 - sign.leak for sign in signs)
            for name, prior in faults.priors.items():
                kept = prior * prod(1 - sign.by_cause.get(name, 0.0) for sign in signs)
                term *= kept if name == held else 1 - prior + kept
            total += (-1) ** size * term
    return total
