"""Set up, driven by keys over a real store: the company and its lists are written and taken back."""

from types import SimpleNamespace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from servicedesk.desk.company import set_up
from servicedesk.desk.front import FrontOffice
from servicedesk.desk.office import desk_at
from servicedesk.desk.rules import own_rules, rules_of
from servicedesk.records.company import Company
from servicedesk.trade.rule_shapes import EveryMonths
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


@pytest.mark.parametrize("begun", [False, True], ids=["no row yet", "a row without a name"])
def test_start_empty_names_the_first_technician_too(qtbot, open_window, file_store, begun):
    if begun:  # as the program itself makes a store
        with file_store.change("office", "Started the store") as work:
            work.add(Company(uid="c-1", name="", time_zone="America/New_York"))
    window = open_window(FrontOffice(desk_at(file_store)))
    window._begin("empty")
    settle(qtbot, window)
    form = window.place._forms.form(window.place.desk)
    form.fields["name"].put_text("Sallow Fork Onsite Care")
    form.fields["first_technician"].put_text("Lena Hobb")
    form.fields["day_from_min"].put_text("7:30 am")
    form.write()
    settle(qtbot, window)

    lena = set_up(window.shell.office.desk).technicians[0]
    assert (lena["name"], lena["day_from_min"]) == ("Lena Hobb", 450)  # 7 h 30 after midnight


def test_somebody_else_sits_down_and_signs_what_is_written(qtbot, page):
    press(qtbot, page.window, Qt.Key.Key_S)
    type_in(qtbot, "Otto")
    press(qtbot, page.window, Qt.Key.Key_Return, CTRL)
    rows = page.place.list.rows.rows
    page.place.list.choose(next(row.thing for row in rows if row.title == "Otto"))

    assert page.place.keys.run("sit") is None
    settle(qtbot, page.window)

    assert page.window.shell.office.desk.who == "Otto"
    assert [r.title for r in page.place.list.rows.rows if r.right] == ["Otto"]


def test_the_office_is_placed_by_one_field(qtbot, page):
    press(qtbot, page.window, Qt.Key.Key_C)
    form = page.place._forms.form(page.desk)
    form.fields["place"].put_text("geo:30.11,-94.12")
    form.write()
    settle(qtbot, page.window)

    found = page.window.shell.office.desk.company.position
    assert (found.lat_deg, found.lon_deg) == (30.11, -94.12)


def test_days_off_are_shown_with_their_last_day_and_kept_with_the_day_after(qtbot, page):
    press(qtbot, page.window, Qt.Key.Key_T)
    type_in(qtbot, "Lena Hobb")
    press(qtbot, page.window, Qt.Key.Key_Return, CTRL)
    press(qtbot, page.window, Qt.Key.Key_D)
    form = page.place._forms.form(page.desk)
    form.fields["from_on"].put_text("Nov 2, 2026")
    form.fields["until_on"].put_text("Nov 6, 2026")
    form.write()
    settle(qtbot, page.window)

    off = set_up(page.desk).days_off[0]
    assert (off["from_on"].isoformat(), off["until_on"].isoformat()) == ("2026-11-02", "2026-11-07")
    assert any(row.second == "Nov 2 to Nov 6" for row in page.place.list.rows.rows)


def test_figures_for_prices_are_written_and_a_wrong_one_is_told_at_its_field(qtbot, page):
    press(qtbot, page.window, Qt.Key.Key_P)
    form = page.place._forms.form(page.desk)
    form.fields["margin_percent"].put_text("700")
    form.fields["round_to_minor"].put_text("2.50")
    press(qtbot, page.window, Qt.Key.Key_Return, CTRL)
    assert form.fields["margin_percent"].is_wrong
    assert not set_up(page.desk).company["price_policy"]

    form.fields["margin_percent"].put_text("18")
    press(qtbot, page.window, Qt.Key.Key_Return, CTRL)
    policy = set_up(page.desk).company["price_policy"]
    assert policy == {"margin_percent": 18.0, "round_to_minor": 250}


def test_an_own_service_rule_is_written_in_the_window_changed_and_taken_back(qtbot, page):
    press(qtbot, page.window, Qt.Key.Key_U)
    form = page.place._forms.form(page.desk)
    form.fields["authority"].put_text("Brisk Mere Health Office")
    form.fields["applies_to"].put_text("spray")
    form.fields["report_days"].put_text("0")
    press(qtbot, page.window, Qt.Key.Key_Return, CTRL)
    assert form.fields["source"].is_wrong
    assert form.fields["report_days"].is_wrong
    assert own_rules(page.desk) == ()

    form.fields["source"].put_text("order 14")
    form.fields["report_days"].put_text("21")
    press(qtbot, page.window, Qt.Key.Key_Return, CTRL)
    (rule,) = rules_of(page.desk)["brisk-mere-health-office-spray"]
    assert rule.visits == EveryMonths(4)
    assert rule.duties[0].within.n == 21
    assert not rule.confirmed
    assert "spray" in titles(page)
    page.window.acts.run("undo")
    settle(qtbot, page.window)
    assert "spray" not in titles(page)
