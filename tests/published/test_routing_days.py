"""Days of one technician against proven optima.

tests/data/routing/day_examples.json: six days, each optimum proven by two independent exact
methods (label-setting dynamic programme; constraint-programming circuit model); see SOURCES.md
there. Travel and feasibility are worked out again here from the order that comes back.
"""

import json
from itertools import pairwise
from pathlib import Path

import pytest

from servicedesk.routes.day import plan_day
from tests.bench.day import FORMAT_BREAK, day_of

DATA = Path(__file__).parents[1] / "data" / "routing" / "day_examples.json"
INSTANCES = json.loads(DATA.read_text())["instances"]


def by_id(instance):
    return instance["id"]


def checked_travel(instance, plan, pause=None):
    """Total travel of the order, after the rules of the format were gone through by hand."""
    (day,) = plan.days
    order = [int(stop_id) for stop_id in day.order]
    assert sorted(order) == list(range(instance["stops"]))
    travel = instance["travel_min"]
    places = [instance["start_place"], *order, instance["end_place"]]
    assert instance["shift_start"] <= day.leave_home_min
    free = day.leave_home_min
    if pause and day.pause.at == "start":
        free = instance["shift_start"]
    here = instance["start_place"]
    for number, stop in zip(order, day.stops, strict=True):
        opens, closes = instance["windows_min"][number]
        assert stop.arrival_min >= day.leave_home_min
        assert stop.begin_min >= max(free + travel[here][number], opens)
        assert stop.begin_min <= closes
        free = max(stop.begin_min + instance["service_min"][number], stop.leave_min)
        here = number
    ends = free + travel[here][instance["end_place"]]
    if pause:
        assert pause["from"] <= day.pause.begin_min <= pause["until"]
        assert day.pause.end_min - day.pause.begin_min == pause["minutes"]
        for stop in day.stops:  # no break while working
            done = stop.begin_min + instance["service_min"][int(stop.stop_id)]
            assert day.pause.end_min <= stop.begin_min or day.pause.begin_min >= done
        if day.pause.at == "end":
            ends = max(ends, day.pause.end_min)
    assert ends <= instance["shift_end"]
    return sum(travel[a][b] for a, b in pairwise(places))


def test_all_six_days_are_here():
    assert [instance["id"] for instance in INSTANCES] == [f"E0{n}" for n in range(1, 7)]


@pytest.mark.parametrize("instance", INSTANCES, ids=by_id)
def test_a_day_without_break_is_the_proven_optimum(instance):
    plan = plan_day(day_of(instance))

    assert checked_travel(instance, plan) == instance["optimum_travel_min"]
    assert plan.road_min == instance["optimum_travel_min"]


@pytest.mark.parametrize("instance", INSTANCES, ids=by_id)
def test_a_day_with_a_break_is_the_proven_optimum(instance):
    plan = plan_day(day_of(instance, FORMAT_BREAK))

    travel = checked_travel(instance, plan, FORMAT_BREAK)
    assert travel == instance["optimum_travel_with_break_min"]


@pytest.mark.parametrize("pause", [None, FORMAT_BREAK], ids=["without break", "with break"])
@pytest.mark.parametrize("instance", INSTANCES, ids=by_id)
def test_the_proven_order_is_sound_by_our_clock_too(instance, pause):
    from servicedesk.routes.day import retimed

    problem = day_of(instance, pause)
    order = instance["optimum_order_with_break" if pause else "optimum_order"]

    plan = retimed(problem, {"technician": tuple(map(str, order))}, planner="hand")

    assert plan.days[0].is_sound
    if pause is None:
        assert plan.days[0].home_min == instance["optimum_finish_min"]


@pytest.mark.parametrize("instance", INSTANCES, ids=by_id)
def test_the_simple_planner_makes_every_stop_of_these_days(instance):
    plan = plan_day(day_of(instance), use_solver=False)

    # README of the data: the best simple rule there was 8.8 % too long on average.
    assert checked_travel(instance, plan) <= 1.10 * instance["optimum_travel_min"]
