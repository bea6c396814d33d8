"""A stop dragged across the rounds of a day: what one move of the hand costs.

    python -m tests.bench.rounds_drag                      # a kept day: the recomputation alone
    python -m tests.bench.rounds_drag FILE.store 2026-10-15   # with the ribbons and map of a store

Prints median and longest milliseconds for a move. A move should stay under 20 ms, so that the
block follows the hand (our choice, no source).
"""

import argparse
import os
import statistics
import time
from collections.abc import Callable
from datetime import date

from servicedesk.desk.at_once import moved_at_once
from servicedesk.routes.day import DayPlan, plan_day
from tests.bench.days import kept_day


def milliseconds(work: Callable[[], object]) -> float:
    """How long one call took."""
    begin = time.perf_counter()
    work()
    return (time.perf_counter() - begin) * 1000


def moves(plan: DayPlan) -> list[float]:
    """Every stop to every place of every crew, each recomputed once."""
    places = [
        (stop_id, day.crew_id, at)
        for stop_id in plan.crew_id_of
        for day in plan.days
        for at in range(len(day.stops) + 1)
    ]
    return [
        milliseconds(lambda s=stop_id, c=crew, p=at: moved_at_once(plan, s, to_crew=c, position=p))
        for stop_id, crew, at in places
    ]


def tell(what: str, spent: list[float]) -> None:
    """One line."""
    print(f"{what}: median {statistics.median(spent):.2f} ms, longest {max(spent):.2f} ms")


def on_screen(place: str, day: date) -> None:
    """Drag the first stop over all ribbons of a stored day and paint each time."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtCore import QPointF

    from servicedesk.desk.office import open_desk
    from servicedesk.desk.rounds_page import rounds_page
    from servicedesk.window.app import make_application
    from servicedesk.window.theme import Theme
    from servicedesk.window.widgets.rounds_view import RoundsView

    app = make_application(())
    theme = Theme(app)
    theme.use("light")
    desk = open_desk(place)
    page = rounds_page(desk, day)
    plan = page.case.stand
    tell("recomputation", moves(plan))
    view = RoundsView(theme, desk.formats, metric=False)
    view.resize(1228, 732)
    view.bench.show_page(page, plan)
    view.map.show_plan(page, plan)
    view.bench.previewed.connect(lambda p: p and view.map.show_plan(page, p, before=plan))
    view.show()
    app.processEvents()  # shown, so that a repaint paints
    stop_id = next(iter(plan.crew_id_of))
    moved, ribbons, map_ = [], [], []
    for row in view.bench.figure.rows:
        for minute in range(7 * 60, 17 * 60, 15):
            at = QPointF(view.bench.figure.axis.at(minute), row.box.center[1])
            moved.append(milliseconds(lambda at=at: view.bench.carry(stop_id, at)))
            ribbons.append(milliseconds(view.bench.repaint))
            map_.append(milliseconds(view.map.repaint))
    tell(f"move of the hand, {len(plan.crew_id_of)} stops", moved)
    tell("paint of the ribbons", ribbons)
    tell("paint of the map", map_)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("store", nargs="?")
    parser.add_argument("day", nargs="?", type=date.fromisoformat)
    chosen = parser.parse_args()
    if chosen.store and chosen.day:
        on_screen(chosen.store, chosen.day)
        return
    plan = plan_day(kept_day(1), iterations=100)
    tell(f"recomputation, {len(plan.crew_id_of)} stops", moves(plan))


if __name__ == "__main__":
    main()
