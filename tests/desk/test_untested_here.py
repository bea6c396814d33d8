"""What was never tested stands beside the call of a trouble that is back."""

from datetime import timedelta

import pytest

from servicedesk.desk.phone_page import beside_the_call
from servicedesk.records.visits import Finding
from servicedesk.trade.faults import knowledge
from tests.builders import TODAY, a_call, a_done_visit, a_site, a_unit, system_of

ALARM = "high-water-alarm"


@pytest.fixture
def back(desk):
    """A site whose alarm was answered once with a new float; its splice was never opened."""
    site = a_site(desk)
    for unit in ("splices-box", "alarm-float", "control-panel"):
        a_unit(desk, site, unit)
    before = a_call(desk, site, days_ago=60, state="answered", symptoms=[ALARM])
    visit = a_done_visit(
        desk, site, TODAY - timedelta(days=60), kind_of="callback",
        job={"call_id": before.id, "did": "float swapped", "outcome": "fixed"},
    )  # fmt: skip
    return site, visit


def test_the_part_and_the_first_check_are_named_while_they_are_on_the_phone(desk, back):
    site, _ = back
    untested = beside_the_call(desk, site.id, symptoms=[ALARM]).untested
    assert untested is not None
    names = [one.name for one in knowledge().components.values()]
    assert untested.part.removeprefix("Never tested here: ") in names
    assert untested.first.startswith("first on the visit: ")


def test_a_check_that_was_made_is_not_called_never_made(desk, back):
    site, visit = back
    first = beside_the_call(desk, site.id, symptoms=[ALARM]).untested
    assert first is not None
    check = next(c for c in knowledge().checks.values() if c.name in first.first)
    with desk.store.change(desk.who, "Wrote a finding") as work:
        work.add(
            Finding(visit_id=visit.id, system_id=system_of(desk, site).id, check_id=check.id,
                    result_id=check.results[0].id, found_at=visit.arrived_at)
        )  # fmt: skip
    then = beside_the_call(desk, site.id, symptoms=[ALARM]).untested
    assert then is None or check.name not in then.first


def test_another_trouble_and_a_first_call_say_nothing(desk, back):
    site, _ = back
    assert beside_the_call(desk, site.id, symptoms=["odour-outside"]).untested is None
    other = a_site(desk, "9 Mill Lane")
    assert beside_the_call(desk, other.id, symptoms=[ALARM]).untested is None
