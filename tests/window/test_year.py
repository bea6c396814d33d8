"""The year, driven by keys over a real store: decided, priced, taken, written."""

from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from servicedesk.desk.front import FrontOffice
from servicedesk.desk.letter_wording import wording_of
from servicedesk.desk.renew_sent import offers_of
from servicedesk.records.contracts import Contract
from servicedesk.records.papers_sent import PaperSent
from servicedesk.window.places.registry import all_places
from tests.builders import a_contract, a_customer, a_site
from tests.desk.conftest import _seated
from tests.window.test_patterns import _Plain, press, settle

CTRL = Qt.KeyboardModifier.ControlModifier
STREETS = ("118 Dry Hollow Lane", "31 Quarry Spur", "6 Larkrise Court")


@pytest.fixture
def desk(file_store):
    made = _seated(file_store)
    for n, street in enumerate(STREETS):
        site = a_site(made, street, owner=a_customer(made, f"Owner {n}"))
        old = a_contract(made, site, from_on=date(2024, 1, 1), until_on=date(2026, 1, 1))
        a_contract(made, site, from_on=date(2026, 1, 1), until_on=date(2027, 1, 1),
                   price_minor=40000 + 100 * n, follows_id=old.id)  # fmt: skip
    return made


@pytest.fixture
def opened(qtbot, open_window, desk):
    def now(size=(1440, 900), *ids):
        kinds = [k if k.id == "year" else _Plain(k) for k in all_places()
                 if k.id in ("year", "sites")]  # fmt: skip
        window = open_window(FrontOffice(desk), kinds, size=size)
        window.shell.go("year", *ids)
        settle(qtbot, window)
        return window

    return now


def place_of(window):
    from servicedesk.window.places.year import YearPlace

    return window.findChild(YearPlace)


def contracts(desk, **wanted):
    with desk.store.read() as session:
        return session.query(Contract).filter_by(**wanted).order_by(Contract.id).all()


def test_the_contracts_that_end_are_there_with_price_and_reasons(qtbot, opened, desk):
    place = place_of(opened())

    assert place.title() == "Renewals for 2027"
    assert [row.address for row in place.view.all_rows] == list(STREETS)
    assert place.first_focus() is place.view.table
    shapes = " ".join(one.text for one in place.view.reasons.price.shapes if hasattr(one, "text"))
    assert "Price now $400.00" in shapes.replace("  ", " ")
    assert "Next year" in shapes
    assert "Take $400.00" in place.view.reasons.take.text()


def test_a_decision_is_written_and_taken_back(qtbot, opened, desk):
    window = opened()
    place = place_of(window)
    press(qtbot, window, Qt.Key.Key_2)
    row = place.view.row
    assert (row.decision, row.is_decided, row.words) == ("call_first", True, "Call first")
    assert place.view.reasons.pills["call_first"].isChecked()

    press(qtbot, window, Qt.Key.Key_Z, CTRL)
    assert not place.view.row.is_decided
    assert contracts(desk, stage="draft") == []


def test_many_are_taken_at_once_in_one_change_and_taken_back_as_one(qtbot, opened, desk):
    window = opened()
    place = place_of(window)
    press(qtbot, window, Qt.Key.Key_A)
    assert "Take 3 at their prices" in place.view.reasons.take.text()
    press(qtbot, window, Qt.Key.Key_T)

    made = [one for one in contracts(desk) if one.from_on == date(2027, 1, 1)]
    assert [one.price_minor for one in made] == [40000, 40000, 40000]
    assert {row.words for row in place.view.all_rows} == {"Renewed"}
    assert place.why_not_take() is not None

    press(qtbot, window, Qt.Key.Key_Z, CTRL)
    assert [one for one in contracts(desk) if one.from_on == date(2027, 1, 1)] == []


def fill(place, name, text):
    form = place._forms.form(place.desk)
    form.fields[name].put_text(text)
    return form


def test_a_price_of_zero_is_refused_at_the_field_and_a_price_by_hand_is_kept(qtbot, opened, desk):
    window = opened()
    place = place_of(window)
    place.view.table.setFocus()
    press(qtbot, window, Qt.Key.Key_P)
    form = fill(place, "price", "0")
    form.write()
    settle(qtbot, window)
    assert form.isVisible()
    assert form.fields["price"].is_wrong
    assert contracts(desk, stage="draft") == []

    fill(place, "price", "455").write()
    settle(qtbot, window)
    assert not form.isVisible()
    assert contracts(desk, stage="draft")[0].price_minor == 45500
    assert "Set by hand" in " ".join(
        one.text for one in place.view.reasons.price.shapes if hasattr(one, "text")
    )


