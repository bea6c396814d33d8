"""The company's figures for prices and bills: written, refused, reckoned with, taken back."""

from datetime import timedelta
from decimal import Decimal

import pytest

from servicedesk.desk.bill_rates import rates_of
from servicedesk.desk.bill_states import mark_billed
from servicedesk.desk.changes import undo
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.company import set_up
from servicedesk.desk.price_figures import FIGURES, figures_of, write_figures
from servicedesk.desk.renewal_policy import pricing_of
from tests.builders import TODAY, a_site
from tests.desk.test_bills import a_billable_job, on_hold


def written(desk):
    return figures_of(set_up(desk).company)


def test_figures_are_reckoned_with_and_come_back_when_undone(file_desk):
    before = pricing_of(file_desk).policy
    changed = write_figures(
        file_desk,
        {
            "index_before": 129.9,
            "index_now": 136.0,
            "margin_percent": 12.5,
            "cap_percent": 7,
            "round_to_minor": 100,
            "trip_charge_minor": 4500,
            "bills_since_on": TODAY - timedelta(days=30),
        },
    )
    policy = pricing_of(file_desk).policy

    assert (policy.margin, policy.cap) == (Decimal("0.125"), Decimal("0.07"))
    assert policy.round_to_minor == 100
    # 136.0 over 129.9 is 4.7 %: the worked example of the price index, checks/standards.json
    assert round(policy.index, 3) == Decimal("0.047")
    with file_desk.store.read() as session:
        rates = rates_of(file_desk, session)
    assert (rates.trip_minor, rates.since_on) == (4500, TODAY - timedelta(days=30))
    undo(file_desk, changed.change_id)
    assert pricing_of(file_desk).policy == before


def test_an_empty_figure_falls_back_on_the_assumption(file_desk):
    write_figures(file_desk, {"margin_percent": 40.0, "remind_days": 10})
    write_figures(file_desk, {"margin_percent": None, "remind_days": None})

    assert pricing_of(file_desk).policy.margin == Decimal("0.15")
    assert {name: written(file_desk)[name] for name in FIGURES} == dict.fromkeys(FIGURES)


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"margin_percent": -1}, "margin_percent"),
        ({"cap_percent": 501}, "cap_percent"),
        ({"index_percent": -51}, "index_percent"),
        ({"index_before": 129.9}, "index_now"),
        ({"index_before": 0, "index_now": 136}, "index_before"),
        ({"index_before": 1, "index_now": 2, "index_percent": 3}, "index_percent"),
        ({"round_to_minor": 0}, "round_to_minor"),
        ({"hour_cost_minor": -1}, "hour_cost_minor"),
        ({"trip_charge_minor": -1}, "trip_charge_minor"),
        ({"unpaid_limit_minor": -1}, "unpaid_limit_minor"),
        ({"remind_days": 0}, "remind_days"),
        ({"pump_at_percent": 101}, "pump_at_percent"),
        ({"bills_since_on": TODAY + timedelta(days=1)}, "bills_since_on"),
    ],
)
def test_a_figure_nobody_can_price_with_is_refused(file_desk, values, field):
    with pytest.raises(WrongEntry) as refused:
        write_figures(file_desk, values)

    assert field in [one.field for one in refused.value.wrong]
    assert {name: written(file_desk)[name] for name in FIGURES} == dict.fromkeys(FIGURES)


def test_another_limit_of_unpaid_bills_sets_and_lifts_the_hold(file_desk):
    site = a_site(file_desk)
    a_billable_job(file_desk, site, price=40000)
    mark_billed(file_desk, ["job-1"], number="B-1")
    changed = write_figures(file_desk, {"unpaid_limit_minor": 30000})
    assert on_hold(file_desk, site)

    undo(file_desk, changed.change_id)
    assert not on_hold(file_desk, site)
    write_figures(file_desk, {"unpaid_limit_minor": 30000})
    write_figures(file_desk, {"unpaid_limit_minor": 40000})
    assert not on_hold(file_desk, site)
