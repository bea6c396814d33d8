"""The flag rule, ranges and comparisons: properties, brute force and a simulation."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from servicedesk.trouble.discovery import adjusted_p
from servicedesk.trouble.patterns import Factor, Group, Stratum, screen, stratified
from servicedesk.trouble.rates import (
    Dispersion,
    compare_rates,
    dispersion,
    poisson_limits,
    within_groups,
)
from servicedesk.trouble.shrinkage import CENTER, Gamma, log_likelihood, ratio_spread

counts = st.integers(0, 60)
years = st.floats(1, 500)
chances = st.lists(st.floats(0, 1), max_size=25)


def a_factor(*pairs, spread=None, name="model"):
    groups = tuple(Group(str(i), n, t) for i, (n, t) in enumerate(pairs))
    return Factor(id=name, groups=groups, spread=spread or Dispersion(0.0, 0, 1.0))


def flags(factor):
    return [judged.flag for judged in screen([factor]).values()]


@given(chances, st.randoms())
def test_the_order_of_comparisons_does_not_matter(p_values, random):
    shuffled = list(enumerate(p_values))
    random.shuffle(shuffled)
    found = adjusted_p([p for _, p in shuffled])

    back = dict(zip((i for i, _ in shuffled), found, strict=True))
    assert [back[i] for i in range(len(p_values))] == list(adjusted_p(p_values))


@given(chances)
def test_allowing_for_many_never_makes_surer_and_keeps_the_order(p_values):
    found = adjusted_p(p_values)

    assert all(q >= p for p, q in zip(p_values, found, strict=True))
    assert all(q <= 1 for q in found)
    in_order = [q for _, q in sorted(zip(p_values, found, strict=True))]
    assert in_order == sorted(in_order)


@given(chances, st.floats(0.01, 0.5))
def test_named_are_those_of_the_step_up_rule(p_values, limit):
    """By the definition: the largest k with p(k) <= k q / m; all up to it are named."""
    in_order = sorted(p_values)
    ks = [k for k, p in enumerate(in_order, 1) if p * (len(p_values) / k) <= limit]
    cut = in_order[max(ks) - 1] if ks else -1.0

    named = [q <= limit for q in adjusted_p(p_values)]
    assert named == [p <= cut for p in p_values]


@given(counts, years, counts, years, st.floats(0.1, 10))
def test_only_the_share_of_exposure_matters(n, t, m, s, factor):
    one = compare_rates(n, t, m, s)
    scaled = compare_rates(n, t * factor, m, s * factor)

    assert scaled.p_above == pytest.approx(one.p_above, rel=1e-9)
    assert scaled.times.low == pytest.approx(one.times.low, rel=1e-7, abs=1e-12)


@given(st.integers(0, 25), st.integers(0, 25), st.floats(0.05, 0.95))
def test_the_one_sided_test_adds_up_the_outcomes(n, m, share):
    total = n + m
    outcomes = [
        math.comb(total, k) * share**k * (1 - share) ** (total - k) for k in range(n, total + 1)
    ]

    found = compare_rates(n, share, m, 1 - share).p_above
    assert found == pytest.approx(min(1.0, math.fsum(outcomes)), rel=1e-6)


@given(counts, years, counts, years)
def test_a_range_holds_its_estimate(n, t, m, s):
    judged = screen([a_factor((n, t), (m, s))])
    for one in judged.values():
        for found in (one.rate, one.raw):
            assert found.low <= found.best <= found.high
        pair = sorted([one.raw.best, one.fleet_rate])
        assert pair[0] - 1e-9 <= one.rate.best <= pair[1] + 1e-9  # drawn toward the fleet


@given(st.lists(st.tuples(counts, years), min_size=2, max_size=8))
def test_the_estimates_of_a_fleet_add_up_to_its_events(pairs):
    """Groups weighed by exposure: shrinking moves events between groups and hardly makes any."""
    factor = a_factor(*pairs)
    if factor.events == 0:
        assert screen([factor]) == {}
        return
    found = screen([factor])
    raw = sum(j.raw.best * g.years for j, g in zip(found.values(), factor.groups, strict=True))
    assert raw == pytest.approx(factor.events)


def test_the_spread_of_groups_is_the_best_of_all_that_are_tried():
    events, expected = [3, 14, 9, 22, 5], [6.0, 9.5, 11.0, 12.5, 14.0]

    def score(a):
        return log_likelihood(events, expected, shape=a, rate=a) - math.log(a / CENTER) ** 2 / 2

    found = ratio_spread(events, expected).shape
    tried = np.exp(np.linspace(0, math.log(150), 4000))
    assert found == pytest.approx(max(tried, key=score), rel=2e-3)
    assert 1 < found < CENTER  # groups differ more than a third


def test_marginal_chances_are_those_of_a_negative_binomial():
    for n, t, shape, rate in ((0, 3.0, 2.0, 2.0), (7, 3.0, 2.0, 1.5), (2, 0.5, 10.0, 10.0)):
        library = stats.nbinom.logpmf(n, shape, rate / (rate + t))
        assert log_likelihood([n], [t], shape=shape, rate=rate) == pytest.approx(library)


def test_one_group_alone_is_compared_with_nothing():
    assert screen([a_factor((9, 100))]) == {}
    assert screen([a_factor((9, 100), (0, 0))]) == {}
    assert ratio_spread([4], [2]) == Gamma(CENTER, CENTER)


def test_a_group_far_above_is_named_one_by_a_little_is_not():
    assert flags(a_factor((60, 200), (40, 400))) == ["clearly above", "plain"]
    assert flags(a_factor((22, 200), (38, 400))) == ["plain", "plain"]


def test_one_of_the_two_conditions_alone_says_maybe():
    much_seen_little_more = a_factor((2400, 2000), (2000, 2000))
    above, _ = screen([much_seen_little_more]).values()
    assert (above.flag, above.q < 0.1) == ("maybe", True)
    assert [r.code for r in above.reasons] == ["may_be_little"]

    # 60 more groups are looked at in the same screen: what looks striking may be chance
    looks = a_factor((13, 30), (150, 900))
    others = [a_factor((20, 100), (20, 100), name=str(i)) for i in range(30)]
    alone = screen([looks])["model", "0"]
    among = screen([looks, *others])["model", "0"]
    assert alone.flag == "clearly above"
    assert (among.flag, [r.code for r in among.reasons]) == ("maybe", ["may_be_chance"])


@pytest.mark.parametrize(
    ("pair", "code"), [((4, 20), "few_events"), ((30, 9.9), "few_years")]
)  # fmt: skip
def test_too_little_seen_makes_no_claim(pair, code):
    judged = screen([a_factor(pair, (20, 2000))])["model", "0"]

    assert judged.q < 0.01  # striking, yet
    assert judged.flag == "too few"
    assert [r.code for r in judged.reasons] == [code]


def test_uneven_counts_widen_every_range():
    uneven = Dispersion(chi2=400.0, degrees=200, p_above=1e-9, variance=500.0)
    calm = screen([a_factor((40, 200), (60, 500))])["model", "0"]
    wide = screen([a_factor((40, 200), (60, 500), spread=uneven)])["model", "0"]

    assert wide.p > calm.p
    assert wide.raw.low < calm.raw.low < calm.raw.high < wide.raw.high
    assert wide.rate.high - wide.rate.low > calm.rate.high - calm.rate.low
    assert wide.raw.best == pytest.approx(calm.raw.best)
    assert wide.reasons[-1].code == "spread_unevenly"


def test_dispersion_minds_unequal_exposure():
    rng = np.random.default_rng(8)
    exposure = rng.uniform(0.5, 20, 400)
    even = dispersion(list(rng.poisson(0.4 * exposure)), list(exposure))
    sites = rng.gamma(1.0, 0.4, 400)
    uneven = dispersion(list(rng.poisson(sites * exposure)), list(exposure))

    assert 0.8 < even.index < 1.2
    assert even.divisor == 1
    assert uneven.divisor > 2


def test_rare_events_are_not_taken_for_crowding():
    """Chi-square alone would find crowding far too often where little is expected per unit."""
    rng = np.random.default_rng(12)
    years = list(rng.uniform(1, 6, 300))
    found = [dispersion(list(rng.poisson(0.02 * np.array(years))), years) for _ in range(300)]

    assert sum(one.p_above < 0.05 for one in found) / 300 > 0.10
    assert sum(one.divisor > 1 for one in found) / 300 < 0.10


def test_what_differs_between_groups_is_no_crowding():
    rng = np.random.default_rng(13)
    groups = [(list(rng.poisson(rate, 200)), [1.0] * 200) for rate in (0.5, 4.0)]

    assert within_groups(groups).divisor == 1
    both = [n for events, _ in groups for n in events]
    assert dispersion(both).divisor > 2


def test_a_group_that_is_only_older_does_not_stand_out_within_its_age():
    old = Stratum(events=40, years=100, other_events=8, other_years=20)
    young = Stratum(events=2, years=20, other_events=10, other_years=100)

    assert screen([a_factor((42, 120), (18, 120))])["model", "0"].q < 0.01
    found = stratified([old, young])
    assert found.times.low < 0.7
    assert found.times.high > 1.4
    assert found.times.best == pytest.approx(1, abs=0.01)
    assert found.p > 0.3


@settings(max_examples=40)
@given(
    st.integers(0, 6),
    years,
    st.integers(0, 6),
    years,
    st.integers(0, 6),
    years,
    st.integers(0, 6),
    years,
)
def test_the_stratified_test_counts_every_outcome(a, t, b, s, c, u, d, v):
    found = stratified([Stratum(a, t, b, s), Stratum(c, u, d, v)])
    if a + b + c + d == 0:
        assert found is None
        return
    total = 0.0
    for x, y in itertools.product(range(a + b + 1), range(c + d + 1)):
        if x + y >= a + c:
            total += stats.binom.pmf(x, a + b, t / (t + s)) * stats.binom.pmf(y, c + d, u / (u + v))
    assert found.p == pytest.approx(min(1.0, total), rel=1e-7, abs=1e-12)


def test_one_band_alone_is_the_plain_comparison():
    found = stratified([Stratum(12, 80, 20, 300)])

    plain = compare_rates(12, 80, 20, 300)
    assert found.times.best == pytest.approx(plain.times.best)
    assert found.p == pytest.approx(plain.p_above)
    # on the log scale the variance of a ratio of two counts is 1 / 12 + 1 / 20
    assert found.times.high == pytest.approx(
        found.times.best * math.exp(1.959964 * math.sqrt(1 / 12 + 1 / 20))
    )


def test_limits_of_a_count_keep_their_promise():
    """Garwood's limits hold the true count in at least 95 % of all draws, for any true count."""
    limits = [poisson_limits(n) for n in range(80)]
    for true in (0.3, 1.7, 4.0, 11.5, 30.0):
        held = sum(stats.poisson.pmf(n, true) for n, (a, b) in enumerate(limits) if a <= true <= b)
        assert held >= 0.95


def simulated(rng, times):
    """15 groups with a natural spread of 20 %; the first is truly `times` as bad. Made here."""
    exposure = rng.uniform(20, 150, 15)
    ratios = rng.gamma(25, 1 / 25, 15)
    ratios[0] *= times
    factor = a_factor(*zip(rng.poisson(0.12 * ratios * exposure), exposure, strict=True))
    return {j.id for j in screen([factor]).values() if j.flag == "clearly above"}


def test_false_flags_stay_rare_and_a_bad_group_is_found():
    """Against statistics of 400 runs of such fleets: a false flag in 8 % of the runs, a group
    truly twice as bad found in 35 %, three times as bad in 70 % (sizes of groups not stated)."""
    rng = np.random.default_rng(20261125)
    runs = 200
    false = sum(bool(simulated(rng, 1)) for _ in range(runs)) / runs
    twice = [simulated(rng, 2) for _ in range(runs)]
    thrice = [simulated(rng, 3) for _ in range(runs)]

    assert false <= 0.12
    assert sum(bool(found - {"0"}) for found in twice) / runs <= 0.12
    assert sum("0" in found for found in twice) / runs >= 0.30
    assert sum("0" in found for found in thrice) / runs >= 0.65
