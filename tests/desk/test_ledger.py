"""The catalogue and the ledger: prices from a day on, moves, counts, claims, undo."""

import tempfile
from collections import Counter
from datetime import date, timedelta
from pathlib import Path
from shutil import copyfile

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from servicedesk.desk import ledger, parts
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.ledger import Move
from servicedesk.records.parts import StockMove, StockPlace
from servicedesk.records.store import open_store
from servicedesk.records.undo import undo_change
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY, a_done_visit, a_site
from tests.desk.conftest import _seated
from tests.records.snapshot import snapshot

YESTERDAY = TODAY - timedelta(days=1)


def a_part(desk, number="F-010", **values) -> int:
    entry = {"number": number, "name": "Float, sealed lead", "part_kind": "float-switch-signal"}
    changed = parts.write_part(desk, {**entry, **values})
    return next(iter(changed.rows["part"]))


def two_places(desk) -> tuple[int, int]:
    with desk.store.change(desk.who, "Wrote places") as work:
        shelf = work.add(StockPlace(name="Shelf"))
        truck = work.add(StockPlace(name="T1"))
    return shelf.id, truck.id


def bought(desk, part, place, n=10, **values):
    return ledger.move(
        desk, Move(part_id=part, why="bought", quantity=n, to_place_id=place, **values)
    )


def a_move(desk, part, n, a, b, **values):
    return ledger.move(
        desk,
        Move(part_id=part, why="moved", quantity=n, from_place_id=a, to_place_id=b, **values),
    )


def undo(desk, moved):
    return undo_change(desk.store, moved.changed.change_id, who=desk.who)


def the_moves(desk) -> list[StockMove]:
    with desk.store.read() as session:
        return session.query(StockMove).order_by(StockMove.id).all()


def test_a_price_counts_from_its_day_on_and_old_days_keep_theirs(desk):
    part = a_part(desk)
    parts.price_part(desk, part, from_on=date(2025, 1, 1), cost_minor=2000, price_minor=3200)
    parts.price_part(desk, part, from_on=TODAY, cost_minor=2300, price_minor=3700)
    parts.price_part(desk, part, from_on=TODAY, cost_minor=2400, price_minor=3800)

    (now,) = parts.parts(desk)
    (then,) = parts.parts(desk, on=YESTERDAY)
    (before,) = parts.parts(desk, on=date(2024, 12, 31))
    assert (now.cost_minor, now.price_minor) == (2400, 3800)
    assert (then.cost_minor, then.price_minor) == (2000, 3200)
    assert (before.cost_minor, before.price_minor) == (None, None)


def test_what_a_catalogue_cannot_hold_is_said_field_by_field(desk):
    a_part(desk)
    with pytest.raises(WrongEntry) as told:
        parts.write_part(
            desk,
            {"number": "f-010", "name": " ", "part_kind": "rocket", "pack": 0, "supplier_id": 99},
        )
    assert [one.field for one in told.value.wrong] == [
        "name", "number", "part_kind", "pack", "supplier_id",
    ]  # fmt: skip
    with pytest.raises(WrongEntry):
        parts.price_part(desk, 1, from_on=TODAY, cost_minor=-1, price_minor=None)


def test_a_part_is_changed_and_ends(desk):
    part = a_part(desk)
    parts.write_part(desk, {"ended_on": TODAY, "pack": 4}, part_id=part, seen=1)

    assert parts.parts(desk) == ()
    assert [one.pack for one in parts.parts(desk, ended=True)] == [4]


def test_stock_at_any_place_and_date_is_the_sum_of_its_moves(desk):
    part, (shelf, truck) = a_part(desk), two_places(desk)
    visit = a_done_visit(desk, a_site(desk), TODAY)
    bought(desk, part, shelf, 10, on=TODAY - timedelta(days=9))
    a_move(desk, part, 4, shelf, truck, on=TODAY - timedelta(days=5))
    ledger.move(
        desk,
        Move(part_id=part, why="used", quantity=1, from_place_id=truck, visit_id=visit.id),
    )

    assert ledger.balances(desk, on=TODAY - timedelta(days=10)) == {}
    assert ledger.balances(desk, on=TODAY - timedelta(days=6)) == {(part, shelf): 10}
    assert ledger.balances(desk, on=YESTERDAY) == {(part, shelf): 6, (part, truck): 4}
    assert ledger.balances(desk) == {(part, shelf): 6, (part, truck): 3}


