"""The stock ledger: its undo is the opposite move, and no order of moves and undos loses a part."""

import shutil
import tempfile
from collections import Counter
from contextlib import contextmanager
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from servicedesk.records.parts import Part, StockMove
from servicedesk.records.store import open_store
from servicedesk.records.undo import undo_change
from servicedesk.records.visits import Visit
from tests.records.rows import a_move, a_site, a_stock, edit, move
from tests.records.snapshot import balances, snapshot


def moves(store) -> list[StockMove]:
    with store.read() as session:
        return list(session.scalars(select(StockMove).order_by(StockMove.id)))


def test_the_undo_of_a_move_is_the_opposite_move_and_its_redo_the_opposite_of_that(store):
    part, shelf, truck = a_stock(store)
    moved = move(store, part, 4, shelf, truck)

    undone = undo_change(store, moved, who="Ines")
    undo_change(store, undone.change_id, who="Ines")

    _, first, opposite, again = moves(store)
    assert (opposite.from_place_id, opposite.to_place_id) == (truck, shelf)
    assert (again.from_place_id, again.to_place_id) == (shelf, truck)
    assert (opposite.why, opposite.reverses_id) == ("undone", first.id)
    assert (again.why, again.reverses_id) == ("undone", opposite.id)
    assert {m.quantity for m in (first, opposite, again)} == {4}
    assert snapshot(store)["balances"] == {(part, shelf): 6, (part, truck): 4}


def test_moves_and_records_of_one_change_are_undone_together(store):
    part, _shelf, truck = a_stock(store)
    with store.change("Ines", "Planned a visit") as work:
        visit = work.add(Visit(site_id=a_site(work).id))
    before = snapshot(store)
    with store.change("Ines", "Wrote up a visit with a part") as work:
        work.get(Visit, visit.id).state = "done"
        work.add(a_move(part, 1, truck, None, why="used"))

    undo_change(store, work.changed.change_id, who="Ines")

    assert snapshot(store) == before
    assert len(moves(store)) == 3


STEP = st.one_of(
    st.tuples(st.just("move"), st.integers(1, 5), st.integers(0, 2), st.integers(0, 2)),
    st.tuples(st.just("undo"), st.integers(0, 30), st.just(0), st.just(0)),
)


def run_any_order(store, steps) -> None:
    """Moves, renames and undos of undos in any order, against a simple reckoning beside it."""
    part, shelf, truck = a_stock(store)
    places = (None, shelf, truck)
    expected = Counter({(part, shelf): 10})
    effects: dict[int, Counter] = {}
    open_changes: list[int] = []
    for what, n, a, b in steps:
        if what == "move" and a != b:
            effect = Counter()
            if places[a] is not None:
                effect[part, places[a]] -= n
            if places[b] is not None:
                effect[part, places[b]] += n
            change = move(store, part, n, places[a], places[b])
        elif what == "undo" and open_changes:
            target = open_changes.pop(n % len(open_changes))
            effect = Counter({k: -v for k, v in effects[target].items()})
            change = undo_change(store, target, who="Ines").change_id
        else:
            continue
        effects[change] = effect
        open_changes.append(change)
        for key, value in effect.items():
            expected[key] += value
        with store.read() as session:
            assert balances(session) == {k: v for k, v in expected.items() if v}


@contextmanager
def a_store(empty_file):
    """A store for one example."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "one.store")
        shutil.copyfile(empty_file, path)
        store = open_store(path)
        try:
            yield store
        finally:
            store.close()


@settings(max_examples=25, deadline=None)
@given(steps=st.lists(STEP, max_size=12))
def test_any_order_of_moves_and_undos_keeps_every_balance(empty_file, steps):
    with a_store(empty_file) as store:
        run_any_order(store, steps)


@settings(max_examples=25, deadline=None)
@given(
    columns=st.lists(
        st.tuples(st.sampled_from(["name", "barcode", "unit"]), st.sampled_from("abc")), max_size=8
    ),
    data=st.data(),
)
def test_any_edits_undone_backwards_give_what_stood_before(empty_file, columns, data):
    with a_store(empty_file) as store:
        part, _, _ = a_stock(store)
        pictures = [snapshot(store)]
        changes = []
        for column, value in columns:
            change = edit(store, Part, part, **{column: value})
            if change:  # nothing is written where nothing changed
                changes.append(change)
                pictures.append(snapshot(store))
        kept = data.draw(st.integers(0, len(changes)))
        undone = [undo_change(store, c, who="Ines") for c in reversed(changes[kept:])]
        assert snapshot(store) == pictures[kept]
        for change in reversed(undone):
            undo_change(store, change.change_id, who="Ines")
        assert snapshot(store) == pictures[-1]
