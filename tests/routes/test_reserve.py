"""What is kept for callbacks, against tables of the Poisson distribution."""

import pytest
from scipy import stats

from servicedesk.routes.reserve import kept_for_callbacks, poisson_quantile


@pytest.mark.parametrize("mean", [0.05, 0.4, 1.0, 2.0, 5.5, 12.0, 80.0])
@pytest.mark.parametrize("confidence", [0.1, 0.5, 0.8, 0.9, 0.99])
def test_the_quantile_is_that_of_an_independent_library(mean, confidence):
    assert poisson_quantile(mean, confidence) == int(stats.poisson.ppf(confidence, mean))


def test_nobody_calls_where_nobody_ever_called():
    assert poisson_quantile(0, 0.99) == 0
    assert kept_for_callbacks(0, confidence=0.9, minutes_each=75, n_crews=3) == 0


def test_a_surer_promise_keeps_more_and_more_crews_keep_less_each():
    # Poisson tables: mean 2, P(N <= 3) = 0.8571, P(N <= 4) = 0.9473
    assert kept_for_callbacks(2, confidence=0.85, minutes_each=70, n_crews=2) == 105
    assert kept_for_callbacks(2, confidence=0.90, minutes_each=70, n_crews=2) == 140
    assert kept_for_callbacks(2, confidence=0.90, minutes_each=70, n_crews=4) == 70
    assert kept_for_callbacks(2, confidence=0.90, minutes_each=70, n_crews=0) == 0


@pytest.mark.parametrize(
    ("mean", "confidence"), [(-1, 0.5), (1, 1.0), (1, -0.1), (float("inf"), 0.5)]
)
def test_impossible_questions_are_refused(mean, confidence):
    with pytest.raises(ValueError):
        poisson_quantile(mean, confidence)
