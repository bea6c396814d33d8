"""Two people at one record: the second is told, with both versions, and loses nothing."""

import multiprocessing
import sqlite3
import threading

import pytest
from sqlalchemy import text

from servicedesk.records.errors import StaleEdit
from servicedesk.records.parts import Part
from servicedesk.records.store import open_store
from servicedesk.records.undo import undo_change
from servicedesk.records.visits import Visit
from servicedesk.values.trouble import Trouble
from tests.records.rows import a_visit, edit


def seen_at(store, visit_id):
    with store.read() as session:
        return session.get(Visit, visit_id).revision


def write_note(store, visit_id, note, *, seen, who="Ines"):
    """What a form does: it brings back the revision that it showed."""
    with store.change(who, "Wrote a note") as work:
        work.fresh(Visit, visit_id, seen=seen).note = note


def test_a_form_that_shows_an_old_version_is_refused_with_both_versions(store):
    visit_id = a_visit(store)
    shown = seen_at(store, visit_id)
    edit(store, Visit, visit_id, who="Lena", what="Moved the visit to Friday", note="hers")

    with pytest.raises(StaleEdit) as told:
        write_note(store, visit_id, "mine", seen=shown)

    assert str(told.value) == (
        "Not written: Lena changed this first (Moved the visit to Friday). Your entry is kept "
        "here; nothing was lost. Look at both versions and write yours again, or keep theirs."
    )
    assert told.value.now["note"] == "hers"
    assert (told.value.table, told.value.row_id, told.value.exit_code) == ("visit", visit_id, 3)
    # the way out: write it again on the version that stands now
    write_note(store, visit_id, "mine after all", seen=told.value.now["revision"])


def test_a_form_that_shows_the_version_that_stands_is_written(store):
    visit_id = a_visit(store)

    write_note(store, visit_id, "one", seen=seen_at(store, visit_id))
    write_note(store, visit_id, "two", seen=None)

    with store.read() as session:
        assert session.get(Visit, visit_id).note == "two"


def test_an_undo_makes_a_shown_version_old(store):
    visit_id = a_visit(store)
    change = edit(store, Visit, visit_id, note="one")
    shown = seen_at(store, visit_id)
    undo_change(store, change, who="Lena")

    with pytest.raises(StaleEdit, match="Took back: Edited"):
        write_note(store, visit_id, "mine", seen=shown)


def test_a_record_taken_back_meanwhile_is_told(store):
    with store.change("Ines", "Wrote a part") as work:
        part = work.add(Part(number="FS-1", name="float"))
    undo_change(store, work.changed.change_id, who="Lena")

    with (
        pytest.raises(Trouble, match=r"not in the store any more.*All changes"),
        store.change("Ines", "Renamed it") as later,
    ):
        later.fresh(Part, part.id, seen=1).name = "float switch"


def edit_in_another_process(place, visit_id, ready, go):
    """Lena's seat: holds the record open while Ines wants it."""
    store = open_store(place)
    with store.change("Lena", "Moved the visit to Friday") as work:
        work.fresh(Visit, visit_id, seen=1).note = "hers"
        work.session.flush()
        ready.set()
        go.wait(20)
    store.close()


@pytest.mark.pg
def test_two_processes_edit_one_visit_and_the_second_is_told(pg_store):
    visit_id = a_visit(pg_store)
    spawn = multiprocessing.get_context("spawn")
    ready, go = spawn.Event(), spawn.Event()
    place = pg_store.place
    other = spawn.Process(target=edit_in_another_process, args=(place, visit_id, ready, go))
    other.start()
    assert ready.wait(60)
    letting_go = threading.Timer(0.3, go.set)  # while we already wait for the row
    letting_go.start()

    with pytest.raises(StaleEdit) as told:
        write_note(pg_store, visit_id, "mine", seen=1)

    other.join(30)
    assert other.exitcode == 0
    assert "Lena changed this first (Moved the visit to Friday)" in str(told.value)
    assert told.value.now["note"] == "hers"
    write_note(pg_store, visit_id, "hers, and mine", seen=told.value.now["revision"])
    with pg_store.read() as session:
        assert session.get(Visit, visit_id).note == "hers, and mine"
        n = session.execute(text("SELECT count(*) FROM change WHERE what LIKE '%note%'")).scalar()
    assert n == 1


def test_a_race_below_the_form_is_caught_by_the_revision_too(store):
    visit_id = a_visit(store)

    def write_between():
        with store.change("Ines", "Wrote a note") as work:
            visit = work.get(Visit, visit_id)
            # as if the other one's commit had come between reading and writing
            work.session.execute(text("UPDATE visit SET revision = revision + 1"))
            visit.note = "mine"

    with pytest.raises(Trouble, match=r"somebody else changed the same record.*nothing was lost"):
        write_between()

    with store.read() as session:
        assert session.get(Visit, visit_id).note == ""


def test_many_threads_add_up_and_none_is_lost(store):
    with store.change("Ines", "Wrote a part") as work:
        part = work.add(Part(number="FS-1", name="float", reorder_at=0))
        numbers = []
    failed = []

    def add_one():
        try:
            with store.change("Ines", "One more") as mine:
                record = mine.get(Part, part.id)
                record.reorder_at += 1
                numbers.append(mine.next_number("report"))
        except BaseException as error:  # shown by the test's own thread
            failed.append(error)

    threads = [threading.Thread(target=add_one) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert failed == []
    with store.read() as session:
        assert session.get(Part, part.id).reorder_at == 8
    assert sorted(numbers) == list(range(1, 9))


def test_a_busy_file_is_told_after_the_waiting_time(file_store, monkeypatch):
    from servicedesk.records import database

    visit_id = a_visit(file_store)
    file_store.close()
    monkeypatch.setattr(database, "BUSY_MS", 50)
    store = open_store(file_store.place)
    other = sqlite3.connect(store.place)
    other.execute("BEGIN IMMEDIATE")

    with pytest.raises(Trouble, match=r"another program is using .*try again"):
        edit(store, Visit, visit_id, note="one")

    with store.read() as session:
        assert session.get(Visit, visit_id).note == ""  # reading goes on meanwhile
    other.rollback()
    other.close()
    edit(store, Visit, visit_id, note="one")
    store.close()


def test_one_reading_sees_one_picture(store):
    visit_id = a_visit(store)

    with store.read() as session:
        first = session.execute(text("SELECT note FROM visit")).scalar()
        edit(store, Visit, visit_id, note="written meanwhile")
        second = session.execute(text("SELECT note FROM visit")).scalar()

    assert first == second == ""
