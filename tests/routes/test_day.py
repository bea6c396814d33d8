from dataclasses import replace
from itertools import permutations, product

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from servicedesk.routes import solver
from servicedesk.routes.day import DayProblem, plan_day
from servicedesk.routes.feasible import faults_in
from servicedesk.routes.holds import keeps_held_order
from servicedesk.routes.price import prizes_of, round_price
from servicedesk.routes.timing import time_round
from servicedesk.values.trouble import Stopped

from .making import LUNCH, a_crew, a_day, a_random_day, a_stop

ROUNDS = 300  # of search: enough for the smallest days, and the same answer every time


def price(problem, days):
    made = {stop_id for day in days for stop_id in day.order}
    prizes = prizes_of(problem.stops)
    return sum(map(round_price, days)) + sum(
        prizes[stop.id] for stop in problem.stops if stop.id not in made
    )


def best_price_of_all(problem: DayProblem) -> int:
    """Every way to give the stops to the crews or to nobody, in every order: the least price.

    Only sound rounds count; lateness counts at its price only where no way without it makes as
    many of the stops that must be made (the rule of plan_day).
    """
    least = 10**9
    crews = problem.crews
    best_of = [best_rounds(problem, crew) for crew in crews]
    for shares in product(range(-1, len(crews)), repeat=len(problem.stops)):
        sets = [
            frozenset(s.id for s, share in zip(problem.stops, shares, strict=True) if share == k)
            for k in range(len(crews))
        ]
        if all(chosen in best for chosen, best in zip(sets, best_of, strict=True)):
            made = frozenset().union(*sets)
            prizes = prizes_of(problem.stops)
            left = sum(prizes[s.id] for s in problem.stops if s.id not in made)
            rounds = sum(best[chosen] for chosen, best in zip(sets, best_of, strict=True))
            least = min(least, left + rounds)
    return least


def best_rounds(problem, crew):
    """For every set of stops that this crew can make without lateness: the least price."""
    able = [stop for stop in problem.stops if crew.may_serve(stop)]
    best = {frozenset(): 0}
    for n in range(1, len(able) + 1):
        for order in permutations(able, n):
            day = time_round(crew, order, problem.travel)
            if day.is_sound and day.late_min == 0:
                chosen = frozenset(stop.id for stop in order)
                best[chosen] = min(best.get(chosen, 10**9), round_price(day))
    return best


@pytest.mark.parametrize("seed", range(40))
def test_small_days_cost_no_more_than_the_best_of_all_ways(seed):
    problem = a_random_day(seed, n_stops=5, n_crews=2)

    plan = plan_day(problem, iterations=ROUNDS)

    # It may be less: what cannot be kept at all is made late instead of left out.
    assert price(problem, plan.days) <= best_price_of_all(problem)


@pytest.mark.parametrize("seed", range(10))
def test_without_promises_a_small_day_costs_exactly_the_best(seed):
    problem = without_promises(a_random_day(seed, n_stops=5, n_crews=2))

    plan = plan_day(problem, iterations=ROUNDS)

    assert price(problem, plan.days) == best_price_of_all(problem)


def without_promises(problem: DayProblem) -> DayProblem:
    stops = tuple(replace(stop, promise_until_min=None) for stop in problem.stops)
    return DayProblem(stops=stops, crews=problem.crews, travel=problem.travel)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(0, 10**6), st.randoms(use_true_random=False))
