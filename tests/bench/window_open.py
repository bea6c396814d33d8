"""The real window on a store, without a screen, for the benches that drive it."""

import gc
import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

    from servicedesk.desk.office import Desk
    from servicedesk.window.main import MainWindow
    from servicedesk.window.work import Work

QUIET_S = 0.05  # workers without work for so long: nothing more is coming


@dataclass(frozen=True, slots=True)
class Driven:
    """A window that is open, and what it stands on."""

    app: "QApplication"
    window: "MainWindow"
    work: "Work"
    desk: "Desk"

    def settle(self, limit_s: float = 60.0) -> float:
        """Work through events until the workers are quiet; the instant at which they became so."""
        from tests.looping import wait_ms

        end = time.perf_counter() + limit_s
        quiet_from = 0.0
        while time.perf_counter() < end:
            wait_ms(1)
            now = time.perf_counter()
            if self.work.is_busy:
                quiet_from = 0.0
            elif not quiet_from:
                quiet_from = now
            elif now - quiet_from >= QUIET_S:
                return quiet_from
        raise TimeoutError(f"the workers were still busy after {limit_s:.0f} s")


@contextmanager
def driven(
    place: str, day: date | None, *, watch: Callable[["QApplication"], None] | None = None
) -> Iterator[Driven]:
    """The window on the store at `place`, open at 1180 x 660; closed at the end."""
    from servicedesk.desk.front import FrontOffice
    from servicedesk.desk.office import open_desk
    from servicedesk.window.app import Windows, make_application
    from servicedesk.window.theme import Theme
    from servicedesk.window.work import Work

    app = make_application(())
    if watch is not None:
        watch(app)
    theme = Theme(app)
    theme.use("light")
    work = Work()
    desk = open_desk(place, today=day)
    windows = Windows(FrontOffice(desk), theme, work)
    window = windows.open_one()
    window.resize(1180, 660)
    window.show()
    try:
        yield Driven(app, window, work, desk)
    finally:
        window.close()
        work.close()
        gc.collect()
