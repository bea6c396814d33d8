"""Starts the window: application, look, hooks, main window. The wiring happens here, once."""

import os
import sys
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Qt, QTimer, Slot
from PySide6.QtWidgets import QApplication
from shiboken6 import isValid

from servicedesk.window.collect import HomeCollector
from servicedesk.window.excepthook import Hooks
from servicedesk.window.main import SMALLEST, MainWindow
from servicedesk.window.office import Office
from servicedesk.window.places.registry import PlaceKind
from servicedesk.window.quiet_count import QuietCount
from servicedesk.window.seats import take_kept_seat
from servicedesk.window.settings import kept_geometry, put_on_kept_look
from servicedesk.window.shell import Bus, Shell, Wish
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.focus_ring import FocusRings
from servicedesk.window.work import Work

_FIRST_SIZE = (1440, 900)


class Windows(QObject):
    """All windows of this process on one office: the first, and those opened beside it."""

    def __init__(
        self,
        office: Office,
        theme: Theme,
        work: Work,
        *,
        hooks: Hooks | None = None,
        kinds: Sequence[PlaceKind] | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._office, self._theme, self._work, self._kinds = office, theme, work, kinds
        self._hooks = hooks
        self._bus = Bus(self)
        self._open: list[MainWindow] = []
        self.quiet_count = QuietCount(office, work, self._bus, self)
        self.quiet_count.known.connect(self._read_frames)
        if hooks is not None:
            hooks.mishap.happened.connect(self._show_mistake)

    def open_one(self) -> MainWindow:
        """One more window; not shown yet."""
        shell = Shell(self._office, self._work, self._theme, self._bus)
        window = MainWindow(shell, self._kinds)
        shell.setParent(window)
        window.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        window.beside.connect(self._open_beside)
        window.destroyed.connect(self._forget_closed)
        self._open.append(window)
        return window

    @property
    def open_windows(self) -> tuple[MainWindow, ...]:
        """Those that are open, oldest first."""
        return tuple(self._open)

    @Slot(object)
    def _open_beside(self, wish: Wish) -> None:
        window = self.open_one()
        window.resize(*SMALLEST)
        window.show()
        window.shell.go(wish.place, *wish.ids)

    @Slot()
    def _forget_closed(self) -> None:
        self._open = [window for window in self._open if isValid(window)]

    @Slot()
    def _read_frames(self) -> None:
        for window in self._open:
            window.read_frame()

    @Slot(str)
    def _show_mistake(self, details: str) -> None:
        if self._open:
            file = str(self._hooks.log_file or "") if self._hooks is not None else ""
            self._open[0].trouble_sheet.show_mistake(details, file)


def run(
    office_factory: Callable[[], Office],
    argv: Sequence[str],
    *,
    log_folder: Path | None = None,
) -> int:
    """Open the window on the office that `office_factory` gives; the exit code of the program.

    The factory is called after the application stands and before the first window; a Trouble it
    raises goes to the caller, who has a terminal to say it on.
    """
    app = make_application(argv)
    hooks = Hooks(log_folder)
    collector = HomeCollector(app)
    work = Work()
    try:
        office = office_factory()
        theme = Theme(app)
        put_on_kept_look(theme)
        take_kept_seat(office)
        FocusRings(app, theme)
        windows = Windows(office, theme, work, hooks=hooks, parent=app)
        first = windows.open_one()
        if not first.restoreGeometry(kept_geometry()):
            first.resize(*_FIRST_SIZE)
        first.show()
        first.ready.connect(windows.quiet_count.begin)
        if os.environ.get("SERVICEDESK_CLOSE_WHEN_READY"):  # for measuring the start
            first.ready.connect(partial(_close_when_still, work, app))
        return app.exec()
    finally:
        work.close()
        collector.stop()
        hooks.remove()


def _close_when_still(work: Work, app: QApplication) -> None:
    """End once every figure of the first page has come home and is painted."""
    # a timer runs out after the paint that was asked for
    work.still.connect(partial(QTimer.singleShot, 0, app.quit))


def make_application(argv: Sequence[str]) -> QApplication:
    """The one QApplication, with positions in true logical pixels on every screen."""
    app = QApplication.instance()
    if not isinstance(app, QApplication):
        QApplication.setHighDpiScaleFactorRoundingPolicy(
            Qt.HighDpiScaleFactorRoundingPolicy.PassThrough
        )
        app = QApplication([sys.argv[0], *argv])
    app.setApplicationName("servicedesk")
    app.setOrganizationName("servicedesk")
    app.setApplicationDisplayName("")
    return app