def test_an_end_before_its_start_is_refused_and_other_days_are_shown(qtbot, opened):
    window = opened()
    place = place_of(window)
    press(qtbot, window, Qt.Key.Key_D)
    form = fill(place, "first_on", "Dec 1, 2026")
    fill(place, "last_on", "Nov 1, 2026").write()
    settle(qtbot, window)
    assert form.fields["last_on"].is_wrong
    assert place.title() == "Renewals for 2027"

    fill(place, "last_on", "Dec 30, 2026").write()
    settle(qtbot, window)
    assert place.title() == "Contracts that end Dec 1, 2026 to Dec 30, 2026"
    assert place.view.all_rows == ()
    assert "No contract ends in these days" in place.view.none.text()


def test_not_to_renew_wants_a_why(qtbot, opened, desk):
    window = opened()
    place = place_of(window)
    press(qtbot, window, Qt.Key.Key_5)
    form = fill(place, "why", " ")
    form.write()
    settle(qtbot, window)
    assert form.fields["why"].is_wrong
    fill(place, "why", "house sold").write()
    settle(qtbot, window)

    assert place.view.row.words == "Do not renew"
    assert [one.ended_why for one in contracts(desk) if one.ended_why] == ["house sold"]


def test_the_sheet_is_written_in_three_forms_and_told_where(qtbot, opened, desk):
    window = opened()
    place = place_of(window)
    press(qtbot, window, Qt.Key.Key_S)

    folder = Path(place.papers._folder)
    assert {path.suffix for path in folder.iterdir()} == {".xlsx", ".csv", ".json"}
    assert "3 files lie in" in place.notice.words.text
    assert place.notice.isVisible()


def letters(qtbot, window, place, **chosen):
    press(qtbot, window, Qt.Key.Key_P, CTRL)
    form = place._forms.form(place.desk)
    for name, value in chosen.items():
        form.fields[name].put(value)
    form.write()
    settle(qtbot, window)
    return form


def test_letters_are_looked_at_first_and_leave_on_wish(qtbot, opened, desk):
    window = opened()
    place = place_of(window)
    press(qtbot, window, Qt.Key.Key_A)
    press(qtbot, window, Qt.Key.Key_3)  # renew as they are
    letters(qtbot, window, place, leave="draft")
    assert offers_of(desk) == {}

    letters(qtbot, window, place, leave="send")
    with desk.store.read() as session:
        sent = session.query(PaperSent).filter_by(kind_of="offer").all()
    assert len(sent) == 3
    names = {path.name for path in (Path(place.papers._folder) / "letters").iterdir()}
    assert names == {f"offer-{one.number}.pdf" for one in sent}
    assert all("no answer yet" in row.offer for row in place.view.all_rows)

    form = letters(qtbot, window, place, kind="offer", leave="send")
    assert form.fields["kind"].is_wrong  # all were offered: nothing is sent twice
    form.close_form()


def test_rows_are_sorted_and_parted(qtbot, opened):
    window = opened()
    place = place_of(window)
    place.view.sort_by("site")
    assert [place.view.table.rows.row_at(n).address for n in range(3)] == sorted(STREETS)
    press(qtbot, window, Qt.Key.Key_1)
    place.view.show_only("raise")
    assert place.view.table.rows.rowCount() == 1
    place.view.show_only("to_remind")
    assert "None of the contracts" in place.view.none.text()


def test_enter_opens_the_site(qtbot, opened):
    window = opened()
    place = place_of(window)
    with qtbot.waitSignal(window.shell.wanted) as wish:
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert wish.args[0].place == "sites"
    assert wish.args[0].ids == (place.view.row.site_id,)


def test_a_field_that_does_not_exist_is_named_with_the_nearest_and_nothing_is_kept(
    qtbot, opened, desk
):
    window = opened()
    place = place_of(window)
    press(qtbot, window, Qt.Key.Key_W)
    editor = place._editor
    assert "Dear {holder}" in editor.text.toPlainText()
    editor.text.setPlainText("Good day {holder}, {prise} it is.")
    editor.write()
    settle(qtbot, window)
    assert "“prise”, which is no field; the nearest is {price}" in editor.wrong.text()
    assert editor.isVisible()
    assert not wording_of(desk, "offer").is_own

    editor.fix.click()
    editor.write()
    settle(qtbot, window)
    assert not editor.isVisible()
    assert wording_of(desk, "offer").text == "Good day {holder}, {price} it is."


@pytest.mark.parametrize(("sheet", "n_files"), [("inspections", 2), ("outlook", 4)])
def test_the_other_sheets_are_read_when_looked_at_and_written(qtbot, opened, sheet, n_files):
    window = opened((1180, 660), sheet)
    place = place_of(window)
    assert place.stack.currentWidget() is place.ahead.view(sheet)
    assert place.ahead.is_known(sheet)
    assert place.keys["take"].isEnabled() is False
    press(qtbot, window, Qt.Key.Key_L)

    assert f"{n_files} files lie in" in place.notice.words.text
    assert len(list(Path(place.papers._folder).iterdir())) == n_files
    press(qtbot, window, Qt.Key.Key_V)
    assert place.stack.currentWidget() is not place.ahead.view(sheet)
