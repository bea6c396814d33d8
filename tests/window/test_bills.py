"""To bill, driven by keys over a real store: billed at once, a list back, estimates."""

from datetime import date
from itertools import pairwise

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from servicedesk.desk.bills import bills
from servicedesk.desk.front import FrontOffice
from servicedesk.desk.owed import owed_list
from servicedesk.records.papers_sent import PaperSent
from servicedesk.window.places.registry import all_places
from servicedesk.window.widgets.bills_painter import bill_columns
from tests.builders import TODAY, a_done_visit, a_site, something_owed
from tests.desk.conftest import _seated


@pytest.fixture
def desk(file_store):
    return _seated(file_store)


@pytest.fixture
def opened(qtbot, open_window, desk):
    def now(place="bills"):
        kinds = [k for k in all_places() if k.id in ("owed", "bills")]
        window = open_window(FrontOffice(desk), kinds)
        window.shell.go(place)
        settle(qtbot, window)
        window.place.first_focus().setFocus()
        return window

    return now


def settle(qtbot, window):
    qtbot.waitUntil(lambda: not window.shell.work.is_busy)
    qtbot.wait(20)
    qtbot.waitUntil(lambda: not window.shell.work.is_busy)


def press(qtbot, window, key, modifier=Qt.KeyboardModifier.NoModifier):
    qtbot.keyClick(QApplication.focusWidget() or window, key, modifier)
    settle(qtbot, window)


def jobs_done(desk, n):
    site = a_site(desk)
    for price in range(n):
        a_done_visit(
            desk, site, TODAY, kind_of="callback",
            job={"billing": "billable", "price_minor": 10000 + price},
        )  # fmt: skip
    return site


def titles(window):
    return [row.title for row in window.place.list.rows.rows]


def fill(window, **texts):
    form = window.place._forms.form(window.place.desk)
    for name, text in texts.items():
        form.fields[name].put_text(text)
    form.write()
    return form


def test_several_lines_are_billed_in_one_go_and_taken_back(qtbot, desk, opened):
    jobs_done(desk, 2)
    window = opened()
    assert titles(window) == ["Work: callback", "Work: callback"]
    press(qtbot, window, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    press(qtbot, window, Qt.Key.Key_B)
    form = fill(window, number="")
    settle(qtbot, window)
    assert form.fields["number"].is_wrong
    fill(window, number="B-7")
    settle(qtbot, window)

    assert titles(window) == []
    assert {one.bill_number for one in bills(desk).of_state("billed")} == {"B-7"}
    window.acts.run("undo")
    settle(qtbot, window)
    assert len(titles(window)) == 2


def test_a_list_that_came_back_is_looked_at_before_it_is_taken(qtbot, desk, opened, tmp_path):
    jobs_done(desk, 1)
    path = tmp_path / "back.csv"
    path.write_text("Key,State,Bill number,Billed on\njob-1,billed,88,2026-10-14\njob-9,paid,,\n")
    window = opened()
    window.place.look_back(str(path))
    settle(qtbot, window)
    sheet = window.place.back
    assert "to bill → billed (number 88" in sheet.differs.text()
    assert "not a line of ours" in sheet.not_taken.text()
    assert len(bills(desk).of_state("to bill")) == 1

    qtbot.mouseClick(sheet.take, Qt.MouseButton.LeftButton)
    settle(qtbot, window)
    assert [one.bill_number for one in bills(desk).of_state("billed")] == ["88"]
    assert not sheet.isVisible()


def test_the_list_out_lies_beside_the_store(qtbot, desk, opened):
    jobs_done(desk, 1)
    window = opened()
    press(qtbot, window, Qt.Key.Key_X)

    path = window.place.notice.path
    assert path.name == "bills-2026-10-14.xlsx"
    assert path.exists()
    assert path.with_suffix(".csv").exists()


def test_columns_of_a_row_do_not_meet(desk):
    for width in (700.0, 1400.0):
        one = bill_columns(width, 1.0)
        cells = [one.what, one.customer, one.day, one.state, one.amount]
        assert all(a[1] < b[0] for a, b in pairwise(cells))


def test_owed_leads_to_the_bills_by_a_key(qtbot, desk, opened):
    window = opened("owed")
    press(qtbot, window, Qt.Key.Key_B)
    assert window.place.name == "bills"


def test_an_estimate_goes_from_owed_and_its_answer_is_written(qtbot, desk, opened):
    something_owed(desk, a_site(desk), since_on=date(2026, 10, 1))
    window = opened("owed")
    press(qtbot, window, Qt.Key.Key_I)
    fill(window, amount_minor="185.50")
    settle(qtbot, window)

    (line,) = owed_list(desk)
    assert line.row.estimate_minor == 18550
    assert window.place.notice.path.exists()
    with desk.store.read() as session:
        assert session.query(PaperSent).one().kind_of == "estimate"
    press(qtbot, window, Qt.Key.Key_A)
    fill(window, by="Ruth")
    settle(qtbot, window)
    assert owed_list(desk)[0].row.answered_how == "phone"
