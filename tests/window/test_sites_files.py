"""Photos and papers in the file of a site: dropped, shown, noted, their place taken, taken off."""

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent

from servicedesk.desk import changes
from servicedesk.window.places.registry import all_places
from tests.builders import a_site
from tests.exchange.test_photos import a_jpeg, degrees, tiff
from tests.window.rounds_office import DeskOffice, a_desk

GPS = (degrees(29, 57, 1476), b"N", degrees(94, 1, 1668), b"W")


@pytest.fixture
def window(file_store, open_window, qtbot):
    desk = a_desk(file_store)
    a_site(desk, "118 Dry Hollow Lane")
    opened = open_window(DeskOffice(desk=desk), tuple(k for k in all_places() if k.id == "sites"))
    opened.shell.go("sites", 1)
    qtbot.waitUntil(lambda: opened.place.file.seen is not None)
    return opened


@pytest.fixture
def sheet(window, tmp_path, qtbot):
    """One photo was dropped on the sheet."""
    photo = tmp_path / "IMG_0042.JPG"
    photo.write_bytes(a_jpeg(exif=tiff(1, "2026:10:13 16:20:00", "", GPS)))
    sheet = window.place.file.files
    drop(sheet, photo)
    qtbot.waitUntil(lambda: len(sheet.files) == 1)
    return sheet


def drop(sheet, *paths):
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    event = QDropEvent(
        QPointF(5, 5), Qt.DropAction.CopyAction, mime, Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )  # fmt: skip
    sheet.dropEvent(event)


def words(sheet):
    from PySide6.QtWidgets import QLabel

    return " ".join(label.text() for label in sheet.findChildren(QLabel))


def test_a_dropped_photo_shows_with_its_time_and_is_taken_back_by_undo(window, sheet, qtbot):
    assert sheet.files[0].row.name == "IMG_0042.jpg"
    assert "Oct 13" in sheet._about(sheet.files[0])
    assert ("place", "Take its place") in sheet._offers(sheet.files[0])

    window.shell.change(changes.undo, window.place.desk)

    qtbot.waitUntil(lambda: sheet.files == ())
    qtbot.waitUntil(lambda: "No photo and no paper yet." in words(sheet))


def test_its_place_becomes_that_of_the_site(window, sheet, qtbot):
    sheet.do("place", sheet.files[0].row.id)
    qtbot.waitUntil(lambda: window.place.file.seen.file.position is not None)
    assert window.place.file.seen.file.position.lat_deg == pytest.approx(29.9541)


def test_a_note_is_written_by_the_form(window, sheet, qtbot):
    sheet.do("note", sheet.files[0].row.id)
    form = window.place.forms.form(window.place.desk)
    form.fields["note"].put_text("lid from the north")
    form.write()
    qtbot.waitUntil(lambda: sheet.files[0].row.note == "lid from the north")


def test_what_is_taken_off_shows_no_more(sheet, qtbot):
    sheet.do("off", sheet.files[0].row.id)
    qtbot.waitUntil(lambda: sheet.files == ())


def test_a_file_that_cannot_be_kept_is_told_and_changes_nothing(window, sheet, tmp_path, qtbot):
    bad = tmp_path / "run.exe"
    bad.write_bytes(b"MZ")
    drop(sheet, bad)
    qtbot.waitUntil(window.trouble_sheet.isVisible)
    assert "run.exe" in window.trouble_sheet.do.text()
    assert len(sheet.files) == 1
