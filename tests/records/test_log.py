"""What the change log must not miss: the silent holes of object mapping, each tried."""

from enum import Enum, StrEnum

import pytest
from sqlalchemy import delete, select, text, update
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import load_only

from servicedesk.records.changes import Change, ChangeItem
from servicedesk.records.company import Company
from servicedesk.records.equipment import Unit
from servicedesk.records.sites import Site, System
from servicedesk.records.undo import undo_change
from servicedesk.records.visits import Job, Visit
from servicedesk.values.trouble import Trouble
from tests.records.rows import a_site, a_visit, edit
from tests.records.snapshot import snapshot


def items_of(store, change_id):
    with store.read() as session:
        query = select(ChangeItem).where(ChangeItem.change_id == change_id)
        return {
            (i.table_name, i.op): (i.before, i.after)
            for i in session.scalars(query.order_by(ChangeItem.id))
        }


@pytest.fixture
def visit_id(store):
    return a_visit(store, wishes={"only": ["Tue"]})


@pytest.mark.parametrize(
    "statement", [update(Visit).values(note="x"), delete(Visit)], ids=["update", "delete"]
)
def test_a_statement_that_would_escape_the_log_is_refused(store, visit_id, statement):
    before = snapshot(store)

    with (
        pytest.raises(AssertionError, match="escape the change log"),
        store.change("Ines", "All at once") as work,
    ):
        work.session.execute(statement)

    assert snapshot(store) == before


def test_a_value_set_without_being_read_is_refused(store, visit_id):
    with (
        pytest.raises(AssertionError, match="note was set without being read"),
        store.change("Ines", "Half a row") as work,
    ):
        work.session.scalars(select(Visit).options(load_only(Visit.id))).one().note = "x"


def edited_in_place(visit):
    visit.wishes["only"].append("Wed")


def edited_in_place_and_set_again(visit):
    wishes = visit.wishes
    wishes["only"] = ["Wed"]
    visit.wishes = dict(wishes)


def edited_in_place_and_replaced_by_another(visit):
    visit.wishes["only"] = ["Wed"]
    visit.wishes = {"only": ["Fri"]}


def edited_in_place_beside_a_real_change(visit):
    visit.note = "one"
    visit.wishes["only"].append("Wed")


@pytest.mark.parametrize(
    "edit_it",
    [
        edited_in_place,
        edited_in_place_and_set_again,
        edited_in_place_and_replaced_by_another,
        edited_in_place_beside_a_real_change,
    ],
)
def test_a_list_edited_in_place_is_refused_not_lost(store, visit_id, edit_it):
    before = snapshot(store)

    with (
        pytest.raises(AssertionError, match=r"visit\.wishes was edited in place: replace"),
        store.change("Ines", "Edited in place") as work,
    ):
        edit_it(work.get(Visit, visit_id))

    assert snapshot(store) == before


def test_a_list_edited_in_place_after_it_was_written_is_refused(store):
    def make_and_edit():
        with store.change("Ines", "Made and edited") as work:
            system = work.add(System(site_id=a_site(work).id, equipment=["pump"]))
            system.equipment.append("alarm")

    with pytest.raises(AssertionError, match="edited in place"):
        make_and_edit()


def test_a_list_that_is_replaced_is_logged_and_comes_back(store, visit_id):
    change = edit(store, Visit, visit_id, wishes={"only": ["Wed"]})

    before, after = {"wishes": {"only": ["Tue"]}}, {"wishes": {"only": ["Wed"]}}
    assert items_of(store, change) == {("visit", "changed"): (before, after)}
    undo_change(store, change, who="Ines")
    with store.read() as session:
        assert session.get(Visit, visit_id).wishes == {"only": ["Tue"]}


class State(StrEnum):
    DONE = "done"


class Bare(Enum):
    DONE = "done"


def test_a_word_given_as_a_named_value_is_stored_logged_and_read_as_a_plain_word(store, visit_id):
    change = edit(store, Visit, visit_id, state=State.DONE, wishes={State.DONE: State.DONE})

    with store.read() as session:
        visit = session.get(Visit, visit_id)
        assert type(visit.state) is str
        assert (visit.state, visit.wishes) == ("done", {"done": "done"})
    assert items_of(store, change)["visit", "changed"][1] == {
        "state": "done",
        "wishes": {"done": "done"},
    }
    undo_change(store, change, who="Ines")


def test_a_named_value_that_is_no_word_is_refused(store, visit_id):
    with pytest.raises((SQLAlchemyError, TypeError)):
        edit(store, Visit, visit_id, state=Bare.DONE)


