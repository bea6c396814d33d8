"""The invented company planned for six weeks, beside two plain rules.

    python -m tests.bench.sample_weeks [--size small] [--weeks 6] [--seconds 10]

Every due inspection must stand inside its window or be listed with its reason; that is checked
here from the draft alone. The rules get the same stops, windows, shifts and roads: *nearest due
first* fills day after day in the order of due dates; *greedy insertion* puts each in the order of
due dates at its cheapest place. Hours are hours on the road.
"""

import argparse
import tempfile
import time
from datetime import date
from pathlib import Path

from servicedesk.desk.office import open_desk
from servicedesk.desk.period import Draft, propose
from servicedesk.desk.sample import make_sample_at
from servicedesk.routes.period_plan import timed
from servicedesk.routes.period_problem import PeriodProblem
from tests.bench.weeks import appended, inserted

TODAY = date(2026, 10, 14)


def checked(draft: Draft) -> str:
    """Counts from the draft alone; AssertionError where an inspection is neither planned nor told."""
    case, page = draft.case, draft.page
    placed = {s.stop_id: day.day for day in page.days for s in day.stops}
    listed = {one.stop_id for one in page.not_placed if one.why}
    late_before = in_time = late = 0
    for stop_id, wanted in case.wanted.items():
        assert (stop_id in placed) != (stop_id in listed), stop_id
        for job in wanted.jobs:
            if job.window is None or stop_id not in placed:
                continue
            window, on = job.window.window, placed[stop_id]
            assert on >= window.opens_on, f"{stop_id} before its window"
            if window.closes_on < case.first:
                late_before += 1
            elif on <= window.closes_on:
                in_time += 1
            else:
                late += 1
    return (
        f"inspections: {in_time} inside their window, {late_before} were late before,"
        f" {late} planned after their window; {len(page.not_placed)} stops listed with reasons,"
        f" {page.n_closing_missed} of them closing within the weeks"
    )


def told(name: str, problem: PeriodProblem, orders) -> str:
    days = timed(problem, orders)
    made = sum(len(day.stops) for day in days.values())
    road = sum(day.road_min for day in days.values())
    metres = sum(day.road_m or 0 for day in days.values())
    late = sum(
        (problem.stop_of[s.stop_id].closes_on_day or 10**6) < problem.shift_of[i].day
        for i, day in days.items()
        for s in day.stops
    )
    n_out = sum(bool(day.stops) for day in days.values())
    return (
        f"{name}: {made} stops on {n_out} technician-days, {road / 60:.1f} h on the road,"
        f" {metres / 1000:.0f} km, {road / max(1, made):.1f} min a stop, {late} after their last day"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--size", default="small")
    parser.add_argument("--weeks", type=int, default=6)
    parser.add_argument("--seconds", type=float, default=10.0)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "sample.store"
        make_sample_at(path, size=asked.size, seed=1, day=TODAY)
        desk = open_desk(str(path), today=TODAY)
        began = time.perf_counter()
        draft = propose(desk, asked.weeks, seconds=asked.seconds)
        took = time.perf_counter() - began
        problem = draft.case.problem
        print(f"{len(problem.stops)} stops, {len(problem.shifts)} technician-days,"
              f" {draft.case.kept_min} min a day kept for callbacks, draft in {took:.1f} s")  # fmt: skip
        print(checked(draft))
        print(told("planned", problem, draft.plan.orders))
        print(told("nearest due first", problem, appended(problem)))
        print(told("greedy insertion", problem, inserted(problem)))
        desk.store.close()


if __name__ == "__main__":
    main()
