"""What is owed, until it is settled or declined."""

from datetime import date, timedelta

import pytest

from servicedesk.desk.changes import undo
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.estimates import EstimateGoing, send_estimate
from servicedesk.desk.owed import (
    NewOwed,
    add_owed,
    approve,
    decline,
    edit_owed,
    last_settled,
    owed_list,
    settle,
)
from servicedesk.records.errors import StaleEdit
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY, a_done_visit, a_site, something_owed


def test_the_soonest_last_day_stands_first_then_the_oldest(desk):
    site = a_site(desk)
    young = something_owed(desk, site, "young", since_on=TODAY)
    old = something_owed(desk, site, "old", since_on=date(2026, 7, 11))
    due = something_owed(desk, site, "due", since_on=TODAY, by_on=date(2026, 10, 12))
    something_owed(desk, site, "gone", state="settled", settled_on=TODAY)

    lines = owed_list(desk)

    assert [line.row.id for line in lines] == [due.id, old.id, young.id]
    assert [line.days_old for line in lines] == [0, 95, 0]
    assert [line.days_left for line in lines] == [-2, None, None]
    assert lines[0].row.address == "118 Dry Hollow Lane"
    assert [line.row.what for line in owed_list(desk, settled=True)] == ["gone"]


def test_something_owed_is_added_edited_and_settled(desk):
    site = a_site(desk)
    visit = a_done_visit(desk, site, TODAY)
    changed = add_owed(
        desk, NewOwed(site_id=site.id, what=" Riser screw ", waits_for="part", minutes=15)
    )
    (line,) = owed_list(desk)
    assert set(changed.rows) == {"owed"}
    assert (line.row.what, line.row.since_on, line.state_text) == (
        "Riser screw",
        TODAY,
        "waits for a part",
    )
    assert line.debtor_text == "us"

    edit_owed(desk, line.row.id, {"debtor": "owner", "waits_for": ""}, seen=line.row.revision)
    with pytest.raises(StaleEdit):
        edit_owed(desk, line.row.id, {"needs": "screw"}, seen=line.row.revision)
    settle(desk, line.row.id, visit_id=visit.id)

    assert owed_list(desk) == ()
    assert last_settled(desk).state_text == "settled Oct 14"
    assert last_settled(desk).row.debtor == "owner"
    with pytest.raises(Trouble, match="ended already"):
        settle(desk, line.row.id)


def test_an_estimate_is_sent_and_approved_by_somebody(desk):
    site = a_site(desk)
    owed = something_owed(desk, site)
    with pytest.raises(Trouble, match="no estimate"):
        approve(desk, owed.id, by="Ruth")

    send_estimate(desk, owed.id, EstimateGoing(amount_minor=48050))
    assert owed_list(desk)[0].state_text == "estimate of $480.50 sent Oct 14, no answer yet"
    approve(desk, owed.id, by="Ruth Quillan", how="text")

    (line,) = owed_list(desk)
    assert line.state_text == "approved by Ruth Quillan"
    assert (line.row.answered_how, line.row.waits_for) == ("text", "day")
    with pytest.raises(WrongEntry):
        approve(desk, owed.id, by=" ")


def test_the_word_on_parts_used_already_ends_what_was_owed(desk):
    used = something_owed(
        desk, a_site(desk), what="Approval of $310.00 for parts used", debtor="owner", minutes=0,
        estimate_minor=31000, waits_for="approval",
    )  # fmt: skip
    changed = approve(desk, used.id, by="Ruth Quillan")

    assert owed_list(desk) == ()
    assert last_settled(desk).row.answered_by == "Ruth Quillan"
    undo(desk, changed.change_id)
    assert owed_list(desk)[0].state_text == "estimate of $310.00 not sent yet"


def test_declined_is_an_honest_end_that_stays_visible(desk):
    owed = something_owed(desk, a_site(desk))

    decline(desk, owed.id, by="Ruth Quillan", seen=owed.revision)

    assert owed_list(desk) == ()
    (line,) = owed_list(desk, settled=True)
    assert line.state_text == "declined by Ruth Quillan"


def test_wrong_entries_are_said_at_their_field(desk):
    site = a_site(desk)

    def wrong(**values):
        with pytest.raises(WrongEntry) as caught:
            add_owed(desk, NewOwed(**{"site_id": site.id, "what": "Screw", **values}))
        return [w.field for w in caught.value.wrong]

    assert wrong(what=" ") == ["what"]
    assert wrong(by_on=TODAY - timedelta(days=1)) == ["by_on"]
    assert wrong(minutes=0, estimate_minor=-1) == ["minutes", "estimate_minor"]
    with pytest.raises(ValueError, match="neighbor"):
        add_owed(desk, NewOwed(site_id=site.id, what="x", debtor="neighbor"))
    with pytest.raises(ValueError, match="luck"):
        add_owed(desk, NewOwed(site_id=site.id, what="x", waits_for="luck"))
    with pytest.raises(Trouble, match="not in the store"):
        add_owed(desk, NewOwed(site_id=999, what="x"))
    with pytest.raises(Trouble, match="not in the store"):
        settle(desk, 999)
