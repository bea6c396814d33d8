"""The window is driven without a screen, with the bundled fonts, and swept after each test."""

import gc
import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QSettings
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

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


PATIENCE_MS = 30_000  # a machine that is busy with other things is slow, not wrong


class PatientBot(QtBot):
    """Waits long before it calls a test failed; what happens at once is noticed at once."""

    def waitSignal(self, signal, *, timeout=PATIENCE_MS, **more):
        return super().waitSignal(signal, timeout=timeout, **more)

    def waitSignals(self, signals, *, timeout=PATIENCE_MS, **more):
        return super().waitSignals(signals, timeout=timeout, **more)

    def waitUntil(self, callback, *, timeout=PATIENCE_MS):
        super().waitUntil(callback, timeout=timeout)


@pytest.fixture
def qtbot(qapp, request):
    return PatientBot(request)


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


@pytest.fixture(scope="session")
def _old_things_set_aside(qapp):
    gc.collect()
    gc.freeze()  # modules are no garbage: without them a full collection takes a moment only


@pytest.fixture(autouse=True)
def _swept(qapp, _old_things_set_aside):
    gc.disable()  # nothing of Qt may be collected on a worker's thread
    yield
    _delete_windows()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect()  # all of it: a runner of tests in parallel has threads of its own
    gc.enable()


def _delete_windows():
    """Menus and lists that pop up are windows too, but die with the widget they belong to."""
    for window in QApplication.topLevelWidgets():
        if window.parent() is None:
            window.deleteLater()


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
