"""Many comparisons at once: how many of those that look striking would be chance?"""

from collections.abc import Sequence
from math import fsum


def adjusted_p(p_values: Sequence[float], *, any_dependence: bool = False) -> tuple[float, ...]:
    """Each p-value as the smallest false-discovery rate at which it is still named, in order.

    Benjamini and Hochberg 1995 (J. R. Stat. Soc. B 57); with `any_dependence` Benjamini and
    Yekutieli 2001. Both from memory; check values fdr-01 to fdr-03. Ties share one value. Raises
    ValueError for a value outside 0..1.
    """
    if not all(0 <= p <= 1 for p in p_values):
        raise ValueError("a chance lies between 0 and 1")
    n = len(p_values)
    price = fsum(1 / k for k in range(1, n + 1)) if any_dependence else 1.0
    found = [1.0] * n
    smallest = 1.0
    by_size = sorted(range(n), key=lambda i: p_values[i], reverse=True)
    for rank, i in zip(range(n, 0, -1), by_size, strict=True):
        smallest = min(smallest, p_values[i] * (price * n / rank))
        found[i] = smallest
    return tuple(found)