def test_a_move_keeps_the_cost_of_its_day(desk):
    part, (shelf, _) = a_part(desk), two_places(desk)
    parts.price_part(desk, part, from_on=YESTERDAY, cost_minor=2000, price_minor=None)
    bought(desk, part, shelf, on=YESTERDAY)
    parts.price_part(desk, part, from_on=TODAY, cost_minor=2500, price_minor=None)
    bought(desk, part, shelf)
    bought(desk, part, shelf, unit_cost_minor=1)

    assert [one.unit_cost_minor for one in the_moves(desk)] == [2000, 2500, 1]


def test_less_than_nothing_is_allowed_and_said(desk):
    part, (shelf, truck) = a_part(desk), two_places(desk)
    bought(desk, part, shelf, 1)

    assert a_move(desk, part, 1, shelf, truck).warnings == ()
    (warning,) = a_move(desk, part, 2, shelf, truck).warnings
    assert "Shelf: -2 x Float, sealed lead by the book" in warning
    assert ledger.balances(desk) == {(part, shelf): -2, (part, truck): 3}


def test_a_count_corrects_by_a_move_and_what_was_before_cannot_be_taken_back(desk):
    part, (shelf, truck) = a_part(desk), two_places(desk)
    first = bought(desk, part, shelf, 10)
    moved = a_move(desk, part, 4, shelf, truck)
    counted = ledger.count(desk, part, shelf, 5)

    assert ledger.balances(desk) == {(part, shelf): 5, (part, truck): 4}
    last = the_moves(desk)[-1]
    assert (last.why, last.quantity, last.from_place_id) == ("counted", 1, shelf)
    for one in (first, moved):
        with pytest.raises(Trouble, match="counted since"):
            undo(desk, one)
    undo(desk, counted)
    undo(desk, moved)
    assert ledger.balances(desk) == {(part, shelf): 10}


def test_a_count_that_agrees_is_kept_and_stands_in_the_way_too(desk):
    part, (shelf, _) = a_part(desk), two_places(desk)
    first = bought(desk, part, shelf, 3)
    ledger.count(desk, part, shelf, 3)

    assert ledger.balances(desk) == {(part, shelf): 3}
    with pytest.raises(Trouble, match="counted since"):
        undo(desk, first)


def test_a_count_of_an_earlier_day_does_not_hold_what_came_after(desk):
    part, (shelf, _) = a_part(desk), two_places(desk)
    bought(desk, part, shelf, 3, on=YESTERDAY)
    later = bought(desk, part, shelf, 4)
    ledger.count(desk, part, shelf, 2, on=YESTERDAY)

    assert ledger.balances(desk) == {(part, shelf): 6}
    undo(desk, later)
    assert ledger.balances(desk) == {(part, shelf): 2}


def test_nothing_is_moved_on_a_day_before_a_count(desk):
    part, (shelf, truck) = a_part(desk), two_places(desk)
    bought(desk, part, shelf, 3, on=YESTERDAY)
    ledger.count(desk, part, shelf, 3)

    with pytest.raises(WrongEntry, match="already holds"):
        a_move(desk, part, 1, shelf, truck, on=YESTERDAY)
    with pytest.raises(WrongEntry, match="still to come"):
        a_move(desk, part, 1, shelf, truck, on=TODAY + timedelta(days=1))
    with pytest.raises(WrongEntry, match="already holds"):
        ledger.count(desk, part, shelf, 1, on=YESTERDAY)


def test_a_part_used_before_the_count_is_used_but_not_taken_twice(desk):
    part, (_, truck) = a_part(desk), two_places(desk)
    visit = a_done_visit(desk, a_site(desk), YESTERDAY)
    bought(desk, part, truck, 3, on=YESTERDAY)
    ledger.count(desk, part, truck, 2)
    late = Move(part_id=part, why="used", quantity=1, from_place_id=truck, visit_id=visit.id,
                on=YESTERDAY)  # fmt: skip
    ledger.move(desk, late)

    assert ledger.balances(desk) == {(part, truck): 2}
    last = the_moves(desk)[-1]
    assert (last.why, last.from_place_id, last.details) == ("used", None, {"counted_at": truck})


