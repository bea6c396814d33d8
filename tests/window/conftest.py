"""The window is driven without a screen, with the bundled fonts, and swept after each test."""

import gc
import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QSettings
from PySide6.QtWidgets import QApplication

from servicedesk.window.app import Windows, make_application
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.focus_ring import FocusRings
from servicedesk.window.work import Work
from tests.window.office import FakeOffice


def pytest_collection_modifyitems(items):
    """The platform without a screen warns about every fixed size; nothing else is let through."""
    harmless = pytest.mark.qt_log_ignore("This plugin does not support propagateSizeHints")
    for item in items:
        if "tests/window" in item.path.as_posix():
            item.add_marker(harmless)


@pytest.fixture(scope="session")
def qapp_cls():
    return QApplication


@pytest.fixture(scope="session")
def look(qapp):
    make_application(())
    theme = Theme(qapp)
    theme.use("light")
    FocusRings(qapp, theme)
    return theme


@pytest.fixture
def theme(look):
    look.use("light")
    if look.text_size != 100:
        look.set_text_size(100)
    return look


@pytest.fixture(autouse=True)
def _own_settings(tmp_path):
    QSettings.setDefaultFormat(QSettings.Format.IniFormat)
    QSettings.setPath(QSettings.Format.IniFormat, QSettings.Scope.UserScope, str(tmp_path))


@pytest.fixture(autouse=True)
def _swept(qapp):
    gc.disable()  # nothing of Qt may be collected on a worker's thread
    yield
    for window in QApplication.topLevelWidgets():
        window.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect(1)
    gc.enable()


@pytest.fixture
def work(qapp):
    runner = Work()
    yield runner
    runner.close()


@pytest.fixture
def office():
    return FakeOffice()


@pytest.fixture
def open_window(qtbot, theme, work):
    """Opens a window on an office and waits until its first page stands."""

    def opened(office, kinds=None, size=(1440, 900)):
        windows = Windows(office, theme, work, kinds=kinds)
        window = windows.open_one()
        window.windows = windows
        with qtbot.waitSignal(window.ready):
            window.resize(*size)
            window.show()
        window.activateWindow()
        qtbot.waitUntil(window.isActiveWindow)
        return window

    return opened
