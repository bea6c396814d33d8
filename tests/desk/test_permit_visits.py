"""Where the rule says "as the permit says", the permit's visits are owed."""

from dataclasses import replace

import pytest

from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.site_entry import NewSite, new_site, set_permit_visits
from servicedesk.desk.windows import current_windows
from servicedesk.records.sites import System
from tests.builders import a_contract, a_site, system_of


def reasons(windows):
    return {reason.code for one in windows for reason in one.window.why}


@pytest.fixture
def site(desk):
    site = a_site(desk)
    with desk.store.change("Ines", "Wrote the rule") as work:
        work.get(System, system_of(desk, site).id).rule_id = RULE
    a_contract(desk, site, visits_a_year=1)
    return site


RULE = "tarrow-nonstandard"


def test_the_visits_of_the_permit_are_owed_where_the_contract_has_fewer(desk, site):
    assert len(current_windows(desk)) == 1
    assert "ask_permit" in reasons(current_windows(desk))

    set_permit_visits(desk, system_of(desk, site).id, 4)

    windows = current_windows(desk)
    assert len(windows) == 4
    assert "as_permit" in reasons(windows)
    assert "ask_permit" not in reasons(windows)


def test_a_permit_that_asks_for_no_visit_is_a_slip(desk, site):
    for visits in (0, 53):
        with pytest.raises(WrongEntry, match="1 to 52"):
            set_permit_visits(desk, system_of(desk, site).id, visits)
        with pytest.raises(WrongEntry, match="1 to 52"):
            new_site(desk, NewSite(address="1 New Lane", permit_visits=visits))

    set_permit_visits(desk, system_of(desk, site).id, None)
    assert len(current_windows(desk)) == 1


def test_a_new_site_brings_its_permit_along(desk):
    entry = NewSite(address="1 New Lane", rule_id=RULE)
    new_site(desk, replace(entry, permit_visits=2))

    with desk.store.read() as session:
        (system,) = session.query(System).all()
        assert system.permit_visits == 2