def test_a_claim_is_owed_until_credit_or_refusal_is_written(desk):
    part, (shelf, _) = a_part(desk), two_places(desk)
    bought(desk, part, shelf, 2)
    ledger.move(desk, Move(part_id=part, why="claimed", quantity=1, from_place_id=shelf))
    (claim,) = ledger.open_claims(desk)

    with pytest.raises(WrongEntry):
        ledger.answer_claim(desk, claim.id, "credit")
    answered = ledger.answer_claim(desk, claim.id, "credit", credit_minor=2400)
    assert ledger.open_claims(desk) == ()
    with pytest.raises(Trouble, match="not open"):
        ledger.answer_claim(desk, claim.id, "refusal")
    undo_change(desk.store, answered.change_id, who=desk.who)
    assert [one.id for one in ledger.open_claims(desk)] == [claim.id]
    assert ledger.balances(desk) == {(part, shelf): 1}


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"why": "moved", "quantity": 0, "from_place_id": 1, "to_place_id": 2}, "quantity"),
        ({"why": "moved", "quantity": 1, "from_place_id": 1, "to_place_id": 1}, "to_place_id"),
        ({"why": "moved", "quantity": 1, "to_place_id": 1}, "from_place_id"),
        ({"why": "bought", "quantity": 1}, "to_place_id"),
        ({"why": "scrapped", "quantity": 1, "from_place_id": 1, "to_place_id": 2}, "to_place_id"),
        ({"why": "used", "quantity": 1, "from_place_id": 1}, "visit_id"),
    ],
)
def test_a_move_that_cannot_be_is_refused(file_desk, values, field):
    part = a_part(file_desk)
    two_places(file_desk)

    with pytest.raises(WrongEntry) as told:
        ledger.move(file_desk, Move(part_id=part, **values))
    assert [one.field for one in told.value.wrong] == [field]
    assert the_moves(file_desk) == []


STEP = st.one_of(
    st.tuples(st.just("move"), st.integers(1, 5), st.integers(0, 2), st.integers(0, 2)),
    st.tuples(st.just("count"), st.integers(0, 6), st.integers(1, 2), st.just(0)),
    st.tuples(st.just("undo"), st.integers(0, 30), st.just(0), st.just(0)),
)
_WHY = {(False, True): "bought", (True, True): "moved", (True, False): "scrapped"}


@settings(max_examples=25, deadline=None)
@given(steps=st.lists(STEP, min_size=3, max_size=14))
def test_any_order_of_moves_counts_and_undos_adds_up(empty_file, steps):
    """Against a reckoning beside it: undo is refused exactly while a later count stands."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "one.store")
        copyfile(empty_file, path)
        desk = _seated(open_store(path))
        try:
            _run(desk, steps)
        finally:
            desk.store.close()


def _run(desk, steps) -> None:
    part, (shelf, truck) = a_part(desk), two_places(desk)
    places, have = (None, shelf, truck), Counter()
    done: list[tuple[int, Counter, int | None]] = []  # change, effect, place counted
    for what, n, a, b in steps:
        effect: Counter = Counter()
        if what == "move" and a != b:
            why = _WHY[places[a] is not None, places[b] is not None]
            moved = ledger.move(
                desk,
                Move(part_id=part, why=why, quantity=n, from_place_id=places[a],
                     to_place_id=places[b]),
            )  # fmt: skip
            for place, sign in ((places[a], -1), (places[b], 1)):
                if place is not None:
                    effect[place] = sign * n
            below = places[a] is not None and have[places[a]] - n < 0
            assert bool(moved.warnings) == below
            done.append((moved.changed.change_id, effect, None))
        elif what == "count":
            moved = ledger.count(desk, part, places[a], n)
            effect[places[a]] = n - have[places[a]]
            done.append((moved.changed.change_id, effect, places[a]))
        elif what == "undo" and done:
            k = n % len(done)
            change, back, counted = done[k]
            touched = set(back) | ({counted} if counted else set())
            if any(place in touched for _, _, place in done[k + 1 :]):
                before = snapshot(desk.store)
                with pytest.raises(Trouble, match="counted since"):
                    undo_change(desk.store, change, who=desk.who)
                assert snapshot(desk.store) == before
                continue
            undo_change(desk.store, change, who=desk.who)
            del done[k]
            effect = Counter({place: -v for place, v in back.items()})
        for place, v in effect.items():
            have[place] += v
        assert ledger.balances(desk) == {(part, p): v for p, v in have.items() if v}
