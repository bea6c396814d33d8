"""Shelf, driven by keys over real stores: counted, moved, ordered, arrived, taken back, scanned."""

import shutil
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from servicedesk.desk import ledger, part_orders, parts
from servicedesk.desk.front import FrontOffice
from servicedesk.desk.ledger import Move
from servicedesk.desk.load import truck_loads
from servicedesk.records.company import Truck
from servicedesk.records.parts import StockPlace
from servicedesk.records.people import Firm
from servicedesk.window.places.registry import all_places
from servicedesk.window.widgets.shelf_painter import AXIS_DAYS, shelf_columns
from tests.builders import TODAY, a_round, a_site, a_technician, a_visit, something_owed
from tests.desk.conftest import _seated
from tests.window.test_owed import press, settle, type_in

TOMORROW = TODAY + timedelta(days=1)


@pytest.fixture
def desk(file_store):
    """A shelf and Lena's truck, three parts, one visit tomorrow that needs a check valve."""
    desk = _seated(file_store)
    with desk.store.change(desk.who, "Wrote places") as work:
        truck = work.add(Truck(name="T1"))
        shelf = work.add(StockPlace(name="Shelf")).id
        work.add(StockPlace(name="T1", truck_id=truck.id))
        firm = work.add(Firm(name="Beck Supply")).id
    for number, kind, n in (("P-1", "check-valve", 4), ("Q-1", "lid", 0), ("R-1", "", 1)):
        changed = parts.write_part_and_price(
            desk,
            {"number": number, "name": f"Part {number}", "part_kind": kind, "supplier_id": firm,
             "reorder_at": 0, "barcode": f"40063813339{number[-1]}{number[0]}"},
            cost_minor=1200,
        )  # fmt: skip
        if n:
            part = next(iter(changed.rows["part"]))
            ledger.move(desk, Move(part_id=part, why="bought", quantity=n, to_place_id=shelf))
    lena = a_technician(desk, truck_id=truck.id)
    site = a_site(desk)
    owed = something_owed(desk, site, needs_parts=["check-valve"])
    a_visit(desk, site, planned_on=TOMORROW, round_id=a_round(desk, lena, day=TOMORROW).id,
            kind_of="owed", job={"owed_id": owed.id})  # fmt: skip
    return desk


@pytest.fixture
def window(qtbot, open_window, desk):
    kinds = [one for one in all_places() if one.id == "shelf"]
    window = open_window(FrontOffice(desk), kinds)
    settle(qtbot, window)
    window.place.view.list.setFocus()
    return window


def numbers(desk):
    return {one.number: one.id for one in parts.parts(desk)}


def there(desk, number):
    return {place: n for (part, place), n in ledger.balances(desk).items()
            if part == numbers(desk)[number]}  # fmt: skip


def choose(qtbot, window, number):
    """As a scanner does: its digits, then Enter."""
    press(qtbot, window, Qt.Key.Key_F)
    type_in(qtbot, number)
    press(qtbot, window, Qt.Key.Key_Return)


def put(window, name, value):
    window.place._form().fields[name].put(value)


def write(qtbot, window):
    press(qtbot, window, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)


def test_the_page_shows_the_truck_with_its_chance_and_every_part(window, desk):
    place = window.place
    (load,) = truck_loads(desk, TOMORROW, TOMORROW + timedelta(days=1))
    (sheet,) = place.view.trucks.sheets

    assert (load.before, load.after) == (0.0, 1.0)
    assert (sheet.title_label.text(), sheet.chance.text()) == ("Lena Hobb, truck T1", "100%")
    assert [row.right for row in sheet.list.rows.rows] == ["put on 1"]
    assert {row.title for row in place.view.list.rows.rows} == {
        "Part P-1", "Part Q-1", "Part R-1",
    }  # fmt: skip
    assert place.count() == place.data.page.n_buy


