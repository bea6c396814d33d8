from itertools import permutations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from servicedesk.routes.day import plan_day
from servicedesk.routes.feasible import faults_in
from servicedesk.routes.holds import gaps_for
from servicedesk.routes.insertion import extra_road_min, insertions, road_of
from servicedesk.routes.price import round_price
from servicedesk.routes.timing import time_round

from .making import a_day, a_random_day, a_stop, on_a_line


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(0, 10**6), st.integers(0, 14), st.integers(1, 3), st.booleans())
def test_the_simple_planner_is_always_sound(seed, n_stops, n_crews, tight):
    plan = plan_day(a_random_day(seed, n_stops, n_crews, tight=tight), use_solver=False)

    assert plan.planner == "simple"
    assert faults_in(plan) == ()


def test_on_an_open_day_it_finds_the_shortest_line():
    stops = [a_stop(f"s{p:02}", p, service_min=5) for p in (40, 10, 60, 25, 5)]

    plan = plan_day(a_day(stops), use_solver=False)

    assert plan.left_out == ()
    assert plan.road_min == 120  # out to 60 and back


@pytest.mark.parametrize("seed", range(12))
def test_it_stays_within_a_third_of_the_best_order(seed):
    problem = a_random_day(seed, n_stops=6, n_crews=1, tight=False)
    crew = problem.crews[0]
    able = [s for s in problem.stops if crew.may_serve(s)]
    plan = plan_day(problem, use_solver=False)
    made = set(plan.days[0].order)
    days = [
        time_round(crew, order, problem.travel)
        for order in permutations([s for s in able if s.id in made])
    ]
    least = min(round_price(day) for day in days if day.is_sound)

    assert round_price(plan.days[0]) <= 1.34 * least


@settings(max_examples=50, deadline=None)
@given(st.integers(0, 10**6), st.integers(0, 6))
def test_an_insertion_tells_the_road_and_the_clock_of_the_whole_round(seed, n_others):
    problem = a_random_day(seed, n_stops=n_others + 1, n_crews=1)
    crew, (stop, *order) = problem.crews[0], problem.stops

    for put_in in insertions(stop, crew, order, problem.travel):
        k = put_in.position
        day = time_round(crew, [*order[:k], stop, *order[k:]], problem.travel)
        assert put_in.extra_road_min == day.road_min - road_of(crew, order, problem.travel)
        assert put_in.clock.begins == [planned.begin_min for planned in day.stops]
        assert put_in.is_sound == day.is_sound


def test_gaps_that_held_stops_leave_open():
    def held(position, id_):
        return a_stop(id_, held_crew="lena", held_position=position)

    order = [a_stop("x"), held(1, "a"), a_stop("y"), held(3, "b"), a_stop("z")]

    assert list(gaps_for(a_stop("free"), order)) == [0, 1, 2, 3, 4, 5]
    assert list(gaps_for(held(0, "c"), order)) == [0, 1]
    assert list(gaps_for(held(2, "c"), order)) == [2, 3]
    assert list(gaps_for(held(4, "c"), order)) == [4, 5]


def test_the_first_stop_of_an_idle_crew_costs_the_whole_way():
    from .making import a_crew

    crew = a_crew(end_place=20)

    assert extra_road_min(a_stop("a", 50), crew, [], 0, on_a_line()) == 50 + 30