def test_the_order_in_which_things_come_changes_nothing(seed, chance):
    problem = a_random_day(seed, n_stops=8, n_crews=2)
    stops, crews = list(problem.stops), list(problem.crews)
    chance.shuffle(stops)
    chance.shuffle(crews)
    shuffled = DayProblem(stops=tuple(stops), crews=tuple(crews), travel=problem.travel)

    one, other = (plan_day(p, iterations=50) for p in (problem, shuffled))

    assert one.day_of == other.day_of
    assert {left.stop_id for left in one.left_out} == {left.stop_id for left in other.left_out}


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(0, 10**6), st.integers(0, 12), st.integers(0, 3), st.booleans())
def test_every_stop_is_made_once_or_left_out_with_a_reason(seed, n_stops, n_crews, use_solver):
    if n_crews == 0:
        problem = replace_crews(a_random_day(seed, n_stops=n_stops, n_crews=1), ())
    else:
        problem = a_random_day(seed, n_stops=n_stops, n_crews=n_crews)

    plan = plan_day(problem, iterations=60, use_solver=use_solver)

    assert faults_in(plan) == ()
    made = [stop_id for day in plan.days for stop_id in day.order]
    left = [one.stop_id for one in plan.left_out]
    assert sorted(made + left) == sorted(stop.id for stop in problem.stops)
    assert all(one.reasons for one in plan.left_out)


def with_holds(problem, chance):
    """Some stops held anywhere in any manner, some told, some crews ending elsewhere."""
    stops = []
    for stop in problem.stops:
        changed = {}
        if chance.random() < 0.3:
            changed["held_crew"] = chance.choice([crew.id for crew in problem.crews] + ["away"])
            changed["held_position"] = chance.choice((None, chance.randrange(9)))
            changed["held_at_min"] = chance.choice((None, chance.randrange(480, 900)))
        if chance.random() < 0.2:
            changed |= {"told": True, "promise_from_min": chance.randrange(480, 700)}
        stops.append(replace(stop, **changed))
    crews = [replace(c, end_place=chance.randrange(len(problem.travel))) for c in problem.crews]
    return replace(problem, stops=tuple(stops), crews=tuple(crews))


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(0, 10**6), st.randoms(use_true_random=False), st.booleans())
def test_whatever_is_held_the_plan_is_sound(seed, chance, use_solver):
    problem = with_holds(a_random_day(seed, n_stops=12, n_crews=2), chance)

    plan = plan_day(problem, iterations=40, use_solver=use_solver)

    assert faults_in(plan) == ()


def replace_crews(problem, crews):
    stops = tuple(replace(stop, only_crew=None) for stop in problem.stops)
    return DayProblem(stops=stops, crews=crews, travel=problem.travel)


def test_equal_seed_and_rounds_give_the_equal_plan():
    problem = a_random_day(7, n_stops=14, n_crews=3, tight=False)

    assert plan_day(problem, iterations=80) == plan_day(problem, iterations=80)
    assert plan_day(problem) == plan_day(problem)


def test_an_overfull_day_leaves_out_the_least_worth_first():
    stops = [a_stop(f"must {k}", 40 + k, service_min=60) for k in range(4)]
    stops += [a_stop(f"may {k}", 45 + k, service_min=60, prize_min=100 + k) for k in range(6)]

    plan = plan_day(a_day(stops), iterations=ROUNDS)

    made = set(plan.days[0].order)
    assert {f"must {k}" for k in range(4)} <= made
    left = {one.stop_id for one in plan.left_out}
    assert left  # 10 hours of work in a shift of 9
    assert left <= {f"may {k}" for k in range(6)}
    assert "may 0" in left  # the least worth


def test_of_too_many_musts_told_customers_stay_and_held_stops_first_of_all():
    stops = [a_stop(f"m{k}", 20, service_min=120) for k in range(3)]
    stops += [a_stop(f"told{k}", 20, service_min=120, told=True) for k in range(2)]
    stops += [a_stop("held", 20, service_min=120, held_crew="lena", prize_min=1)]

    plan = plan_day(a_day(stops), iterations=ROUNDS)

    made = set(plan.days[0].order)
    assert {"held", "told0", "told1"} <= made
    assert len(made) == 4
    reasons = {one.stop_id: one.reasons[0] for one in plan.left_out}
    assert all(reason.code == "day_full" for reason in reasons.values())
    # Each more takes 120 minutes: 40 of road and 480 of work are there, 540 is the shift.
    assert all(reason["over_min"] == 100 for reason in reasons.values())


