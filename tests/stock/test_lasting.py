"""How long pieces last, against waiting times of a Poisson process drawn by numpy."""

import numpy as np
import pytest

from servicedesk.stock.intermittent import PRIOR_YEARS, Use
from servicedesk.stock.lasting import lasting
from servicedesk.stock.reorder import YEAR_DAYS


def test_the_range_is_that_of_waiting_times_at_rates_drawn_from_the_gamma():
    """The n-th event comes after Gamma(n, 1 / rate); the rate itself is gamma (conjugate)."""
    use = Use(20, 4.0, 3.0)
    rng = np.random.default_rng(2)
    rates = rng.gamma(PRIOR_YEARS * 3.0 + 20, 1 / (PRIOR_YEARS + 4.0), size=200_000)
    days = rng.gamma(6, 1 / rates) * YEAR_DAYS
    found = lasting(use, 6)

    for value, share in ((found.low, 0.025), (found.best, 0.5), (found.high, 0.975)):
        assert value == pytest.approx(np.quantile(days, share), rel=0.02)


def test_more_lasts_longer_and_nothing_lasts_no_day():
    use = Use(20, 4.0, 3.0)
    some = [lasting(use, n).best for n in (1, 2, 5, 9)]

    assert some == sorted(some)
    assert lasting(use, 0).best == lasting(use, -2).best == 0


def test_what_is_never_used_lasts_beyond_all_years():
    assert lasting(Use(0, 6.0, 0.0), 3) is None
    assert lasting(Use(1, 6.0, 0.1), 2) is None or lasting(Use(1, 6.0, 0.1), 2).high is None