def test_loading_a_truck_is_one_change_and_is_taken_back_whole(qtbot, window, desk):
    before = ledger.balances(desk)
    press(qtbot, window, Qt.Key.Key_L)
    shelf, truck = (one.id for one in window.place.data.places)

    assert there(desk, "P-1") == {shelf: 3, truck: 1}
    assert window.place.view.trucks.sheets[0].list.rows.rows[0].title == "Nothing to put on"
    press(qtbot, window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert ledger.balances(desk) == before


def test_a_scanned_part_is_chosen_and_counted(qtbot, window, desk):
    choose(qtbot, window, "400638133391R")
    assert window.place.part.part.number == "R-1"
    press(qtbot, window, Qt.Key.Key_C)
    put(window, "there", 7)
    write(qtbot, window)

    assert list(there(desk, "R-1").values()) == [7]
    assert window.place.part.part.number == "R-1"  # the keys stay where they were
    choose(qtbot, window, "no such thing")
    assert "No part has" in window.place.view.find_told.text()


def test_a_move_stands_in_the_history_and_is_taken_back_by_its_opposite(qtbot, window, desk):
    choose(qtbot, window, "P-1")
    press(qtbot, window, Qt.Key.Key_M)
    put(window, "quantity", 2)
    write(qtbot, window)
    shelf, truck = (one.id for one in window.place.data.places)
    assert there(desk, "P-1") == {shelf: 2, truck: 2}

    press(qtbot, window, Qt.Key.Key_Return)
    assert window.place.title() == "Part P-1"
    rows = window.place.view.list.rows.rows
    assert [(row.title, row.second) for row in rows] == [
        ("2 moved", "Shelf → T1"), ("4 bought", "to Shelf"),
    ]  # fmt: skip
    press(qtbot, window, Qt.Key.Key_U)
    assert there(desk, "P-1") == {shelf: 4}
    assert len(window.place.view.list.rows.rows) == 3
    press(qtbot, window, Qt.Key.Key_Escape)
    assert window.place.title() == ""


def test_a_move_is_not_taken_back_across_a_count(qtbot, window, desk):
    part = numbers(desk)["P-1"]
    ledger.count(desk, part, window.place.data.places[0].id, 3)
    window.place.refresh(None)
    settle(qtbot, window)
    choose(qtbot, window, "P-1")
    press(qtbot, window, Qt.Key.Key_Return)
    window.place.view.list.setCurrentIndex(window.place.view.list.rows.index(1))
    troubles = []
    window.shell.troubled.connect(troubles.append)
    press(qtbot, window, Qt.Key.Key_U)

    assert "counted since" in troubles[0].trouble.means
    assert list(there(desk, "P-1").values()) == [3]


def test_what_is_to_buy_is_ordered_and_arrives_in_part(qtbot, window, desk):
    place = window.place
    place.view.pills["buy"].click()
    press(qtbot, window, Qt.Key.Key_O)
    (line,) = part_orders.open_orders(desk)
    assert (line.part_number, line.quantity) == ("Q-1", 1)
    assert place.view.notice.path.name == f"order-{line.number}.pdf"
    assert place.view.notice.path.exists()

    place.view.pills["orders"].click()
    press(qtbot, window, Qt.Key.Key_A)
    write(qtbot, window)
    assert list(there(desk, "Q-1").values()) == [1]
    assert part_orders.open_orders(desk) == ()
    assert place.view.about.text() == "Nothing is on order."


def test_a_part_is_added_and_what_is_wrong_is_said_under_its_field(qtbot, window, desk):
    press(qtbot, window, Qt.Key.Key_N)
    put(window, "number", "P-1")
    put(window, "name", "Another")
    write(qtbot, window)
    assert window.place._form().fields["number"].is_wrong
    put(window, "number", "S-9")
    put(window, "cost_minor", 500)
    write(qtbot, window)

    (new,) = [one for one in parts.parts(desk) if one.number == "S-9"]
    assert (new.name, new.cost_minor, new.unit, new.pack) == ("Another", 500, "each", 1)


def test_a_price_list_shows_what_it_would_change_before_it_writes(qtbot, window, desk, tmp_path):
    part = numbers(desk)["P-1"]
    parts.write_part(desk, {"supplier_number": "H1"}, part_id=part)
    window.place.refresh(None)
    settle(qtbot, window)
    file = tmp_path / "list.csv"
    file.write_text("Part number,Cost\nH1,15.00\nH2,free\n", encoding="utf-8")
    window.place.look_at_file(str(file))
    write(qtbot, window)
    titles = [row.title for row in window.place.view.list.rows.rows]

    assert titles[0] == "Faults"
    assert "line 3" in titles[1]
    assert titles[3] == "line 2: H1 Part P-1: cost $12.00 → $15.00"
    assert parts.parts(desk)[0].cost_minor == 1200
    write(qtbot, window)
    assert parts.parts(desk)[0].cost_minor == 1500


def test_pick_lists_are_written_for_the_trucks(qtbot, window):
    press(qtbot, window, Qt.Key.Key_P)
    path: Path = window.place.view.notice.path

    assert path.name == "load-2026-10-15.pdf"
    assert path.read_bytes().startswith(b"%PDF")
    shutil.rmtree(path.parent)


@pytest.mark.parametrize("n_trucks", [0, 3, 6])
@pytest.mark.parametrize("width", [900, 1180, 2000])
def test_columns_follow_each_other_within_the_row(width, n_trucks):
    one = shelf_columns(width, 1.0, n_trucks)
    cells = [one.part, one.shelf, *one.trucks, one.weeks, one.a_week, one.days, one.axis, one.told]

    assert all(a[1] < b[0] for a, b in pairwise(cells))
    assert all(a[0] < a[1] for a in cells)
    assert cells[-1][1] <= width
    assert one.axis[0] == one.at(-5) < one.at(60) < one.at(AXIS_DAYS) == one.at(999)


def test_the_figures_are_drawn_when_they_are_asked_for(qtbot, window):
    window.place.view.pills["figures"].click()
    settle(qtbot, window)

    assert window.place.view.figures.isVisible()
    assert QApplication.focusWidget() is not None


def test_a_part_found_elsewhere_is_chosen_here(qtbot, window, desk):
    window.shell.go("shelf", numbers(desk)["R-1"])
    settle(qtbot, window)

    assert window.place.part.part.number == "R-1"


def test_less_than_nothing_is_shouted_in_its_row(qtbot, window, desk):
    choose(qtbot, window, "R-1")
    press(qtbot, window, Qt.Key.Key_X)
    put(window, "quantity", 3)
    write(qtbot, window)
    (row,) = [one for one in window.place.view.list.rows.rows if one.title == "Part R-1"]

    assert row.right == "Less than nothing: count it (Shelf)"
    assert (row.thing.color, row.thing.icon) == ("clay", "warn")
    assert window.place.view.list.rows.rows[0] is row  # it stands first
    assert "1 below nothing" in window.place.view.told.text()
