import sys
import threading

import pytest
from PySide6.QtCore import Qt, qWarning

from servicedesk.window.app import Windows
from servicedesk.window.excepthook import Hooks
from tests.window.pages import some_kinds


@pytest.fixture
def hooks(tmp_path, qapp):
    made = Hooks(tmp_path / "log")
    yield made
    made.remove()


def test_a_mistake_is_written_down_and_told_once(qtbot, hooks):
    with qtbot.waitSignal(hooks.mishap.happened) as told:
        mistake = ZeroDivisionError("n is 0")
        sys.excepthook(type(mistake), mistake, None)

    assert "ZeroDivisionError: n is 0" in told.args[0]
    assert "Python 3." in told.args[0]
    assert "n is 0" in hooks.log_file.read_text("utf-8")


def test_a_mistake_in_a_thread_takes_the_same_path(qtbot, hooks):
    def wrong():
        raise KeyError("spring")

    with qtbot.waitSignal(hooks.mishap.happened) as told:
        thread = threading.Thread(target=wrong)
        thread.start()
        thread.join()

    assert "KeyError: 'spring'" in told.args[0]


def test_what_qt_complains_about_is_kept_in_the_log(hooks):
    qWarning("a pixmap is null")

    assert "WARNING Qt: a pixmap is null" in hooks.log_file.read_text("utf-8")


def test_a_folder_that_cannot_be_written_does_not_keep_the_window_shut(tmp_path, qapp):
    (tmp_path / "file").write_text("in the way")
    made = Hooks(tmp_path / "file")
    made.remove()

    assert made.log_file is None


def test_removed_hooks_leave_everything_as_it_was(tmp_path, qapp):
    before = sys.excepthook, threading.excepthook
    Hooks(tmp_path).remove()

    assert (sys.excepthook, threading.excepthook) == before


def test_a_mistake_in_long_work_ends_in_one_sheet_with_copy_details(
    qtbot, theme, work, office, hooks, qapp
):
    windows = Windows(office, theme, work, hooks=hooks, kinds=some_kinds())
    window = windows.open_one()
    with qtbot.waitSignal(window.ready):
        window.show()
    office.broken = "the index is odd"
    window.shell.ask(office.find, "x")
    qtbot.waitUntil(window.trouble_sheet.isVisible)

    qtbot.mouseClick(window.trouble_sheet.copy, Qt.MouseButton.LeftButton)

    assert window.trouble_sheet.copy.text() == "Copy details"
    assert "Traceback" not in window.trouble_sheet.what.text()
    assert "RuntimeError: the index is odd" in qapp.clipboard().text()
