"""Plan days given as tables of minutes and print order and travel.

    python -m tests.bench.day FILE.json [--seconds N]

The file holds one instance or {"instances": [...]} in the format of
tests/data/routing/day_examples.json: stops, shift_start, shift_end, start_place, end_place,
service_min, windows_min, travel_min; optionally "break": {"minutes", "from", "until"} (first and
last minute of beginning). Where the file knows optima, the days are planned without a break and
with the one the format describes (30 minutes, 11:30 to 13:00), and the ratios are printed.
"""

import argparse
import json
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from servicedesk.routes.day import Crew, DayPlan, DayProblem, Stop, plan_day
from servicedesk.values.travel_times import TravelTimes

FORMAT_BREAK = {"minutes": 30, "from": 690, "until": 780}


def day_of(instance: Mapping[str, Any], pause: Mapping[str, int] | None = None) -> DayProblem:
    """One technician's day; stop ids are the numbers of the format as text."""
    stops = tuple(
        Stop(
            id=str(number),
            place=number,
            service_min=instance["service_min"][number],
            open_from_min=opens,
            open_until_min=closes,
        )
        for number, (opens, closes) in enumerate(instance["windows_min"])
    )
    crew = Crew(
        id="technician",
        start_place=instance["start_place"],
        end_place=instance["end_place"],
        shift_from_min=instance["shift_start"],
        shift_until_min=instance["shift_end"],
        break_min=pause["minutes"] if pause else 0,
        break_from_min=pause["from"] if pause else 0,
        break_until_min=pause["until"] if pause else 1440,
    )
    return DayProblem(stops=stops, crews=(crew,), travel=TravelTimes.of(instance["travel_min"]))


def tasks_in(instance: Mapping[str, Any]) -> Iterator[tuple[str, DayProblem, int | None]]:
    """What to plan: a label, the day, and the optimum if the file knows it."""
    if "break" in instance:
        yield "as given", day_of(instance, instance["break"]), None
        return
    yield "without break", day_of(instance), instance.get("optimum_travel_min")
    if "optimum_travel_with_break_min" in instance:
        with_break = day_of(instance, FORMAT_BREAK)
        yield "with break", with_break, instance["optimum_travel_with_break_min"]


def told(plan: DayPlan) -> str:
    day = plan.days[0]
    text = f"order [{', '.join(day.order)}], travel {day.road_min} min, home {day.home_min}"
    if day.pause:
        text += f", break {day.pause.begin_min}-{day.pause.end_min}"
    for left in plan.left_out:
        text += f", left out {left.stop_id}: {left.reasons[0].code} {dict(left.reasons[0].values)}"
    return text


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("file", type=Path)
    parser.add_argument("--seconds", type=float, help="default: until nothing is gained for long")
    asked = parser.parse_args()
    given = json.loads(asked.file.read_text())
    for number, instance in enumerate(given.get("instances", [given]), start=1):
        for label, problem, optimum in tasks_in(instance):
            began = time.perf_counter()
            plan = plan_day(problem, seconds=asked.seconds)
            took_s = time.perf_counter() - began
            ratio = f", {plan.road_min / optimum:.3f} of the optimum" if optimum else ""
            name = instance.get("id", number)
            print(f"{name} {label}: {told(plan)}{ratio} ({took_s:.2f} s)")


if __name__ == "__main__":
    main()
