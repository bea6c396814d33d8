"""Who is liked at a stop: a price, weighed exactly against road; never a rule."""

from dataclasses import replace

import pytest

from servicedesk.routes.day import plan_day, retimed
from servicedesk.routes.feasible import faults_in
from servicedesk.routes.squeeze import places_for

from .making import a_crew, a_day, a_random_day, a_stop
from .test_day import ROUNDS, best_price_of_all, price, without_promises

CREWS = (a_crew("lena"), a_crew("mo"))


def one_each(liked_min, *, liked="mo"):
    """Two stops on the same way: one crew makes both for 40 minutes of road, two for 20 more."""
    stops = [a_stop("near", 10), a_stop("far", 20, liked_crew=liked, liked_min=liked_min)]
    return a_day(stops, CREWS)


@pytest.mark.parametrize("use_solver", [True, False])
def test_the_crew_that_is_liked_comes(use_solver):
    day = a_day([a_stop("a", 10, liked_crew="mo", liked_min=45)], CREWS)
    assert plan_day(day, iterations=ROUNDS, use_solver=use_solver).crew_id_of == {"a": "mo"}


def test_a_liking_worth_less_than_the_road_is_not_followed():
    # Lena must pass at 10 and 20 anyway (held), Mo would drive 40 minutes for the one who likes Mo
    stops = [
        a_stop("far", 20, held_crew="lena"),
        a_stop("a", 10, liked_crew="mo", liked_min=19),
        a_stop("b", 12, liked_crew="mo", liked_min=25),
    ]
    assert plan_day(a_day(stops[:2], CREWS), iterations=ROUNDS).crew_id_of["a"] == "lena"
    plan = plan_day(a_day([stops[0], stops[2]], CREWS), iterations=ROUNDS)
    assert plan.crew_id_of["b"] == "mo"  # 24 minutes of road for 25
    assert plan.day_of["lena"].liking_min == 0


@pytest.mark.parametrize("seed", range(12))
def test_small_days_with_likings_cost_exactly_the_best_of_all_ways(seed):
    """Brute force over every share and order (`tests/routes/test_day.py`)."""
    day = without_promises(a_random_day(seed, n_stops=5, n_crews=2))
    crews = [crew.id for crew in day.crews]
    stops = tuple(
        replace(stop, liked_crew=crews[(seed + n) % 2], liked_min=(0, 15, 45)[n % 3])
        for n, stop in enumerate(day.stops)
    )
    day = replace(day, stops=stops)
    plan = plan_day(day, iterations=ROUNDS)
    assert price(day, plan.days) == best_price_of_all(day)
    assert faults_in(plan) == ()


def test_what_is_not_pressing_waits_for_the_one_who_is_liked():
    stop = a_stop("a", 10, prize_min=50, liked_crew="mo", liked_min=45)
    (left,) = plan_day(a_day([stop], CREWS[:1]), iterations=ROUNDS).left_out
    assert [why.code for why in left.reasons] == ["waits_for"]
    pressing = replace(stop, prize_min=280)
    assert plan_day(a_day([pressing], CREWS[:1]), iterations=ROUNDS).left_out == ()


def test_the_second_look_finds_a_liking_that_was_not_counted():
    plan = retimed(one_each(45), {"lena": ("near", "far")}, planner="hand")
    assert plan.days[0].liking_min == 45
    assert faults_in(plan) == ()
    wrong = replace(plan, days=(replace(plan.days[0], liking_min=0), plan.days[1]))
    assert [fault.code for fault in faults_in(wrong)] == ["liking_differs"]


def test_the_second_look_knows_when_somebody_could_have_come():
    able = a_crew("lena", skills=frozenset({"electric"}))
    stop = a_stop("a", 10, needs=frozenset({"electric"}))
    left = retimed(a_day([stop], [a_crew("mo")]), {}, planner="hand")
    assert [why.code for why in left.left_out[0].reasons] == ["no_skill"]
    assert faults_in(left) == ()
    wrong = replace(
        left,
        problem=a_day([stop], [able]),
        days=retimed(a_day([stop], [able]), {}, planner="hand").days,
    )
    assert [fault.code for fault in faults_in(wrong)] == ["not_lacking"]


def test_a_place_with_the_crew_that_is_liked_comes_first():
    new = a_stop("new", 30, liked_crew="mo", liked_min=45)
    plan = retimed(a_day([a_stop("a", 20), new], CREWS), {"lena": ("a",)}, planner="hand")
    best, *_ = places_for(new, plan)
    assert best.crew_id == "mo"  # 60 minutes of road, 20 with Lena who passes near
    plain = places_for(replace(new, liked_crew=None), plan)
    assert plain[0].crew_id == "lena"
