"""A list on the page: chosen, asked about, corrected, ticked, brought in, undone."""

from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent
from sqlalchemy import func, select

from servicedesk.desk.bring_in_page import ASKED, KEPT, NEW
from servicedesk.desk.front import FrontOffice
from servicedesk.records.sites import Site
from servicedesk.window.places.registry import all_places
from tests.desk.conftest import _seated
from tests.window.pages import some_kinds

SHEETS = Path(__file__).resolve().parents[2] / "sample_db" / "sheets"


@pytest.fixture
def desk(file_store):
    return _seated(file_store)


@pytest.fixture
def kinds():
    mine = next(kind for kind in all_places() if kind.id == "bring_in")
    return (*some_kinds(), mine)


@pytest.fixture
def place(qtbot, open_window, desk, kinds):
    window = open_window(FrontOffice(desk), kinds)
    window.shell.go("bring_in")
    qtbot.waitUntil(lambda: window.place is not None and window.place.name == "bring_in")
    return window.place


def settled(qtbot, place):
    qtbot.waitUntil(lambda: not place.shell.work.is_busy and not place.view.foot.is_busy)


def looked_at(qtbot, place, name):
    place.load(SHEETS / name)
    settled(qtbot, place)
    return place.page


def n_sites(desk) -> int:
    with desk.store.read() as session:
        return session.scalar(select(func.count(Site.id)))


def test_without_a_file_the_page_says_what_can_be_brought(place):
    assert place.page is None
    assert place.drop.button.isVisible()
    assert place.first_focus() is place.drop.button


def test_a_list_is_shown_row_by_row_before_anything_is_written(qtbot, place, desk):
    page = looked_at(qtbot, place, "strangers_twelve.csv")
    assert page.count(NEW) == 12
    assert [line.where for line in place.view.rows.lines] == [str(n) for n in range(2, 14)]
    assert place.view.foot.button.text() == "Bring in 12 sites"
    assert place.view.columns.pickers[5].currentData() == "phone"
    assert place.title() == "strangers_twelve.csv"
    assert n_sites(desk) == 0


def test_the_button_brings_it_in_the_change_line_tells_and_undo_takes_it_back(qtbot, place, desk):
    looked_at(qtbot, place, "strangers_twelve.csv")
    qtbot.mouseClick(place.view.foot.button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: n_sites(desk) == 12)
    settled(qtbot, place)
    assert place.page is None
    assert "strangers_twelve.csv" in place.notice.words.text
    last = place.shell.office.last_change()
    assert last.words == "Brought in 12 rows from strangers_twelve.csv"
    assert last.why_not == ""
    place.shell.office.undo_change(last.change_id)
    assert n_sites(desk) == 0


def test_day_and_month_are_asked_on_the_page_and_nothing_can_be_written_before(qtbot, place, desk):
    looked_at(qtbot, place, "visits_cp1252.csv")
    assert place.view.questions.isVisible()
    assert not place.view.foot.button.isEnabled()
    assert "day or with the month" in place.view.foot.note.text
    qtbot.mouseClick(place.view.questions.buttons["day_first", True], Qt.MouseButton.LeftButton)
    settled(qtbot, place)
    assert place.view.foot.button.isEnabled()
    assert place.view.questions.buttons["day_first", True].isChecked()
    assert place.page.proposal.answers.day_first is True
    assert n_sites(desk) == 0


def test_a_text_asked_for_is_taken(qtbot, place):
    page = looked_at(qtbot, place, "office_list.xlsx")
    assert page.count(ASKED) > 0
    place.view.questions.fields["area_code"].setText("802")
    place.view.questions.fields["area_code"].returnPressed.emit()
    settled(qtbot, place)
    assert "area_code" not in [question.code for question in place.page.questions]
    phones = [p.e164 for plan in place.page.proposal.rows for p in plan.phones]
    assert "+18025550121" in phones


def test_a_column_can_be_corrected(qtbot, place):
    looked_at(qtbot, place, "strangers_twelve.csv")
    picker = place.view.columns.pickers[5]
    at = picker.findData("notes")
    picker.setCurrentIndex(at)
    picker.activated.emit(at)
    settled(qtbot, place)
    assert all(not plan.phones for plan in place.page.proposal.rows)


def test_another_sheet_of_a_workbook_can_be_chosen(qtbot, place):
    page = looked_at(qtbot, place, "office_list.xlsx")
    assert place.tables.isVisible()
    other = next(name for name in page.proposal.tables if name != page.proposal.table)
    place.tables.setCurrentText(other)
    place.tables.activated.emit(place.tables.currentIndex())
    settled(qtbot, place)
    assert place.page.proposal.table == other


def test_a_cell_edited_here_has_a_tick_and_only_then_is_overwritten(qtbot, place, desk):
    looked_at(qtbot, place, "strangers_twelve.csv")
    place.take()
    settled(qtbot, place)
    with desk.store.change("Ines", "Edited") as work:
        site = work.session.scalars(select(Site).where(Site.own_number == "H-04")).one()
        site.note = "afternoons"
    page = looked_at(qtbot, place, "strangers_twelve.csv")
    assert page.count(KEPT) == 1
    assert not place.view.foot.button.isEnabled()
    place.view.rows.setFocus()
    qtbot.keyClick(place.view.rows, Qt.Key.Key_Space)
    assert place.view.foot.button.isEnabled()
    assert place.view.foot.button.text() == "Overwrite 1 cell"
    place.take()
    settled(qtbot, place)
    with desk.store.read() as session:
        note = session.scalar(select(Site.note).where(Site.own_number == "H-04"))
    assert "afternoons" not in note


def test_filters_show_what_they_say(qtbot, place):
    page = looked_at(qtbot, place, "office_list.xlsx")
    pill = place.view.pills[ASKED]
    assert pill.text() == f"To look at {page.count(ASKED)}"
    qtbot.mouseClick(pill, Qt.MouseButton.LeftButton)
    assert {line.state for line in place.view.rows.lines} == {ASKED}
    assert not place.view.pills[KEPT].isVisible(), "what there is none of is not offered"


def test_a_file_that_is_no_list_is_told_and_the_page_waits_for_another(qtbot, place, tmp_path):
    wrong = tmp_path / "photo.xlsx"
    wrong.write_bytes(b"\x89PNG\r\n\x1a\n")
    with qtbot.waitSignal(place.shell.troubled):
        place.load(wrong)
    settled(qtbot, place)
    assert place.page is None
    assert place.drop.isVisible()


def test_a_file_is_dropped(qtbot, place):
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(SHEETS / "strangers_twelve.csv"))])
    event = QDropEvent(
        QPointF(10, 10), Qt.DropAction.CopyAction, mime, Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )  # fmt: skip
    place.dropEvent(event)
    settled(qtbot, place)
    assert place.page.count(NEW) == 12


def test_waypoints_place_sites_on_the_same_page(qtbot, place, desk):
    looked_at(qtbot, place, "strangers_twelve.csv")
    place.take()
    settled(qtbot, place)
    page = looked_at(qtbot, place, "waypoints.gpx")
    assert not place.view.columns.isVisible()
    assert page.count(NEW) > 5
    place.take()
    settled(qtbot, place)
    with desk.store.read() as session:
        placed = session.scalar(select(func.count(Site.id)).where(Site.lat_deg.is_not(None)))
    assert placed == page.count(NEW)