def test_several_flushes_of_one_change_are_one_item_with_the_first_before(store, visit_id):
    with store.change("Ines", "In steps") as work:
        visit = work.get(Visit, visit_id)
        for note in ("one", "two", "three"):
            visit.note = note
            work.session.flush()
        visit.weather = "rain"

    assert items_of(store, work.changed.change_id) == {
        ("visit", "changed"): (
            {"note": "", "weather": ""},
            {"note": "three", "weather": "rain"},
        )
    }


def test_a_value_set_and_read_again_in_one_change_is_not_lost(store, visit_id):
    with store.change("Ines", "Read again") as work:
        work.get(Visit, visit_id).note = "one"
        assert work.get(Visit, visit_id).note == "one"

    assert items_of(store, work.changed.change_id)["visit", "changed"][1] == {"note": "one"}


def test_made_and_removed_in_one_change_leaves_no_trace(store):
    with store.change("Ines", "Changed my mind") as work:
        work.remove(a_site(work))

    with store.read() as session:
        assert session.scalars(select(Change)).all() == []


def test_a_removed_row_keeps_all_it_held(store, visit_id):
    with store.change("Ines", "Removed") as work:
        visit = work.get(Visit, visit_id)
        visit.note = "last words"
        work.remove(visit)

    before, after = items_of(store, work.changed.change_id)["visit", "removed"]
    assert after is None
    assert before["wishes"] == {"only": ["Tue"]}
    assert before["note"] == ""  # not what was set just before it went


def test_a_column_never_given_can_be_set_later_in_the_same_change(store):
    with store.change("Ines", "Made in two steps") as work:
        unit = work.add(Unit(system_id=work.add(System(site_id=a_site(work).id)).id, component="p"))
        unit.installed_by = "Lena"
        unit.model_id = None
        work.session.flush()
        unit.removed_why = "worn"
        unit.warranty_until = None

    made = items_of(store, work.changed.change_id)["unit", "made"][1]
    assert (made["installed_by"], made["removed_why"]) == ("Lena", "worn")
    assert "warranty_until" not in made  # what is empty takes no room


def test_an_error_inside_a_change_leaves_nothing(store, visit_id):
    before = snapshot(store)

    def fail():
        with store.change("Ines", "Fails") as work:
            work.get(Visit, visit_id).note = "one"
            work.add(Job(visit_id=visit_id, kind_of="repair"))
            raise RuntimeError("a mistake of ours")

    with pytest.raises(RuntimeError):
        fail()
    assert snapshot(store) == before
    with store.read() as session:
        assert session.scalar(select(Change).where(Change.what == "Fails")) is None


def test_a_row_that_something_points_to_cannot_be_removed(store, visit_id):
    with store.read() as session:
        site_id = session.get(Visit, visit_id).site_id
    with pytest.raises(SQLAlchemyError), store.change("Ines", "Removed the site") as work:
        work.remove(work.get(Site, site_id))


def test_a_naive_instant_is_refused(store, visit_id):
    from datetime import datetime

    with pytest.raises(SQLAlchemyError, match="no time zone"):
        edit(store, Visit, visit_id, arrived_at=datetime(2026, 10, 14, 9))


def test_a_number_said_aloud_is_given_once_also_after_undo(store):
    with store.change("Ines", "Wrote a site") as work:
        first = work.next_number("site")
        a_site(work, first)
    undo_change(store, work.changed.change_id, who="Ines")
    with store.change("Ines", "Wrote a site") as work:
        second = work.next_number("site")
        report = work.next_number("report")
        a_site(work, second)

    assert (first, second, report) == (1, 2, 1)


def test_keys_are_not_given_out_twice_after_undo(store):
    with store.change("Ines", "Wrote a site") as work:
        gone = a_site(work).id
    undo_change(store, work.changed.change_id, who="Ines")

    with store.change("Ines", "Wrote a site") as work:
        assert a_site(work).id > gone


def test_a_record_that_is_not_there_is_told(store):
    with (
        pytest.raises(Trouble, match="is not in the store any more"),
        store.change("Ines", "x") as work,
    ):
        work.get(Company, 4711)


def test_reading_takes_no_lock_and_leaves_no_change(store, visit_id):
    with store.read() as session:
        session.get(Visit, visit_id)
        edit(store, Visit, visit_id, note="written meanwhile")

    with store.read() as session:
        assert session.execute(text("SELECT count(*) FROM change")).scalar() == 2
