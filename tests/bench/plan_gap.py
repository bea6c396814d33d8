"""How long the window does not answer while the weeks are planned.

    python -m tests.bench.plan_gap [--seconds 10] [--size small]

Opens Ahead on the invented sample, fills the weeks, and lets a timer of 5 ms beat meanwhile: a gap
is the time between two beats. Prints the longest gap while the page stood idle, while the weeks
were read and searched, and when the draft was shown. Target: 50 ms while planning.
"""

import argparse
import os
import tempfile
import time
from datetime import UTC, date, datetime
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

DAY = date(2026, 10, 14)
NOW = datetime(2026, 10, 14, 14, 46, tzinfo=UTC)


class Beats:
    """Beats every 5 ms and remembers how long each took to come."""

    def __init__(self) -> None:
        from PySide6.QtCore import Qt, QTimer

        self.gaps: list[tuple[float, float]] = []  # elapsed, and of it worked by this thread
        self._last, self._worked = time.perf_counter(), time.thread_time()
        self._timer = QTimer()
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(5)
        self._timer.timeout.connect(self._beat)
        self._timer.start()

    def _beat(self) -> None:
        now, worked = time.perf_counter(), time.thread_time()
        self.gaps.append(((now - self._last) * 1000, (worked - self._worked) * 1000))
        self._last, self._worked = now, worked

    def told(self, name: str) -> None:
        """Print and begin anew."""
        gaps, own = sorted(gap for gap, _ in self.gaps), max((w for _, w in self.gaps), default=0)
        self.gaps = []
        if gaps:
            late = sum(gap > 50 for gap in gaps)
            print(
                f"{name}: {len(gaps)} beats, median {gaps[len(gaps) // 2]:.0f} ms, 99 %"
                f" {gaps[round(0.99 * (len(gaps) - 1))]:.0f} ms, longest {gaps[-1]:.0f} ms,"
                f" {late} over 50 ms; longest work of the window's own thread {own:.0f} ms",
                flush=True,
            )
        self._last, self._worked = time.perf_counter(), time.thread_time()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=10)
    parser.add_argument("--size", default="small")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        _run(Path(folder) / "gap.store", asked.seconds, asked.size)


def _run(place: Path, seconds: float, size: str) -> None:
    from sample_db.load import make_sample
    from servicedesk.desk.front import FrontOffice
    from servicedesk.desk.office import desk_at
    from servicedesk.records.store import open_store
    from servicedesk.window.app import Windows, make_application
    from servicedesk.window.theme import Theme
    from servicedesk.window.work import Work
    from tests.looping import wait_ms
    from tests.pictures import _until_quiet

    make_sample(place, size=size, seed=1, today=DAY)
    app = make_application(())
    theme = Theme(app)
    theme.use("light")
    work = Work()
    desk = desk_at(open_store(place, now=lambda: NOW), who="Ines R.", today=DAY)
    windows = Windows(FrontOffice(desk), theme, work)
    window = windows.open_one()
    window.resize(1440, 900)
    window.show()
    window.shell.go("ahead")
    _until_quiet(work)
    ahead = window.place
    beats = Beats()
    wait_ms(1500)
    beats.told("idle")
    found: list[object] = []
    ahead.planner.found.connect(found.append)
    ahead.planner.begin(desk, 6, None, seconds)
    began = time.perf_counter()
    while not found and time.perf_counter() - began < seconds + 60:
        wait_ms(20)
    beats.told("while planning")
    wait_ms(500)
    beats.told("draft shown")
    window.close()
    work.close()


if __name__ == "__main__":
    main()
