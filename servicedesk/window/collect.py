"""Cyclic garbage is collected in the window's own thread only.

Python collects in whichever thread happens to allocate. A widget that dies on a worker's thread
stops its timers from there, which Qt forbids and sometimes answers with a crash.
"""

import gc

from PySide6.QtCore import QObject, QTimer, Slot

LOOK_EVERY_MS = 1000


class HomeCollector(QObject):
    """While it lives and until `stop`, Python's own collecting is off and this one is on."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_EVERY_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()
        gc.disable()

    @Slot()
    def look(self) -> None:
        """Collect the oldest generation that is due by Python's own thresholds."""
        counts, bounds = gc.get_count(), gc.get_threshold()
        for generation in (2, 1, 0):
            if counts[generation] > bounds[generation] > 0:
                gc.collect(generation)
                return

    def stop(self) -> None:
        """Leave it to Python again."""
        self._timer.stop()
        gc.enable()
