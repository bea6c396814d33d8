"""Rates, comparisons, false discovery and shrinkage against tests/data/statistics/rates.json.

Each row there names its source and how its value was confirmed. scipy.stats, which the program
itself does not use, is the second opinion.
"""

import json
import math
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from servicedesk.trouble.discovery import adjusted_p
from servicedesk.trouble.rates import (
    binomial_limits,
    binomial_tail,
    binomial_two_sided,
    compare_rates,
    dispersion,
    fisher_above,
    poisson_limits,
    poisson_tail,
    poisson_two_sided,
    rate_of,
    wilson_limits,
)
from servicedesk.trouble.shrinkage import Gamma, fit_gamma, log_likelihood

DATA = Path(__file__).parents[1] / "data" / "statistics" / "rates.json"
CHECKS = {row["id"]: (row["inputs"], row["expected"]) for row in json.loads(DATA.read_text())}


def test_one_rate_against_the_expected_one():
    given, wanted = CHECKS["rate-01"]
    found = rate_of(given["events"], given["expected_count"])

    assert found.best == pytest.approx(wanted["ratio"], rel=1e-6)
    assert [found.low, found.high] == pytest.approx(wanted["ci95"], rel=1e-6)
    expected = given["expected_count"] * given["null_ratio"]
    assert poisson_two_sided(given["events"], expected) < wanted["p_two_sided_below"]


def test_two_rates_by_the_exact_conditional_test():
    given, wanted = CHECKS["rate-02"]
    (a, b), (s, t) = given["events"], given["exposure"]
    found = compare_rates(a, s, b, t)

    assert found.times.best == pytest.approx(wanted["rate_ratio"], rel=1e-6)
    assert [found.times.low, found.times.high] == pytest.approx(wanted["ci95"], rel=1e-5)
    assert found.p_two_sided == pytest.approx(wanted["p_two_sided"], rel=1e-5)
    assert (a + b) * s / (s + t) == pytest.approx(wanted["expected_count_first"], rel=1e-6)
    above = stats.binomtest(a, a + b, s / (s + t), alternative="greater").pvalue
    assert found.p_above == pytest.approx(above, rel=1e-10)


def test_a_share_exactly():
    given, wanted = CHECKS["rate-03"]
    n, of, chance = given["successes"], given["trials"], given["null_p"]

    assert n / of == pytest.approx(wanted["estimate"], abs=1e-6)
    assert binomial_limits(n, of) == pytest.approx(wanted["ci95"], abs=1e-6)
    assert binomial_two_sided(n, of, chance) == pytest.approx(wanted["p_two_sided"], abs=1e-6)


def test_exact_limits_of_a_count():
    given, wanted = CHECKS["rate-04"]
    for n, limits in zip(given["counts"], wanted["limits"], strict=True):
        assert poisson_limits(n) == pytest.approx(limits, abs=1e-5)


def test_limits_of_a_share_by_score():
    given, wanted = CHECKS["rate-05"]
    for (n, of), limits in zip(given["cases"], wanted["limits"], strict=True):
        assert wilson_limits(n, of) == pytest.approx(limits, abs=1e-5)


def test_the_upper_tail_of_a_count():
    given, wanted = CHECKS["rate-06"]

    assert poisson_tail(given["events"], given["expected"]) == pytest.approx(wanted["p"], abs=1e-9)


def test_counts_that_fall_as_chance_would_have_them():
    given, wanted = CHECKS["rate-07"]
    counts = [
        n for n, units in enumerate(given["count_of_units_with_0_1_2_3_4_events"])
        for _ in range(units)
    ]  # fmt: skip
    found = dispersion(counts)

    assert sum(counts) / len(counts) == pytest.approx(wanted["mean"])
    assert found.chi2 == pytest.approx(wanted["chi2"], rel=1e-5)
    assert found.degrees == wanted["df"]
    assert found.p_above == pytest.approx(wanted["p_upper"], rel=1e-5)
    variance = wanted["variance"]
    assert found.index * wanted["mean"] == pytest.approx(variance, rel=1e-5)
    assert found.divisor == 1


def test_a_table_of_four():
    given, wanted = CHECKS["rate-08"]

    assert fisher_above(given["table"]) == pytest.approx(wanted["p_greater"], abs=1e-6)


