"""Days of many crews: planned in parts, by the same rules and the same yardstick."""

from dataclasses import replace

import pytest

from servicedesk.routes import many
from servicedesk.routes.day import plan_day
from servicedesk.routes.feasible import faults_in
from servicedesk.routes.price import day_price
from servicedesk.routes.problem import DayProblem
from servicedesk.values.trouble import Stopped
from tests.routes.making import LUNCH, a_crew, a_day, a_random_day, a_stop

ROUNDS = 60


def price(plan):
    return day_price(plan.problem, plan.days)


@pytest.mark.parametrize("seed", range(6))
def test_a_day_of_many_crews_is_sound_and_hardly_ever_dearer_than_the_simple_planner(seed):
    problem = a_random_day(seed, n_stops=34, n_crews=7)

    plan = plan_day(problem, iterations=400)

    assert not faults_in(plan)
    assert plan.planner == "solver"
    assert price(plan) <= 1.05 * price(plan_day(problem, use_solver=False))


def test_what_many_crews_get_in_parts_is_near_to_what_one_search_finds(monkeypatch):
    problem = a_random_day(11, n_stops=30, n_crews=5, tight=False)
    in_parts = plan_day(problem, iterations=200)
    monkeypatch.setattr("servicedesk.routes.day.MOST_AT_ONCE", 5)

    at_once = plan_day(problem, iterations=2000)

    left = [{one.stop_id for one in plan.left_out} for plan in (in_parts, at_once)]
    assert left[0] == left[1]
    assert in_parts.road_min <= 1.05 * at_once.road_min


def test_breaks_left_out_of_the_first_search_stand_in_the_plan():
    crews = [a_crew(f"c{n}", **LUNCH) for n in range(6)]
    stops = [a_stop(f"s{n:02}", 5 + 3 * n) for n in range(40)]

    plan = plan_day(a_day(stops, crews), iterations=ROUNDS)

    busy = [day for day in plan.days if day.stops]
    assert busy
    assert all(day.pause is not None for day in busy)
    assert not plan.left_out


def test_equal_seed_gives_the_equal_plan_in_whatever_order_things_come():
    problem = a_random_day(3, n_stops=30, n_crews=6)
    turned = DayProblem(stops=problem.stops[::-1], crews=problem.crews[::-1], travel=problem.travel)

    one, same, other = (plan_day(p, iterations=ROUNDS) for p in (problem, problem, turned))

    assert one == same
    assert one.orders == other.orders


def test_what_is_held_by_hand_stays_with_its_crew_in_its_order():
    crews = [a_crew(f"c{n}") for n in range(6)]
    held = [
        a_stop("far", 60, held_crew="c3", held_position=0),
        a_stop("near", 10, held_crew="c3", held_position=1),
        a_stop("noon", 20, held_crew="c5", held_at_min=720),
    ]
    stops = [*held, *(a_stop(f"s{n:02}", 5 + n) for n in range(25))]

    plan = plan_day(a_day(stops, crews), iterations=ROUNDS)

    order = plan.day_of["c3"].order
    assert order.index("far") < order.index("near")
    noon = next(s for s in plan.day_of["c5"].stops if s.stop_id == "noon")
    assert noon.begin_min == 720


def test_a_plan_to_begin_from_is_never_made_dearer():
    problem = a_random_day(5, n_stops=30, n_crews=6)
    older = plan_day(problem, iterations=200)

    again = plan_day(problem, iterations=1, start=older)
    fewer = DayProblem(stops=problem.stops[1:], crews=problem.crews[:-1], travel=problem.travel)

    assert price(again) <= price(older)
    assert not faults_in(plan_day(fewer, iterations=1, start=older))


def stop_at_once(done, total, note=""):
    raise Stopped


def test_a_stop_ends_the_search_and_keeps_the_best_if_asked():
    problem = a_random_day(2, n_stops=34, n_crews=7)
    with pytest.raises(Stopped):
        plan_day(problem, seconds=30, progress=stop_at_once)

    plan = plan_day(problem, seconds=30, progress=stop_at_once, keep_best=True)

    assert not faults_in(plan)


def test_progress_runs_on_from_part_to_part():
    heard = []
    problem = a_random_day(2, n_stops=34, n_crews=7)

    plan_day(problem, iterations=ROUNDS, progress=lambda done, total, note="": heard.append(done))

    assert heard == sorted(heard)
    assert heard[-1] > 30


def test_given_seconds_are_kept():
    problem = a_random_day(2, n_stops=34, n_crews=7)
    clock = iter(range(10_000))  # a look at the time takes a second

    class Ticking:
        perf_counter = staticmethod(lambda: float(next(clock)))

    before = many.time
    many.time = Ticking
    try:
        plan = plan_day(problem, seconds=0.5)
    finally:
        many.time = before

    assert next(clock) < 5  # looked once for the end, and once more
    assert not faults_in(plan)


def test_a_crew_without_a_break_is_searched_as_it_is():
    crew = a_crew()

    assert many._without_break(crew) == crew
    assert many._without_break(replace(crew, **LUNCH)) == replace(
        crew, shift_until_min=crew.shift_until_min - 30, break_min=0, break_from_min=690,
        break_until_min=780,
    )  # fmt: skip
