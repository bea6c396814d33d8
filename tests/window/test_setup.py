"""Set up, driven by keys over a real store: the company and its lists are written and taken back."""

from types import SimpleNamespace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from servicedesk.desk.company import set_up
from servicedesk.desk.front import FrontOffice
from servicedesk.desk.office import desk_at
from servicedesk.window.places.registry import all_places
from tests.desk.conftest import _seated
from tests.window.test_owed import _Plain, press, settle, type_in

CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def opened(qtbot, open_window):
    def now(desk, *ids):
        kinds = [k if k.id == "setup" else _Plain(k) for k in all_places()
                 if k.id in ("setup", "sites")]  # fmt: skip
        window = open_window(FrontOffice(desk), kinds)
        window.shell.go("setup", *ids)
        settle(qtbot, window)
        return SimpleNamespace(window=window, place=window.place, desk=desk)

    return now


@pytest.fixture
def page(opened, file_store):
    return opened(_seated(file_store))


def titles(page):
    return [row.title for row in page.place.list.rows.rows]


def test_start_empty_writes_the_first_company(qtbot, opened, open_window, file_store):
    window = open_window(FrontOffice(desk_at(file_store)))
    window._begin("empty")
    settle(qtbot, window)
    type_in(qtbot, "Sallow Fork Onsite Care")
    press(qtbot, window, Qt.Key.Key_Return, CTRL)

    written = set_up(window.shell.office.desk).company
    assert written["name"] == "Sallow Fork Onsite Care"
    assert written["working_days"] == [0, 1, 2, 3, 4]
    assert window.shell.office.desk.company.name == "Sallow Fork Onsite Care"


def test_the_name_of_the_company_changes_everywhere_and_comes_back(qtbot, page):
    press(qtbot, page.window, Qt.Key.Key_C)
    QApplication.focusWidget().selectAll()
    type_in(qtbot, "Low Meadow Care")
    press(qtbot, page.window, Qt.Key.Key_Return, CTRL)

    assert page.window.shell.office.desk.company.name == "Low Meadow Care"
    assert titles(page)[0] == "Low Meadow Care"
    page.window.acts.run("undo")
    settle(qtbot, page.window)
    assert titles(page)[0] == "Sallow Fork Onsite Care"
    assert page.window.shell.office.desk.company.name == "Sallow Fork Onsite Care"


@pytest.mark.parametrize(
    ("key", "name"),
    [(Qt.Key.Key_T, "Lena Hobb"), (Qt.Key.Key_R, "Truck 3"), (Qt.Key.Key_S, "Otto")],
)
def test_a_new_row_is_written_and_taken_back(qtbot, page, key, name):
    press(qtbot, page.window, key)
    type_in(qtbot, name)
    press(qtbot, page.window, Qt.Key.Key_Return, CTRL)
    assert name in titles(page)

    page.window.acts.run("undo")
    settle(qtbot, page.window)
    assert name not in titles(page)


def test_a_holiday_needs_a_day(qtbot, page):
    press(qtbot, page.window, Qt.Key.Key_H)
    press(qtbot, page.window, Qt.Key.Key_Return, CTRL)
    form = page.place._forms.form(page.desk)
    assert form.fields["day"].is_wrong

    type_in(qtbot, "Dec 25, 2026")
    press(qtbot, page.window, Qt.Key.Key_Return, CTRL)
    assert "Dec 25" in titles(page)


def test_enter_opens_the_row_and_only_what_changed_is_written(qtbot, page):
    page.place.list.setFocus()
    page.place.list.choose(page.place.list.rows.rows[-1].thing)  # the seat of Ines
    press(qtbot, page.window, Qt.Key.Key_Return)
    type_in(qtbot, "x")
    press(qtbot, page.window, Qt.Key.Key_Return, CTRL)

    assert set_up(page.desk).seats[0]["name"] == "Inesx"


def test_an_emptied_time_is_asked_for_again(qtbot, page):
    press(qtbot, page.window, Qt.Key.Key_C)
    form = page.place._forms.form(page.desk)
    form.fields["day_from_min"].put_text("")
    press(qtbot, page.window, Qt.Key.Key_Return, CTRL)

    assert form.fields["day_from_min"].is_wrong
    assert set_up(page.desk).company["day_from_min"] == 480  # eight in the morning
