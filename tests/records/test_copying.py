"""Backup, restore, the move to PostgreSQL and back, the export, the check."""

import csv
import json
from pathlib import Path

import pytest
from sqlalchemy import select, text

from servicedesk.records.attachments import Attachment
from servicedesk.records.base import Kind
from servicedesk.records.changes import Change
from servicedesk.records.copying import backup, check, copy_rows, export, restore
from servicedesk.records.equipment import Unit
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.people import Customer
from servicedesk.records.search import find_sites
from servicedesk.records.sites import Site, SiteSecret, System
from servicedesk.records.store import create_store, open_store
from servicedesk.records.tables import models
from servicedesk.records.undo import last_undoable, undo_change
from servicedesk.records.visits import Visit
from servicedesk.values.trouble import Trouble
from tests.records.rows import AT, a_site, a_stock, a_visit, edit, many_sites, move, write_up
from tests.records.snapshot import indexed

PAPER = b"%PDF-1.4 the report as it was sent" * 50_000  # more than one chunk


def everything(store) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table, log and counters and revisions included."""
    kinds = [kind for kind in Kind if kind not in {Kind.DERIVED, Kind.CONTENT}]
    with store.read() as session:
        return {
            m.__tablename__: [
                tuple(row)
                for row in session.execute(select(m.__table__).order_by(m.__table__.c.id))
            ]
            for m in models(*kinds)
        }


def a_lived_in_store(store):
    """A bit of everything: sites, a write-up, moves, a secret, a paper, undone changes."""
    visit_id = a_visit(store, wishes={"only": ["Tue", "é"]})
    write_up(store, visit_id)
    part, shelf, truck = a_stock(store)
    move(store, part, 3, shelf, truck)
    sha256 = store.content.put(PAPER)
    with store.change("Ines", "Sent the report, wrote a code") as work:
        site = a_site(work, work.next_number("site"), note="=HYPERLINK(1)", lat_deg=30.123456789)
        work.add(SiteSecret(site_id=site.id, what="gate", value="4417#"))
        work.add(
            PaperSent(
                number=work.next_number("report"),
                kind_of="inspection report",
                sha256=sha256,
                visit_id=visit_id,
                sent_at=AT,
            )
        )
        photo = store.content.put(b"a photo")
        work.add(
            Attachment(
                sha256=photo, name="a.jpg", media_type="image/jpeg", n_bytes=7, site_id=site.id
            )
        )
        many_sites(work, 5, first=100)
        system = work.add(System(site_id=site.id))
        younger = work.add(Unit(system_id=system.id, component="pump"))
        older = work.add(Unit(system_id=system.id, component="pump"))
        younger.predecessor_id = older.id  # written later than its successor
        work.add(Customer(name="Żółć, Łucja", note="+1 is no formula"))
    with store.change("Ines", "Written by mistake") as wrong:
        gone = a_site(wrong, wrong.next_number("site"))
    undo_change(store, wrong.changed.change_id, who="Ines")
    return gone.id


def without_the_move(rows, moves: int):
    return rows | {"change": rows["change"][: len(rows["change"]) - moves]}


@pytest.mark.pg
def test_a_store_moves_to_postgresql_and_back_with_every_row_and_its_history(
    file_store, empty_database, tmp_path
):
    gone = a_lived_in_store(file_store)
    before = everything(file_store)
    backup(file_store, tmp_path / "backup.store")

    seats = restore(tmp_path / "backup.store", empty_database)

    assert without_the_move(everything(seats), 1) == before
    assert check(seats).faults == ()
    assert indexed(seats) == indexed(file_store)
    with seats.read() as session:
        paper = session.scalars(select(PaperSent.sha256)).one()
    assert seats.content.get(paper) == PAPER

    with seats.change("Ines", "Wrote a site") as work:  # keys and numbers go on
        number = work.next_number("site")
        added = a_site(work, number).id
    assert added == gone + 1  # the key of the site taken back is not given out again
    assert number == 4
    undo_change(seats, work.changed.change_id, who="Ines")
    in_seats = everything(seats)

    backup(seats, tmp_path / "back.store")
    home = restore(tmp_path / "back.store", str(tmp_path / "home.store"))

    assert without_the_move(everything(home), 1) == in_seats
    assert check(home).faults == ()
    assert home.content.get(paper) == PAPER
    with home.change("Ines", "Wrote a site") as work:
        assert a_site(work, work.next_number("site")).id == added + 1
    with home.read() as session:
        last_but_move = last_undoable(session, "Ines")
    undo_change(home, last_but_move.id, who="Ines")
    home.close()
    seats.close()


def test_a_backup_is_one_whole_copy_and_is_never_written_over(store, tmp_path):
    a_lived_in_store(store)
    target = tmp_path / "with a space" / "backup.store"
    with pytest.raises(Trouble, match="does not exist"):
        backup(store, target)
    target.parent.mkdir()

    backup(store, target)

    copied = open_store(target)
    kept = everything(copied)
    moved = 0 if store.is_file else 1
    assert without_the_move(kept, moved) == everything(store)
    assert check(copied).faults == ()
    copied.close()
    with pytest.raises(Trouble, match="already exists and was left as it is"):
        backup(store, target)
    assert sorted(p.name for p in target.parent.iterdir()) == [
        "backup.store",
        "backup.store.files",
    ]


def test_a_backup_can_be_taken_while_somebody_is_writing(file_store, tmp_path):
    a_lived_in_store(file_store)
    before = everything(file_store)
    with file_store.change("Lena", "Is writing") as work:
        a_site(work, 777)
        backup(file_store, tmp_path / "backup.store")

    copied = open_store(tmp_path / "backup.store")
    assert everything(copied) == before
    copied.close()


def test_a_backup_stays_as_it_is_when_it_is_restored(file_store, tmp_path):
    a_lived_in_store(file_store)
    saved = tmp_path / "backup.store"
    backup(file_store, saved)
    content = saved.read_bytes()
    saved.chmod(0o444)

    restored = restore(saved, str(tmp_path / "again.store"))

    assert everything(restored) == everything(file_store)
    assert saved.read_bytes() == content
    restored.close()
    with pytest.raises(Trouble, match="already exists"):
        restore(saved, str(tmp_path / "again.store"))
    with pytest.raises(Trouble, match="There is no store at"):
        restore(tmp_path / "none.store", str(tmp_path / "other.store"))
    assert not (tmp_path / "other.store").exists()


def test_rows_are_copied_only_into_an_empty_store(file_store, tmp_path):
    a_visit(file_store)
    other = create_store(tmp_path / "other.store")
    a_visit(other)

    with pytest.raises(Trouble, match="is not empty"):
        copy_rows(file_store, other)
    other.close()


# --- export -----------------------------------------------------------------------------------


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_an_export_holds_every_record_describes_every_column_and_keeps_secrets(store, tmp_path):
    a_lived_in_store(store)
    folder = tmp_path / "out"

    written = export(store, folder)

    names = {p.stem for p in written}
    assert names == {m.__tablename__ for m in models(Kind.LOGGED, Kind.LEDGER, Kind.LOG)} - {
        "change_secret"
    } | {"columns"}
    every_byte = b"".join(p.read_bytes() for p in folder.rglob("*") if p.is_file())
    assert b"4417" not in every_byte
    everyone = everything(store)
    for path in written[:-1]:
        assert len(rows_of(path)) == len(everyone[path.stem]), path.stem
    described = rows_of(folder / "columns.csv")
    assert {(d["table"], d["column"]) for d in described} == {
        (m.__tablename__, c.name)
        for m in models(Kind.LOGGED, Kind.LEDGER, Kind.LOG)
        if m.__tablename__ != "change_secret"
        for c in m.__table__.columns
    }
    assert all(d["meaning"] and d["type"] and d["table holds"] for d in described)
    by_name = {(d["table"], d["column"]): d for d in described}
    assert by_name["visit", "arrived_at"]["meaning"] == "an instant, UTC"
    assert by_name["customer", "name"]["meaning"] == "name (about a person)"
    assert by_name["visit", "site_id"]["points to"] == "site.id"


def test_cells_that_a_spreadsheet_would_run_are_harmless_and_lists_are_json(store, tmp_path):
    a_lived_in_store(store)

    export(store, tmp_path)

    notes = [row["note"] for row in rows_of(tmp_path / "site.csv")]
    assert "'=HYPERLINK(1)" in notes
    assert "'+1 is no formula" in {row["note"] for row in rows_of(tmp_path / "customer.csv")}
    wishes = [json.loads(row["wishes"]) for row in rows_of(tmp_path / "visit.csv")]
    assert wishes == [{"only": ["Tue", "é"]}]
    assert rows_of(tmp_path / "visit.csv")[0]["arrived_at"] == "2026-10-14T14:00:00+00:00"
    kept = [p.read_bytes() for p in (tmp_path / "files").rglob("*") if p.is_file()]
    assert sorted(kept, key=len) == [b"a photo", PAPER]


def test_an_export_into_a_file_is_told(file_store, tmp_path):
    (tmp_path / "out").write_text("a file")

    with pytest.raises(Trouble, match="Choose a folder that you may write to"):
        export(file_store, tmp_path / "out")


# --- check ------------------------------------------------------------------------------------


def without_references(store, statement: str) -> None:
    """Break the store below all its nets, as a bad disk or another program would."""
    if store.is_file:
        import sqlite3

        connection = sqlite3.connect(store.place)
        connection.execute(statement)
        connection.commit()
        connection.close()
        return
    with store.database.begin() as connection:
        connection.execute(text("SET LOCAL session_replication_role = replica"))
        connection.execute(text(statement))


def test_a_sound_store_has_no_faults_and_its_rows_are_counted(store):
    a_lived_in_store(store)

    health = check(store)

    assert health.faults == ()
    assert health.rows["site"] == 7
    assert health.rows["site_secret"] == 1


def test_a_reference_to_nothing_is_found(store):
    visit_id = a_visit(store)
    without_references(store, f"UPDATE visit SET site_id = 4711 WHERE id = {visit_id}")

    assert check(store).faults == ("1 of visit point to a site that is not there.",)


def test_a_row_lost_behind_the_logs_back_is_found(store):
    visit_id = a_visit(store)
    assert check(store).faults == ()
    without_references(store, f"DELETE FROM visit WHERE id = {visit_id}")

    assert check(store).faults == ("The rows of visit are not what the log says.",)


def test_the_check_changes_nothing(store):
    visit_id = a_visit(store)
    edit(store, Visit, visit_id, note="one")
    before = everything(store)

    check(store)

    assert everything(store) == before


def test_bytes_come_back_and_the_same_are_kept_once(store):
    sha256 = store.content.put(PAPER)
    assert store.content.put(PAPER) == sha256
    empty = store.content.put(b"")

    assert store.content.get(sha256) == PAPER
    assert store.content.get(empty) == b""
    with pytest.raises(KeyError):
        store.content.get("0" * 64)


def test_two_seats_that_keep_the_same_bytes_at_once_keep_them_once(store):
    import threading

    threads = [threading.Thread(target=store.content.put, args=(PAPER,)) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert store.content.get(store.content.put(PAPER)) == PAPER


def test_search_finds_after_a_move(file_store, tmp_path):
    a_lived_in_store(file_store)
    backup(file_store, tmp_path / "backup.store")

    with open_store(tmp_path / "backup.store").read() as session:
        assert find_sites(session, "osprey 101") == find_sites(session, "409 555 0101")
        assert session.scalar(select(Change.kind_of).limit(1)) == "edit"
        assert session.scalar(
            select(Site.lat_deg).where(Site.note == "=HYPERLINK(1)")
        ) == pytest.approx(30.123456789, abs=0)
