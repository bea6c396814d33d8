from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from servicedesk.routes.day import plan_day, retimed
from servicedesk.routes.keep import moved, taken_out, unsuited

from .making import a_crew, a_day, a_random_day, a_stop


@pytest.fixture
def plan():
    stops = [a_stop("a", 10), a_stop("b", 20), a_stop("c", 30), a_stop("d", 40)]
    problem = a_day(stops, [a_crew("lena"), a_crew("mo")])
    return retimed(problem, {"lena": ("a", "b", "c"), "mo": ("d",)}, planner="solver")


def test_a_stop_goes_to_another_crew_at_the_place_named(plan):
    after = moved(plan, "b", to_crew="mo", position=0)

    assert after.orders == {"lena": ("a", "c"), "mo": ("b", "d")}
    assert after.day_of["mo"].stops[1].arrival_min == 480 + 20 + 30 + 20
    assert after.planner == "hand"
    assert plan.orders["lena"] == ("a", "b", "c")  # the old plan is as it was


def test_within_a_round_the_position_counts_without_the_stop(plan):
    assert moved(plan, "a", to_crew="lena", position=1).orders["lena"] == ("b", "a", "c")
    assert moved(plan, "a", to_crew="lena", position=99).orders["lena"] == ("b", "c", "a")


def test_taken_out_it_is_left_out_with_what_a_place_would_cost(plan):
    after = taken_out(plan, "b")

    assert after.orders["lena"] == ("a", "c")
    assert [left.stop_id for left in after.left_out] == ["b"]
    assert after.left_out[0].reasons[0].code == "not_worth_road"
    assert after.left_out[0].reasons[0]["extra_min"] == 0  # it lies on the way


def test_a_person_may_break_hours_and_the_plan_says_so(plan):
    stops = tuple(replace(s, open_until_min=500) if s.id == "a" else s for s in plan.problem.stops)
    plan = replace(plan, problem=replace(plan.problem, stops=stops))

    after = moved(plan, "a", to_crew="lena", position=2)

    assert not after.day_of["lena"].is_sound
    assert after.day_of["lena"].stops[2].shut_min > 0


def test_a_crew_that_may_not_come_is_named(plan):
    stops = tuple(
        replace(s, needs=frozenset({"electric"}), only_crew="lena") if s.id == "a" else s
        for s in plan.problem.stops
    )
    problem = replace(plan.problem, stops=stops)
    after = moved(retimed(problem, plan.orders, planner="hand"), "a", to_crew="mo", position=0)

    assert [reason.code for reason in unsuited(after)] == ["stop_lacks_skill", "wrong_crew"]
    assert unsuited(taken_out(after, "a")) == ()


def test_a_stop_or_crew_the_day_does_not_know_is_refused(plan):
    with pytest.raises(KeyError):
        moved(plan, "x", to_crew="mo", position=0)
    with pytest.raises(KeyError):
        moved(plan, "a", to_crew="x", position=0)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(0, 10**6), st.data())
def test_out_and_in_again_is_equal(seed, data):
    problem = a_random_day(seed, n_stops=8, n_crews=2)
    plan = plan_day(problem, use_solver=False)
    planned = [(c, k, i) for c, order in plan.orders.items() for k, i in enumerate(order)]
    if not planned:
        return
    crew_id, position, stop_id = data.draw(st.sampled_from(planned))

    again = moved(taken_out(plan, stop_id), stop_id, to_crew=crew_id, position=position)

    assert again.days == plan.days
    assert again.left_out == plan.left_out
