"""The simulated fleets are as described, and the alerts meet the targets on the held-out seeds.

Description and targets: statistics of repeat callbacks (20 fleets a setting; a recall has standard
error 0.022). The table is printed by `python -m tests.bench.fleet`.
"""

from collections import Counter
from statistics import mean, median

import pytest

from servicedesk.trouble.returns import counted
from tests.bench.fleet import (
    ALL_THREE,
    BUSY,
    HELD_OUT,
    MAIN,
    MAIN_DELAY_DAYS,
    MAIN_OWN_CALLBACKS,
    N_SITES,
    NO_BAD,
    TARGETS,
    by_fixed_rule,
    ceiling,
    fleet,
    scores,
    seconds_of_one_pass,
)

SEEDS = range(50, 70)


def test_the_fleet_is_as_described():
    fleets = [fleet(NO_BAD, seed) for seed in SEEDS]
    n_counted = mean(len(counted(one.calls)) for one in fleets)
    n_all = mean(len(one.calls) for one in fleets)

    # 600 callbacks of 800 sites in 3 years; the mean of 20 fleets has a standard error of 6
    assert n_counted == pytest.approx(0.25 * 3 * N_SITES, rel=0.04)
    assert n_all / n_counted == pytest.approx(1.06, abs=0.01)
    of_kind = Counter(call.symptom for one in fleets for call in one.calls)
    assert len(of_kind) == 8
    assert max(of_kind.values()) > 3 * min(of_kind.values())


def test_as_many_bad_sites_can_be_found_as_said():
    # "about 71 % of bad sites have two or more callbacks after the change, about 47 % three"
    two, three = ceiling(SEEDS)

    assert two == pytest.approx(0.71, abs=0.05)
    assert three == pytest.approx(0.47, abs=0.05)
    one = fleet(MAIN, 50)
    assert len(one.turned) == 24
    assert all(turned <= day for site, turned in one.turned.items() for day in one.own[site])


@pytest.fixture(scope="module")
def held_out():
    return {setting: scores(setting, HELD_OUT) for setting, _level in TARGETS}


@pytest.mark.parametrize(("setting", "level"), TARGETS, ids=lambda one: getattr(one, "name", one))
def test_the_targets_are_met(held_out, setting, level):
    least, most, _reference = TARGETS[setting, level]
    score = held_out[setting][level]

    assert score.false_per_month <= most
    if least is not None:
        assert score.recall >= least


@pytest.mark.parametrize("level", ["watch", "act"])
def test_delay_and_callbacks_until_the_alert(held_out, level):
    score = held_out[MAIN][level]

    assert median(score.delays) <= MAIN_DELAY_DAYS[level]
    assert mean(score.own) <= MAIN_OWN_CALLBACKS[level]


@pytest.mark.parametrize("setting", [BUSY, ALL_THREE], ids=lambda one: one.name)
def test_the_fixed_rule_alone_overloads_a_busy_fleet(setting):
    # "fails busy and busy, mixed, storms by far on false alerts"
    _least, most, _reference = TARGETS[setting, "watch"]

    assert scores(setting, SEEDS, by_fixed_rule)["watch"].false_per_month > 2 * most


def test_one_pass_is_quick():
    assert seconds_of_one_pass() < 0.2