def test_false_discovery_of_fifteen():
    given, wanted = CHECKS["fdr-01"]
    found = adjusted_p(given["p_values"])

    assert found == pytest.approx(wanted["adjusted"], abs=1e-6)
    named = [p for p, q in zip(given["p_values"], found, strict=True) if q <= given["q"]]
    assert (len(named), max(named)) == (wanted["rejected"], wanted["largest_rejected_p"])
    one_by_one = [p for p in given["p_values"] if p * len(given["p_values"]) <= given["q"]]
    assert len(one_by_one) == wanted["rejected_by_bonferroni"]
    assert found == pytest.approx(stats.false_discovery_control(given["p_values"]), abs=1e-12)


def test_false_discovery_under_any_dependence():
    given, wanted = CHECKS["fdr-02"]
    found = adjusted_p(given["p_values"], any_dependence=True)

    assert found == pytest.approx(wanted["adjusted"], abs=1e-6)


def test_false_discovery_at_its_edges():
    given, wanted = CHECKS["fdr-03"]
    for p_values, adjusted, n in zip(
        given["cases"], wanted["adjusted"], wanted["rejected"], strict=True
    ):
        found = adjusted_p(p_values)
        assert found == pytest.approx(adjusted, abs=1e-12)
        assert sum(q <= given["q"] for q in found) == n


def test_ten_pumps_drawn_toward_each_other():
    given, wanted = CHECKS["eb-01"]
    events, exposure = given["events"], given["exposure"]
    prior = fit_gamma(events, exposure)

    assert prior.shape == pytest.approx(wanted["alpha"], rel=1e-3)
    assert prior.rate == pytest.approx(wanted["beta"], rel=1e-3)
    seen = log_likelihood(events, exposure, shape=prior.shape, rate=prior.rate)
    assert seen == pytest.approx(wanted["log_likelihood"], abs=1e-4)
    means = [prior.after(n, t).mean for n, t in zip(events, exposure, strict=True)]
    assert means == pytest.approx(wanted["posterior_means"], rel=5e-4)
    assert sum(events) / sum(exposure) == pytest.approx(wanted["pooled_rate"], rel=1e-5)


def test_ten_pumps_with_priors_of_their_own():
    """The same likelihood summed over a grid of alpha and beta with the priors of the source."""
    given, wanted = CHECKS["eb-02"]
    events, exposure = given["events"], given["exposure"]
    shapes = np.exp(np.linspace(math.log(0.03), math.log(8), 90))
    rates = np.exp(np.linspace(math.log(1e-4), math.log(30), 110))
    weights, alphas, betas, means = [], [], [], []
    for a in shapes:
        for b in rates:
            log_prior = -a - 0.9 * math.log(b) - b  # Exponential(1) and Gamma(0.1, 1)
            log_weight = log_likelihood(events, exposure, shape=a, rate=b) + log_prior
            weights.append(math.exp(log_weight + 40) * a * b)  # a b: steps are even in the log
            alphas.append(a)
            betas.append(b)
            means.append(
                [Gamma(a, b).after(n, t).mean for n, t in zip(events, exposure, strict=True)]
            )
    w = np.array(weights) / sum(weights)

    assert float(w @ alphas) == pytest.approx(wanted["alpha_mean"], rel=0.01)
    assert float(w @ betas) == pytest.approx(wanted["beta_mean"], rel=0.01)
    assert list(w @ np.array(means)) == pytest.approx(wanted["posterior_means"], rel=0.01)


def test_a_rate_after_some_events():
    given, wanted = CHECKS["eb-03"]
    belief = Gamma(given["alpha"], given["beta"]).after(given["events"], given["exposure_years"])

    assert belief.mean == pytest.approx(wanted["posterior_mean"], abs=1e-6)
    assert belief.limits(0.9) == pytest.approx(wanted["interval90"], abs=1e-6)
    above = belief.chance_above(given["threshold_rate"])
    assert above == pytest.approx(wanted["prob_rate_above_threshold"], abs=1e-6)


def test_nothing_of_the_table_is_left_out():
    text = Path(__file__).read_text(encoding="utf-8")

    assert [name for name in CHECKS if f'CHECKS["{name}"]' not in text] == []
    assert len(CHECKS) == 14


def test_second_opinion_on_tails():
    for n, of, p in ((0, 5, 0.2), (3, 5, 0.2), (5, 5, 0.9), (40, 300, 0.1), (7, 7, 0.01)):
        assert binomial_tail(n, of, p) == pytest.approx(stats.binom.sf(n - 1, of, p), rel=1e-9)
        assert binomial_two_sided(n, of, p) == pytest.approx(stats.binomtest(n, of, p).pvalue)
    for n, m in ((0, 3.0), (1, 0.02), (12, 3.0), (2, 7.7)):
        assert poisson_tail(n, m) == pytest.approx(stats.poisson.sf(n - 1, m), rel=1e-9)
