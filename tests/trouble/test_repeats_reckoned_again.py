"""The change odds against an exact enumeration, and whole lists of alerts against a slow twin."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from servicedesk.trouble.change_odds import (
    YEAR_DAYS,
    after_call,
    after_gap,
    chance_of,
    frequent_rate,
)
from servicedesk.trouble.repeats import CallFact, Settings, SiteFact, alerts
from tests.bench.fleet import ALL_THREE, MAIN, fleet
from tests.trouble.second_opinion import alerts_again, chance_by_grid, chance_by_months

BEGIN = date(2023, 1, 1)
# usual calls per year, chance of turning per year, days of callbacks
PATHS = [
    (0.055, 0.0044, [400, 460, 600]),
    (0.0125, 0.001, [400, 700]),
    (0.9, 0.02, [30, 90, 300, 310]),
    (0.2, 0.04, [1]),
]


def by_program(usual, turning, days):
    odds, at = 0.0, 0
    for day in days:
        odds = after_gap(odds, (day - at) / YEAR_DAYS, usual=usual, turning=turning)
        odds = after_call(odds, usual=usual)
        at = day
    return chance_of(odds)


@pytest.mark.parametrize(("usual", "turning", "days"), PATHS)
def test_the_closed_form_is_the_sum_over_the_day_of_turning(usual, turning, days):
    again = chance_by_grid(usual, frequent_rate(usual), turning, 0, days)

    assert by_program(usual, turning, days) == pytest.approx(again, rel=1e-5)


@pytest.mark.parametrize(("usual", "turning", "days"), PATHS[:2])
def test_the_closed_form_is_the_limit_of_a_two_state_chain(usual, turning, days):
    # the chain lets "not turned" shrink by exp(-turning t) too, 1 % at most here
    per_day = 20
    slices = {day * per_day - 1 for day in days}
    again = chance_by_months(
        usual, frequent_rate(usual), turning, slices, days[-1] * per_day, 1 / (365 * per_day)
    )

    assert by_program(usual, turning, days) == pytest.approx(again, rel=0.01)


@pytest.mark.parametrize("setting", [MAIN, ALL_THREE], ids=lambda one: one.name)
def test_a_fleet_gives_the_alerts_of_the_slow_twin(setting):
    one = fleet(setting, 3)
    again = alerts_again(
        [(call.place, call.on, call.symptom) for call in one.calls],
        {site.place: site.start_on for site in one.sites},
        0.02,  # the usual hazard; 0.01 and 0.04 are the ends of the dial
    )

    found = {(a.place, a.on, a.symptom, a.level): a.chance for a in alerts(one.calls, one.sites)}

    assert found.keys() == again.keys()
    assert found == pytest.approx(again, rel=1e-4)
    assert len(found) > 20, "else nothing was compared"


def test_sites_that_start_one_after_the_other_count_from_their_start():
    starts = {f"site {n}": BEGIN + timedelta(days=30 * n) for n in range(40)}
    calls = [
        (place, start + timedelta(days=97 * k + n), f"s{(n + k // 4) % 3}")
        for n, (place, start) in enumerate(starts.items())
        for k in range(3, 9)
        if k == 3 + n % 5 or n % 10 == 0
    ]
    again = alerts_again(calls, starts, 0.04)

    facts = [SiteFact(place, start) for place, start in starts.items()]
    found = alerts([CallFact(*call) for call in calls], facts, settings=Settings("more"))

    assert {(a.place, a.on, a.symptom, a.level): a.chance for a in found} == pytest.approx(
        again, rel=1e-4
    )
    assert again


PEERS = [SiteFact(f"peer {n}", BEGIN - timedelta(days=300)) for n in range(60)]
calls_drawn = st.lists(
    st.tuples(
        st.sampled_from(["a", "b", "c", "unlisted"]),
        st.integers(-200, 1200),
        st.sampled_from(["x", "y"]),
        st.booleans(),
    ),
    max_size=40,
)
starts_drawn = st.tuples(*[st.one_of(st.none(), st.integers(0, 700))] * 3)


@settings(deadline=None, max_examples=150)
@given(calls=calls_drawn, starts=starts_drawn, cut=st.integers(-200, 1200))
def test_data_cut_at_a_day_give_the_same_alerts_up_to_it(calls, starts, cut):
    def day(number):
        return BEGIN + timedelta(days=number)

    facts = [CallFact(place, day(on), symptom, event) for place, on, symptom, event in calls]
    sites = [
        SiteFact(place, None if start is None else day(start), day(start + 400) if start else None)
        for place, start in zip("abc", starts, strict=True)
    ]
    # without sites that are not there yet on the day of the cut, too
    sites += PEERS  # so many quiet ones that two calls are an alert already
    there = [site for site in sites if site.start_on is None or site.start_on <= day(cut)]
    whole = [alert for alert in alerts(facts, sites) if alert.on <= day(cut)]

    kept = [call for call in facts if call.on <= day(cut)]

    assert list(alerts(kept, sites)) == whole
    assert list(alerts(kept, there)) == whole
    assert list(alerts(facts, sites, until=day(cut))) == whole


@settings(deadline=None, max_examples=60)
@given(calls=calls_drawn, chance=st.randoms())
def test_the_order_of_the_list_does_not_matter(calls, chance):
    facts = [CallFact(p, BEGIN + timedelta(days=on), s, event) for p, on, s, event in calls]
    sites = [*PEERS, *(SiteFact(place, BEGIN) for place in "abc")]
    mixed = list(facts)
    chance.shuffle(mixed)

    assert alerts(mixed, sites) == alerts(facts, sites)
