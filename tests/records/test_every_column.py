"""One generic test walks every logged table and column: change, undo, redo, compare."""

import pytest

from servicedesk.records import search
from servicedesk.records.base import Kind
from servicedesk.records.changes import Change, ChangeItem, ChangeSecret
from servicedesk.records.tables import models
from servicedesk.records.undo import undo_change
from tests.records.any_row import make, value_for
from tests.records.snapshot import indexed, snapshot

WATCHED = models(Kind.LOGGED, Kind.SECRET)


@pytest.mark.parametrize("model", WATCHED, ids=lambda m: m.__tablename__)
def test_every_column_can_be_changed_undone_and_redone(store, model):
    with store.change("Ines", "Made a row") as work:
        row_id = make(work, model).id
    for column in model.__table__.columns:
        if column.name in {"id", "revision"} or column.foreign_keys:
            continue
        if model.__tablename__ == "customer" and column.name == "erased_at":
            continue  # what was erased stays erased: its own test
        before = snapshot(store)
        with store.change("Ines", f"Changed {column.name}") as work:
            setattr(work.get(model, row_id), column.name, value_for(column, 1))
        after = snapshot(store)
        assert after != before, column.name

        undone = undo_change(store, work.changed.change_id, who="Ines")
        assert snapshot(store) == before, column.name

        undo_change(store, undone.change_id, who="Ines")
        assert snapshot(store) == after, column.name


@pytest.mark.parametrize(
    "model", [m for m in WATCHED if m.__tablename__ != "paper_sent"], ids=lambda m: m.__tablename__
)  # a paper that left the house cannot be called back: its own test
def test_every_table_forgets_a_made_row_and_gets_it_back(store, model):
    with store.change("Ines", "Made what it points to") as work:
        make(work, model, 1)
    before = snapshot(store)
    with store.change("Ines", "Made a row") as work:
        make(work, model, 5)
    made = snapshot(store)

    undone = undo_change(store, work.changed.change_id, who="Ines")
    assert snapshot(store) == before
    undo_change(store, undone.change_id, who="Ines")
    assert snapshot(store) == made

    by_touch = indexed(store)
    with store.database.begin() as connection:
        search.rebuild(connection)
    assert indexed(store) == by_touch


def test_the_log_never_shows_a_secret(store):
    from servicedesk.records.sites import Site, SiteSecret

    with store.change("Ines", "Wrote a gate code") as work:
        site = make(work, Site)
        secret = work.add(SiteSecret(site_id=site.id, what="gate", value="4417#"))
    with store.change("Ines", "Changed it") as work:
        work.get(SiteSecret, secret.id).value = "9090#"

    with store.read() as session:
        items = session.query(ChangeItem).all()
        log = " ".join(str((i.before, i.after)) for i in items)
        kept = session.query(ChangeSecret).count()
    assert "4417" not in log
    assert "9090" not in log
    assert kept == 2
    assert not any("4417" in str(word) for word in indexed(store))


def test_a_change_that_touches_nothing_is_not_written(store):
    with store.change("Ines", "Nothing"):
        pass

    with store.read() as session:
        assert session.query(Change).count() == 0
