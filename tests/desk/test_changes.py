"""The change line, undo and redo as the window asks for them."""

from datetime import timedelta

import pytest

from servicedesk.desk.changes import (
    all_changes,
    last_change,
    record_changes,
    redo,
    redo_text,
    undo,
    undo_text,
    when_text,
    why_not,
)
from servicedesk.desk.site_entry import edit_site
from servicedesk.desk.sites import site_rows
from servicedesk.records.people import SiteRole
from servicedesk.records.sites import Site, SiteSecret
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY, a_customer, a_site


def note_of(desk, site):
    with desk.store.read() as session:
        return session.get(Site, site.id).note


def edited(desk, site, note):
    with desk.store.read() as session:
        seen = session.get(Site, site.id).revision
    return edit_site(desk, site.id, {"note": note}, seen=seen)


def test_the_change_line_tells_the_last_change_with_time_and_person(desk):
    site = a_site(desk)
    edited(desk, site, "lift the gate")

    line = last_change(desk)

    assert (line.what, line.who, line.when) == ("Edited 118 Dry Hollow Lane", "Ines", "10:46 am")
    assert line.can_undo
    assert not line.undone


def test_a_new_store_has_no_last_change(file_store):
    from servicedesk.desk.office import desk_at

    assert last_change(desk_at(file_store)) is None


def test_undo_takes_back_my_latest_change_and_redo_does_it_again(desk):
    site = a_site(desk)
    edited(desk, site, "one")
    edited(desk.seated("Ada"), site, "two")
    mine = a_site(desk, "9 Marsh End")
    assert undo_text(desk) == "Wrote 9 Marsh End"

    undo(desk)

    assert site_rows(desk, [mine.id]) == []
    assert note_of(desk, site) == "two"
    assert redo_text(desk) == "Took back: Wrote 9 Marsh End"
    redo(desk)
    assert site_rows(desk, [mine.id])[0].address == "9 Marsh End"
    assert redo_text(desk) is None


def test_there_may_be_nothing_to_take_back_or_to_do_again(desk):
    nobody = desk.seated("Tobin")

    assert undo_text(nobody) is None
    with pytest.raises(Trouble, match="nothing of yours to take back"):
        undo(nobody)
    with pytest.raises(Trouble, match="nothing of yours to do again"):
        redo(nobody)


def test_any_change_of_the_list_can_be_taken_back_or_says_why_not(desk):
    site = a_site(desk)
    first = edited(desk, site, "one").change_id
    ada = edited(desk.seated("Ada"), site, "two").change_id
    n_before = len(all_changes(desk))

    reason = why_not(desk, first)

    assert "changed since" in str(reason)
    assert "Ada" in str(reason)
    assert why_not(desk, ada) is None
    # a trial writes nothing
    assert note_of(desk, site) == "two"
    assert len(all_changes(desk)) == n_before
    undo(desk, ada)
    assert note_of(desk, site) == "one"
    assert why_not(desk, first) is None
    assert "already taken back" in str(why_not(desk, ada))


def test_the_trial_finds_what_points_to_a_record(desk):
    buyer = a_customer(desk, "Buyer")
    made = all_changes(desk)[0].id
    site = a_site(desk)
    with desk.store.change("Ines", "Sold") as work:
        work.add(SiteRole(site_id=site.id, customer_id=buyer.id, role="owner"))

    assert "later" in str(why_not(desk, made))


def test_all_changes_come_newest_first_a_page_at_a_time(desk):
    for n in range(3):
        a_customer(desk, f"Pell {n}")

    first = all_changes(desk, limit=2)
    second = all_changes(desk, limit=2, before=first[-1].id)

    assert [c.what for c in (*first, *second)] == [
        "Wrote Pell 2",
        "Wrote Pell 1",
        "Wrote Pell 0",
        "Set up the company",
    ]


def test_a_record_tells_how_it_came_to_be_but_not_its_codes(desk):
    site = a_site(desk)
    edited(desk, site, "one")
    with desk.store.change("Ines", "Code") as work:
        secret = work.add(SiteSecret(site_id=site.id, what="gate", value="4417#"))

    edit, made = record_changes(desk, "site", site.id)
    (code,) = record_changes(desk, "site_secret", secret.id)

    assert (edit.op, edit.before, edit.after) == ("changed", {"note": ""}, {"note": "one"})
    assert made.op == "made"
    assert (code.before, code.after) == ({}, {})


def test_times_are_said_as_one_says_them(file_desk):
    now = file_desk.clock.now()

    assert when_text(file_desk, now) == "10:46 am"
    assert when_text(file_desk, now - timedelta(days=1)) == "yesterday"
    assert when_text(file_desk, now - timedelta(days=9)) == "Oct 5"
    assert when_text(file_desk, now - timedelta(days=365)) == "Oct 14, 2025"
    assert file_desk.today == TODAY
