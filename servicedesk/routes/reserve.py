"""How much of a day to keep free for callbacks that nobody has made yet."""

import math


def poisson_quantile(mean: float, confidence: float) -> int:
    """The smallest n with P(N <= n) >= `confidence` for a Poisson count of that mean.

    Raises ValueError for a negative mean or a confidence outside 0..1 (1 excluded).
    """
    if not mean >= 0 or math.isinf(mean):
        raise ValueError(f"a mean of {mean} is none of a count")
    if not 0 <= confidence < 1:
        raise ValueError(f"a confidence of {confidence} is not within 0..1")
    log_term, total, n = -mean, math.exp(-mean), 0
    while total < confidence - 1e-12:
        n += 1
        log_term += math.log(mean / n)
        total += math.exp(log_term)
    return n


def kept_for_callbacks(
    calls_a_day: float, *, confidence: float, minutes_each: int, n_crews: int
) -> int:
    """Minutes that each of `n_crews` keeps free a day, so that callbacks fit with `confidence`.

    Callbacks come at a constant rate of `calls_a_day` (Poisson); each takes `minutes_each`, road
    and work. Their quantile is spread evenly over the crews, rounded up; 0 with no crew.
    """
    if n_crews <= 0:
        return 0
    return math.ceil(poisson_quantile(calls_a_day, confidence) * minutes_each / n_crews)
