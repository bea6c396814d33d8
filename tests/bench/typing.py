"""Two hundred things a hand does, each from the event to the paint: keys in the find box, arrows in
a list, one page after the other.

    python -m tests.bench.typing STORE [--today DAY]

`first paint` is when the window has painted after the event, `whole` when the workers have also
brought home what the event asked for and that is painted. Each is given as median and 95th
percentile. Aims (our choice, no source): find-as-you-type over `county` < 50 ms; pages with every
figure < 150 ms.
"""

import argparse
import statistics
import time
from collections.abc import Callable
from datetime import date
from itertools import cycle, islice

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from tests.bench.window_open import QUIET_S, Driven, driven
from tests.looping import wait_ms

WORDS = (
    "12 al",
    "sedge",
    "quill",
    "205 5",
    "nettle c",
    "55501",
    "tolliver",
    "old w",
    "pump",
    "fork",
)
N_KEYS, N_ARROWS, N_PAGES = 100, 50, 50


class Paints(QObject):
    """When a widget was last painted."""

    def __init__(self, app: QApplication) -> None:
        super().__init__(app)
        self.last = 0.0
        app.installEventFilter(self)

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        """Notes the instant; lets everything through."""
        if event.type() == QEvent.Type.Paint:
            self.last = time.perf_counter()
        return False


def measured(at: Driven, paints: Paints, act: Callable[[], None]) -> tuple[float, float]:
    """Milliseconds from the event to the first paint after it, and to the last one it caused."""
    begin = time.perf_counter()
    act()
    first = 0.0
    quiet_from = 0.0
    while not quiet_from or time.perf_counter() - quiet_from < QUIET_S:
        wait_ms(1)
        if not first and paints.last > begin:
            first = time.perf_counter()
        if at.work.is_busy:
            quiet_from = 0.0
        elif not quiet_from:
            quiet_from = time.perf_counter()
        if time.perf_counter() - begin > 60:
            raise TimeoutError("an action did not end within a minute")
    whole = max(paints.last, begin)
    return ((first or whole) - begin) * 1000, (whole - begin) * 1000


def tell(what: str, spent: list[tuple[float, float]]) -> None:
    """One line: median and 95th percentile of both."""
    texts = []
    for name, index in (("first paint", 0), ("whole", 1)):
        values = [one[index] for one in spent]
        high = statistics.quantiles(values, n=20)[-1]
        texts.append(f"{name} median {statistics.median(values):.0f} ms, 95 % {high:.0f} ms")
    print(f"{what} ({len(spent)}): {'; '.join(texts)}")


def keys(at: Driven, paints: Paints) -> list[tuple[float, float]]:
    """Words typed into the find box, sign by sign."""
    spent: list[tuple[float, float]] = []
    while len(spent) < N_KEYS:
        for word in WORDS:
            at.window.open_find()
            at.settle()
            for sign in word[: N_KEYS - len(spent)]:
                target = at.app.focusWidget()
                spent.append(measured(at, paints, lambda s=sign, t=target: QTest.keyClicks(t, s)))
            QTest.keyClick(at.app.focusWidget() or at.window, Qt.Key.Key_Escape)
            at.settle()
    return spent


def arrows(at: Driven, paints: Paints) -> list[tuple[float, float]]:
    """Down the list of all sites."""
    at.window.shell.go("sites")
    at.settle()
    down = Qt.Key.Key_Down
    return [
        measured(at, paints, lambda: QTest.keyClick(at.app.focusWidget() or at.window, down))
        for _ in range(N_ARROWS)
    ]


def pages(at: Driven, paints: Paints) -> dict[str, list[tuple[float, float]]]:
    """Every place in turn, seen before."""
    from servicedesk.window.places.registry import places

    names = [kind.id for kind in places() if kind.number]
    for name in names:  # the first visit builds the page: that is another matter
        at.window.shell.go(name)
        at.settle()
    spent: dict[str, list[tuple[float, float]]] = {}
    for name in islice(cycle(names), N_PAGES):
        spent.setdefault(name, []).append(
            measured(at, paints, lambda n=name: at.window.shell.go(n))
        )
    return spent


def main() -> None:
    """Do all of it once and print."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("store")
    options.add_argument("--today", type=date.fromisoformat)
    chosen = options.parse_args()
    seen: list[Paints] = []
    with driven(chosen.store, chosen.today, watch=lambda app: seen.append(Paints(app))) as at:
        at.settle()
        typed, walked = keys(at, seen[0]), arrows(at, seen[0])
        by_page = pages(at, seen[0])
    tell("keys in the find box", typed)
    tell("arrows in the list of sites", walked)
    tell("pages", [one for page in by_page.values() for one in page])
    for name, spent in by_page.items():
        tell(f"  {name}", spent)
    tell("all", [*typed, *walked, *(one for page in by_page.values() for one in page)])


if __name__ == "__main__":
    main()