def test_nothing_to_do_and_nobody_to_do_it():
    assert plan_day(a_day([])).days[0].stops == ()
    nobody = DayProblem(stops=(a_stop(),), crews=(), travel=a_day([]).travel)
    assert plan_day(nobody).left_out[0].reasons[0].code == "nobody_works"


def test_a_promise_is_kept_though_it_costs_road():
    # Nearest first would be a, b, c; c is promised by nine.
    stops = [a_stop("a", 10), a_stop("b", 20), a_stop("c", 50, promise_until_min=540)]

    plan = plan_day(a_day(stops), iterations=ROUNDS)

    assert plan.late == ()
    assert plan.days[0].stops[-1].stop_id != "c"


def test_a_promise_that_cannot_be_kept_is_told_late_by_the_least():
    # 100 minutes away, promised 90 minutes after the shift begins.
    stops = [a_stop("far", 100, promise_until_min=570, told=True), a_stop("near", 10)]

    plan = plan_day(a_day(stops), iterations=ROUNDS)

    assert plan.left_out == ()
    assert [(stop.stop_id, stop.late_min) for stop in plan.late] == [("far", 10)]
    assert plan.days[0].order[0] == "far"


def test_two_promises_for_one_minute_make_one_of_them_late():
    stops = [a_stop(k, 10, promise_until_min=490, told=True) for k in ("a", "b")]

    plan = plan_day(a_day(stops), iterations=ROUNDS)

    assert plan.left_out == ()
    assert [stop.late_min for stop in plan.late] == [30]


def test_held_stops_keep_crew_order_and_time_against_the_shorter_way():
    # Outward would be 10, 20, 30, 40; held the other way round, with the third at a fixed time.
    stops = [
        a_stop("a", 40, held_crew="mo", held_position=0),
        a_stop("b", 30, held_crew="mo", held_position=1),
        a_stop("c", 10, held_crew="mo", held_position=2, held_at_min=700),
        a_stop("d", 50, held_crew="mo", held_position=3),
        a_stop("free", 20),
        a_stop("other", 60),
    ]
    problem = a_day(stops, [a_crew("lena"), a_crew("mo", **LUNCH)])

    for use_solver in (True, False):
        plan = plan_day(problem, iterations=ROUNDS, use_solver=use_solver)

        assert plan.left_out == ()
        day = plan.day_of["mo"]
        assert [i for i in day.order if i in "abcd"] == ["a", "b", "c", "d"]
        begins = {stop.stop_id: stop.begin_min for stop in day.stops}
        assert begins["c"] == 700


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(0, 10**6), st.permutations(range(6)))
def test_any_held_order_is_kept(seed, order):
    problem = a_random_day(seed, n_stops=9, n_crews=2, tight=False)
    crew = problem.crews[0]
    stops = tuple(
        replace(
            stop,
            needs=frozenset(),
            only_crew=None,
            held_crew=crew.id if k < 6 else None,
            held_position=order[k] if k < 6 else None,
        )
        for k, stop in enumerate(problem.stops)
    )
    problem = DayProblem(stops=stops, crews=problem.crews, travel=problem.travel)

    plan = plan_day(problem, iterations=60)

    made = [problem.stop_of[i] for i in plan.day_of[crew.id].order]
    assert keeps_held_order(made, crew.id)


def test_only_the_skilled_crew_is_sent_and_only_the_bound_one():
    stops = [
        a_stop("wires", 10, needs=frozenset({"electric"})),
        a_stop("bound", 12, only_crew="mo"),
        a_stop("any", 14),
    ]
    crews = [a_crew("lena"), a_crew("mo"), a_crew("kit", skills=frozenset({"electric"}))]

    plan = plan_day(a_day(stops, crews), iterations=ROUNDS)

    assert plan.crew_id_of["wires"] == "kit"
    assert plan.crew_id_of["bound"] == "mo"


