"""Poisson CUSUM, likelihood-ratio form: a second opinion beside the change odds.

Source: Lucas 1985, Technometrics 27, 129-144 (formula at second hand; paper not opened); held by
check alert-01. No alert is raised by it: the odds find more at equal false alerts.
"""

from collections.abc import Iterable
from itertools import accumulate
from math import log


def reference_value(mean_ok: float, mean_bad: float) -> float:
    """The count per interval that leaves the sum as it is: (bad - ok) / (ln bad - ln ok).

    Raises ValueError unless 0 < `mean_ok` < `mean_bad`.
    """
    if not 0 < mean_ok < mean_bad:
        raise ValueError(f"means {mean_ok} and {mean_bad} do not grow from above 0")
    return (mean_bad - mean_ok) / (log(mean_bad) - log(mean_ok))


def path(counts: Iterable[int], reference: float) -> tuple[float, ...]:
    """The sum after each interval: what is counted above `reference`, never below 0."""
    sums = accumulate(counts, lambda sum_, n: max(0.0, sum_ + n - reference), initial=0.0)
    return tuple(sums)[1:]
