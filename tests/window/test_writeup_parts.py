"""Parts used and units replaced, written in the visit form by keys."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from servicedesk.desk.drafts import drafts_of
from servicedesk.desk.writeup import write_up
from servicedesk.desk.writeup_notes import JobNotes, PartNote
from servicedesk.records.contracts import Contract
from servicedesk.records.equipment import Unit
from servicedesk.records.owed import Owed
from servicedesk.records.parts import StockMove
from servicedesk.records.visits import PartLine
from servicedesk.window.places.writeup import WriteUpPlace
from tests.desk.stocked import IN_A_YEAR, WithPump, copied, made_once
from tests.desk.written_visits import job_of, notes_for
from tests.records.snapshot import snapshot
from tests.window import test_writeup as shared

at_form, keyboard, rows = shared.at_form, shared.keyboard, shared.rows
MOST_KEYS = 6  # of a part, its number with it


@pytest.fixture(scope="module")
def template(tmp_path_factory, empty_file):
    path = tmp_path_factory.mktemp("parts") / "one.store"
    here = made_once(WithPump, empty_file, path, warranty_until=IN_A_YEAR, kind_of="callback")
    return here, path


@pytest.fixture
def here(template, tmp_path, monkeypatch):
    found = copied(*template, tmp_path / "company.store")
    monkeypatch.setattr(WriteUpPlace, "drafts", drafts_of(found.desk, tmp_path / "drafts"))
    yield found
    found.desk.store.close()


@pytest.fixture
def desk(here):
    return here.desk


@pytest.fixture
def parts(here, at_form):
    """The sheet of parts of the visit, its place beside it."""
    _, place = at_form("visit", here.visit.id)
    return place.sheets.parts, place


def with_cause(place, cause_id):
    """The cause of the callback is said, as its sheet says it."""
    entry = place.sheets.entry
    job = replace(entry.jobs[0], behind="presumed", cause_id=cause_id, outcome="done")
    place.sheets.entry = entry.with_job(job)
    place.sheets._show()


def finish(place, keyboard, qtbot):
    place.head.times["arrived"].setText("9:05")
    place.head.times["left"].setText("9:50")
    place._times_edited()
    place.first_focus().setFocus()
    keyboard.type("t")
    keyboard.finish()
    qtbot.waitUntil(lambda: not place.shell.work.is_busy)


def test_a_part_takes_six_keys(here, parts, keyboard, record_property):
    sheet, place = parts
    keyboard.type("uspl")
    assert [one.right for one in sheet.lines[0].matches.matches] == ["W-012 · 10 on T1"]
    keyboard.press(Qt.Key.Key_Return)
    keyboard.type("4")
    record_property("keys", keyboard.count)
    assert keyboard.count <= MOST_KEYS
    (entry,) = place.sheets.entry.parts
    assert (entry.part_id, entry.quantity) == (here.kit, "4")
    assert (
        sheet.lines[0].told.text() == "T1, 6 left · $76.80 · under contract: contract 1 covers it"
    )


def test_a_scan_is_a_number_and_enter(here, parts, keyboard):
    _, place = parts
    keyboard.type("u4006381333931")
    keyboard.press(Qt.Key.Key_Return)
    assert [one.part_id for one in place.sheets.entry.parts] == [here.kit]


def test_the_parts_of_the_cause_are_one_key(here, parts, keyboard):
    sheet, place = parts
    assert sheet.offered == ()
    with_cause(place, "pump-worn")
    names = [button.text() for button in sheet.offers if not button.isHidden()]
    assert "Pump, 1/2 hp" in names
    n = names.index("Pump, 1/2 hp") + 1
    before = keyboard.count
    keyboard.press(getattr(Qt.Key, f"Key_{n}"), Qt.KeyboardModifier.AltModifier)
    assert keyboard.count - before == 2  # Alt and a digit
    assert [one.part_id for one in place.sheets.entry.parts] == [here.pump]
    assert QApplication.focusWidget() is sheet.lines[0].quantity


def test_arrows_walk_the_list_and_esc_closes_it_first(here, parts, keyboard):
    sheet, place = parts
    keyboard.type("us")
    line = sheet.lines[0]
    assert not line.matches.isHidden()
    keyboard.press(Qt.Key.Key_Escape)
    assert line.matches.isHidden()
    assert QApplication.focusWidget() is line.text
    keyboard.press(Qt.Key.Key_Escape)
    assert QApplication.focusWidget() is place.first_focus()
    keyboard.type("u")  # an empty line more
    keyboard.type("t")
    second = sheet.lines[1].matches
    assert [one.name for one in second.matches] == ["Tablets, tub 25 lb"]
    keyboard.press(Qt.Key.Key_Down)
    keyboard.press(Qt.Key.Key_Return)
    assert [one.text for one in place.sheets.entry.parts] == ["s", "Tablets, tub 25 lb"]
    assert sheet.lines[0].told.text().startswith("in no catalogue")


def test_a_unit_is_replaced_with_its_serial_and_the_claim_is_said(here, parts, keyboard, qtbot):
    sheet, place = parts
    with_cause(place, "pump-worn")
    keyboard.type("upum")
    keyboard.press(Qt.Key.Key_Return)
    line = sheet.lines[0]
    assert line.unit.words.text() == (
        "Replaces: Effluent pump (half horse, serial A1, in since May 2019)"
    )
    line.unit.tick.click()
    assert QApplication.focusWidget() is line.unit.serial
    keyboard.type("B2")
    assert line.unit.why.text() == "failed"
    line.unit.warranty.setFocus()
    line.unit.warranty.selectAll()
    keyboard.type("2 years")
    line.unit.where.setCurrentIndex(1)
    line.unit.where.activated.emit(1)
    assert "a claim is owed" in line.told.text()
    finish(place, keyboard, qtbot)
    qtbot.waitUntil(lambda: len(rows(here.desk, Unit)) == 2)
    old, new = rows(here.desk, Unit)
    assert (old.removed_why, old.attributes["whereabouts"]) == ("failed: pump-worn", "on the truck")
    assert (new.serial, new.warranty_until.isoformat()) == ("B2", "2028-10-14")
    assert here.lies(here.pump) == 9


def test_over_the_limit_the_form_asks_and_is_not_written_unanswered(here, at_form, keyboard, qtbot):
    with here.desk.store.change("Ines", "A limit") as work:
        work.session.query(Contract).one().approval_limit_minor = 10_000
    _, place = at_form("visit", here.visit.id)
    sheet = place.sheets.parts
    with_cause(place, "heavy-use-day")
    keyboard.type("utub")
    keyboard.press(Qt.Key.Key_Return)
    keyboard.type("2")
    assert sheet._asked.isHidden()
    keyboard.press(Qt.Key.Key_Backspace)
    keyboard.type("3")
    assert "Parts come to $120.00; contract 1 allows $100.00 without asking." in (
        sheet._asked.text()
    )
    finish(place, keyboard, qtbot)
    assert "1 thing to mend first" in place.notice.text
    assert rows(here.desk, PartLine) == []
    assert QApplication.focusWidget() is sheet.approved_by
    sheet.approval_owed.click()
    keyboard.finish()
    qtbot.waitUntil(lambda: len(rows(here.desk, PartLine)) == 1)
    assert [(o.state, o.waits_for) for o in rows(here.desk, Owed)] == [("open", "approval")]


def test_terms_are_changed_by_hand(here, parts):
    sheet, place = parts
    sheet.lines[0].take(here.kit)
    line = sheet.lines[0]
    assert line.terms.isHidden()
    line.more.click()
    terms = line.terms
    terms.place.setCurrentIndex(terms.place.findData(here.shelf))
    terms.place.activated.emit(1)
    terms.billing.setCurrentIndex(terms.billing.findData("billable"))
    terms.billing.activated.emit(1)
    terms.price.setText("25")
    terms.price.textEdited.emit("25")
    (entry,) = place.sheets.entry.parts
    assert (entry.place_id, entry.billing, entry.price) == (here.shelf, "billable", "25")
    assert line.told.text() == "Shelf, 19 left · $25.00 · billable: set by hand"


def test_a_visit_written_up_opens_as_written_and_finishes_without_a_change(
    here, at_form, keyboard, qtbot
):
    job = JobNotes(job_id=job_of(here.desk, here.visit), cause_id="pump-worn",
                   cause_known_by="presumed")  # fmt: skip
    lines = (here.note(model="quiet"), PartNote(text="", part_id=here.kit, billing="billable",
             price_minor=2_500, place_id=here.shelf), PartNote(text="wire nuts", quantity=3))  # fmt: skip
    write_up(here.desk, notes_for(here.desk, here.visit, job, parts=lines))
    before = snapshot(here.desk.store)
    moves = len(rows(here.desk, StockMove))
    _, place = at_form("visit", here.visit.id)
    assert place.sheets.parts.lines[0].unit.words.text() == (
        "Replaces: Effluent pump (half horse, serial A1, in since May 2019)"
    )
    place.sheets._panel_edited()  # every field is read once
    assert place.sheets.entry.parts == place._first.parts
    place.first_focus().setFocus()
    keyboard.finish()
    qtbot.waitUntil(lambda: place.notice.text != "" and not place.shell.work.is_busy)
    keyboard.finish()  # what is not ticked was named
    qtbot.waitUntil(lambda: place.form is None)
    assert snapshot(here.desk.store) == before
    assert len(rows(here.desk, StockMove)) == moves


def test_tab_walks_from_the_number_to_the_terms_and_the_unit(here, parts, keyboard):
    sheet, _ = parts
    keyboard.type("upum")
    keyboard.press(Qt.Key.Key_Return)
    line = sheet.lines[0]
    keyboard.press(Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is line.more
    keyboard.press(Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is line.unit.tick
    keyboard.press(Qt.Key.Key_Space)
    assert QApplication.focusWidget() is line.unit.serial
    for _ in range(4):
        keyboard.press(Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is line.unit.where
    keyboard.press(Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is sheet.lines[1].text