def test_each_crew_of_several_has_its_own_break():
    stops = [a_stop(f"s{k:02}", 10 + 3 * k, service_min=40) for k in range(16)]
    crews = [a_crew("lena", **LUNCH), a_crew("mo", **LUNCH, start_place=60, end_place=60)]

    plan = plan_day(a_day(stops, crews), iterations=ROUNDS)

    assert plan.left_out == ()
    for day in plan.days:
        assert day.stops
        assert day.pause is not None
        assert day.pause.end_min - day.pause.begin_min == 30


def test_overtime_is_used_where_it_saves_a_must_and_counts_by_the_clock():
    crew = a_crew(shift_until_min=600, overtime_min=60)
    plan = plan_day(a_day([a_stop("a", 50, open_from_min=560)], [crew]), iterations=ROUNDS)

    assert plan.left_out == ()
    assert plan.days[0].overtime_min == 40  # 560 + 30 + 50 - 600, though it left home late


def test_a_plan_can_begin_from_an_older_one_with_other_stops():
    problem = a_random_day(3, n_stops=10, n_crews=2, tight=False)
    older = plan_day(problem, iterations=ROUNDS)
    fewer = DayProblem(stops=problem.stops[:-2], crews=problem.crews, travel=problem.travel)

    again = plan_day(problem, iterations=0, start=older)
    less = plan_day(fewer, iterations=ROUNDS, start=older)

    assert again.days == older.days
    assert faults_in(less) == ()


def test_stopping_is_passed_on_or_answered_with_the_best_so_far():
    problem = a_random_day(5, n_stops=14, n_crews=3, tight=False)

    def stop_at_once(done, total, note=""):
        raise Stopped

    with pytest.raises(Stopped):
        plan_day(problem, seconds=30, progress=stop_at_once)
    plan = plan_day(problem, seconds=30, progress=stop_at_once, keep_best=True)
    assert faults_in(plan) == ()
    assert plan.days[0].stops


def test_progress_rises_to_the_whole():
    heard = []
    plan_day(
        a_random_day(5, n_stops=10, n_crews=2),
        seconds=0.4,
        progress=lambda done, total, note="": heard.append(done / total),
    )

    assert heard
    assert heard == sorted(heard)
    assert 0 <= heard[0] <= heard[-1] <= 1


def test_without_the_solver_the_simple_planner_says_so(monkeypatch):
    monkeypatch.setattr(solver, "is_here", lambda: False)

    plan = plan_day(a_day([a_stop("a"), a_stop("b", 30)]))

    assert plan.planner == "simple"
    assert set(plan.days[0].order) == {"a", "b"}


def test_an_unsound_plan_of_ours_is_never_given_out(monkeypatch):
    monkeypatch.setattr("servicedesk.routes.few.drop_to_sound", lambda *_: None)
    monkeypatch.setattr("servicedesk.routes.day.plan_simply", lambda *_, **__: {"lena": ("a", "b")})
    stops = [a_stop("a", 10), a_stop("b", 40, open_until_min=520)]

    with pytest.raises(AssertionError, match="after_hours"):
        plan_day(a_day(stops), use_solver=False)


def test_for_a_late_but_told_customer_an_optional_stop_gives_way():
    # 100 minutes away and promised by 9:30: ten late at best, and then the day is full.
    crew = a_crew(shift_until_min=720)
    stops = [a_stop("told", 100, promise_until_min=570, told=True)]
    stops += [a_stop(f"may{k}", 5, service_min=70, prize_min=300) for k in range(3)]

    plan = plan_day(a_day(stops, [crew]), iterations=ROUNDS)

    assert plan.days[0].order == ("told",)
    assert plan.days[0].late_min == 10
    assert len(plan.left_out) == 3


def test_the_simple_planner_too_makes_a_must_late_rather_than_not():
    stops = [a_stop("far", 100, promise_until_min=570, told=True), a_stop("near", 10)]

    plan = plan_day(a_day(stops), use_solver=False)

    assert plan.left_out == ()
    assert [stop.stop_id for stop in plan.late] == ["far"]
