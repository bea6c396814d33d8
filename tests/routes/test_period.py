"""The plan of some weeks: laws, small cases by brute force, holds, and what is left out."""

import random
from dataclasses import replace
from itertools import permutations, product

import pytest

from servicedesk.routes import solver
from servicedesk.routes.period import Tried, plan_weeks, weeks_as_ordered
from servicedesk.routes.period_feasible import faults_in
from servicedesk.routes.period_mend import make_way
from servicedesk.routes.period_model import model_of
from servicedesk.routes.period_plan import cost_of
from servicedesk.routes.period_room import fits
from servicedesk.routes.period_start import quick_start
from servicedesk.values.trouble import Stopped
from tests.routes.making_weeks import a_chance, a_shift, a_week_stop, random_weeks, some_weeks

QUICK = Tried(seconds=None, iterations=400)


def codes(plan, stop_id):
    (left,) = [one for one in plan.left_out if one.stop_id == stop_id]
    return [r.code for r in left.reasons], [r.code for r in left.frees]


def all_assignments(problem):
    """Every sound way to make any of the stops: brute force over shifts and orders."""
    choices = [
        [None, *(s.id for s in problem.shifts if s.may_serve(stop))] for stop in problem.stops
    ]
    for chosen in product(*choices):
        groups = {s.id: [] for s in problem.shifts}
        for stop, shift_id in zip(problem.stops, chosen, strict=True):
            if shift_id is not None:
                groups[shift_id].append(stop)
        rounds = {}
        for shift in problem.shifts:
            sound = [
                order for order in permutations(groups[shift.id]) if fits(problem, shift, order)
            ]
            if not sound:
                break
            rounds[shift.id] = min(
                (tuple(s.id for s in order) for order in sound),
                key=lambda order, s=shift: cost_of(problem, {s.id: order}).total,
            )
        else:
            yield rounds


@pytest.mark.parametrize("seed", range(12))
def test_small_weeks_are_as_cheap_as_brute_force(seed, monkeypatch):
    # taking lonely stops along may cost balance on purpose
    monkeypatch.setattr("servicedesk.routes.period_mend.FAR_MIN", 10**6)
    problem = random_weeks(seed)
    best = min(cost_of(problem, rounds).total for rounds in all_assignments(problem))

    plan = plan_weeks(problem, QUICK)

    assert plan.cost.total == best
    assert not faults_in(plan)


@pytest.mark.parametrize("seed", range(20, 26))
def test_larger_weeks_are_sound_and_the_same_in_any_order_of_input(seed, monkeypatch):
    monkeypatch.setattr("servicedesk.routes.period_mend.FAR_MIN", 10**6)  # as above
    problem = random_weeks(seed, n_stops=25, n_days=4, n_crews=2, until=800)
    turned = replace(problem, stops=problem.stops[::-1], shifts=problem.shifts[::-1])

    plan, other = plan_weeks(problem, QUICK), plan_weeks(turned, QUICK)

    assert plan.orders == other.orders
    assert not faults_in(plan)
    simple = plan_weeks(problem, replace(QUICK, use_solver=False))
    assert simple.planner == "simple"
    assert plan.cost.total <= simple.cost.total


def test_the_simple_planner_is_sound_too():
    plan = plan_weeks(random_weeks(3, n_stops=20), replace(QUICK, use_solver=False))

    assert not faults_in(plan)
    assert plan.shift_id_of


def test_what_closes_soon_comes_before_what_can_wait():
    shifts = [a_shift(0, until=550)]  # room for one stop
    now = a_week_stop("now", prize_min=3000, days=(0, 0), closes_on_day=0)
    later = a_week_stop("later", prize_min=60, days=(0, 0), closes_on_day=9)

    plan = plan_weeks(some_weeks([now, later], shifts), QUICK)

    assert plan.shift_id_of == {"now": "lena@0"}
    assert codes(plan, "later")[0] == ["weeks_full", "can_wait"]


def test_what_is_kept_for_callbacks_stays_free_and_is_named_as_the_way_out():
    stops = [a_week_stop("a", days=(0, 0)), a_week_stop("b", days=(0, 0), closes_on_day=0)]
    day = a_shift(0, until=600, kept_min=45)  # 120 minutes, 75 of them for the plan

    plan = plan_weeks(some_weeks(stops, [day]), QUICK)

    assert len(plan.left_out) == 1
    assert codes(plan, plan.left_out[0].stop_id) == (["weeks_full"], ["frees_kept"])
    assert plan.left_out[0].frees[0]["by_min"] == 5  # 20 road + 60 work = 80, 75 allowed


def test_a_stop_that_can_wait_is_named_as_the_one_to_move():
    stops = [
        a_week_stop("urgent", days=(0, 0), closes_on_day=0, prize_min=100),
        a_week_stop("patient", days=(0, 0), closes_on_day=20, prize_min=3000),
    ]

    plan = plan_weeks(some_weeks(stops, [a_shift(0, until=550)]), QUICK)

    (left,) = plan.left_out
    assert left.stop_id == "urgent"
    assert ("patient", 20) in [
        (r["stop"], r["waits_until"]) for r in left.frees if r.code == "frees_instead"
    ]


def test_nobody_works_then_is_said():
    plan = plan_weeks(some_weeks([a_week_stop("a", days=(7, 9))]), QUICK)

    assert codes(plan, "a") == (["no_shift_then"], [])


def test_a_skill_that_nobody_has_is_said():
    plan = plan_weeks(some_weeks([a_week_stop("a", needs=frozenset({"electric"}))]), QUICK)

    assert codes(plan, "a")[0] == ["no_skill"]


def test_several_allowed_dates_with_hours_are_kept():
    dates = [
        a_chance(1, 1, from_min=600, until_min=660),
        a_chance(3, 3, from_min=900, until_min=930),
    ]
    blocker = a_week_stop("b", place=60, service_min=400, days=(1, 1), held_crew="lena", held_day=1)

    plan = plan_weeks(some_weeks([a_week_stop("a", chances=dates), blocker]), QUICK)

    assert plan.shift_id_of["a"] == "lena@3"
    assert 900 <= plan.days["lena@3"].stops[0].begin_min <= 930


def test_a_held_stop_stays_and_keeps_its_time():
    held = a_week_stop("h", place=90, held_crew="lena", held_day=2, held_at_min=777)
    others = [a_week_stop(f"o{k}", place=10 + k) for k in range(6)]

    plan = plan_weeks(some_weeks([held, *others]), QUICK)

    assert plan.shift_id_of["h"] == "lena@2"
    (begin,) = [s.begin_min for s in plan.days["lena@2"].stops if s.stop_id == "h"]
    assert begin == 777


def test_held_stops_keep_their_order():
    held = [
        a_week_stop("x", place=50, held_crew="lena", held_day=0, held_position=1),
        a_week_stop("y", place=10, held_crew="lena", held_day=0, held_position=2),
        a_week_stop("z", place=40, held_crew="lena", held_day=0, held_position=3),
    ]

    plan = plan_weeks(some_weeks(held, [a_shift(0), a_shift(1)]), QUICK)

    assert plan.orders["lena@0"] == ("x", "y", "z")


def test_the_liked_crew_comes_unless_it_costs_too_much():
    crews = [a_shift(0, "lena"), a_shift(0, "omar")]
    stops = [
        a_week_stop("a", place=30, days=(0, 0)),
        a_week_stop("b", place=31, days=(0, 0), liked_crew="omar", liked_min=5),
    ]
    dear = [stops[0], replace(stops[1], liked_min=500)]

    cheap_plan = plan_weeks(some_weeks(stops, crews), QUICK)
    dear_plan = plan_weeks(some_weeks(dear, crews), QUICK)

    assert dear_plan.shift_id_of["b"] == "omar@0"
    # 60 minutes more road for a liking of 5: one crew makes both
    assert cheap_plan.cost.total == 62


def test_the_work_is_spread_over_the_days():
    stops = [a_week_stop(f"s{k}", place=1 + k % 3, service_min=60) for k in range(15)]
    bunched = plan_weeks(some_weeks(stops), QUICK)
    spread = plan_weeks(
        some_weeks(stops, [a_shift(d, target_min=200, balance_cost=2) for d in range(5)]), QUICK
    )

    def longest(plan):
        return max(len(day.stops) for day in plan.days.values())

    assert longest(spread) == 3
    assert longest(bunched) > 3


def test_a_lonely_far_stop_is_taken_along_by_a_neighboring_day():
    far = a_week_stop("far", place=90)
    also = a_week_stop("also", place=88, days=(1, 1))
    shifts = [
        a_shift(d, target_min=200, balance_cost=9) for d in range(3)
    ]  # balance speaks against

    plan = plan_weeks(some_weeks([far, also], shifts), QUICK)

    assert plan.shift_id_of["far"] == plan.shift_id_of["also"] == "lena@1"


def test_a_break_that_pushes_a_stop_after_its_hours_is_seen():
    stop = [
        a_week_stop(
            "a", place=10, service_min=200, chances=[a_chance(0, from_min=480, until_min=490)]
        ),
        a_week_stop(
            "b", place=10, service_min=60, chances=[a_chance(0, from_min=600, until_min=700)]
        ),
    ]

    plan = plan_weeks(some_weeks(stop, [a_shift(0, pause=True)]), QUICK)

    assert not faults_in(plan)
    assert plan.days["lena@0"].pause is not None


def test_planning_again_from_a_plan_moves_nothing_without_gain():
    problem = random_weeks(31, n_stops=18, n_days=4, until=800)
    first = plan_weeks(problem, QUICK)

    again = plan_weeks(problem, replace(QUICK, seed=7), start=first.orders)

    assert again.cost.total <= first.cost.total
    if again.cost.total == first.cost.total:
        assert again.orders == first.orders


def test_a_told_customer_outranks_minutes():
    told = a_week_stop(
        "t", place=60, chances=[a_chance(3), a_chance(0, 2, price_min=2000)], now_at="lena@3"
    )
    near = a_week_stop("n", place=61, days=(0, 0))

    plan = plan_weeks(some_weeks([told, near]), QUICK)

    assert plan.shift_id_of["t"] == "lena@3"
    assert plan.moved == ()


def test_stopping_keeps_the_best_so_far():
    calls = []

    def stop(done, total, note=""):
        calls.append(done)
        raise Stopped

    problem = random_weeks(40, n_stops=30, n_days=5, until=800)

    plan = plan_weeks(problem, Tried(seconds=30), progress=stop)

    assert plan.was_stopped
    assert calls
    assert not faults_in(plan)
    with pytest.raises(Stopped):
        plan_weeks(problem, Tried(seconds=30), progress=stop, keep_best=False)


def test_the_best_so_far_is_heard():
    heard = []

    plan = plan_weeks(
        random_weeks(41, n_stops=30, n_days=5, until=800), Tried(seconds=1.2), better=heard.append
    )

    assert heard
    totals = [one.cost.total for one in heard]
    assert totals == sorted(totals, reverse=True)
    assert plan.cost.total <= totals[-1]


def test_many_stops_are_planned_by_area_and_no_worse_than_by_the_simple_planner(monkeypatch):
    problem = random_weeks(50, n_stops=60, n_days=5, n_crews=4, until=800)
    monkeypatch.setattr("servicedesk.routes.period.MOST_AT_ONCE", 30)
    monkeypatch.setattr("servicedesk.routes.period_areas._AREA_STOPS", 15)

    plan = plan_weeks(problem, QUICK)

    simple = plan_weeks(problem, replace(QUICK, use_solver=False))
    assert not faults_in(plan)
    assert plan.cost.total <= simple.cost.total


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (lambda p: replace(p, days={**p.days, "lena@1": p.days["lena@0"]}), "not_once"),
        (lambda p: replace(p, left_out=()), "not_once"),
        (lambda p: replace(p, problem=moved_window(p.problem)), "outside_chances"),
        (lambda p: replace(p, problem=needing(p.problem)), "lacks_skill"),
        (lambda p: replace(p, problem=keeping(p.problem)), "eats_what_is_kept"),
    ],
)
def test_the_second_look_finds_what_is_wrong(change, code):
    stops = [
        a_week_stop("a", days=(0, 0)),
        a_week_stop("b", days=(0, 0)),
        a_week_stop("c", days=(9, 9)),
    ]
    good = weeks_as_ordered(some_weeks(stops), {"lena@0": ("a", "b")}, planner="hand")
    assert not faults_in(good)

    assert code in {fault.code for fault in faults_in(change(good))}


def moved_window(problem):
    return replace(problem, stops=tuple(replace(s, chances=(a_chance(3),)) for s in problem.stops))


def needing(problem):
    return replace(problem, stops=tuple(replace(s, needs=frozenset({"x"})) for s in problem.stops))


def keeping(problem):
    return replace(problem, shifts=tuple(replace(s, kept_min=500) for s in problem.shifts))


def with_single_days(seed):
    """Random weeks whose stops have one day each, with hours: no groups in the model."""
    problem = random_weeks(seed, n_stops=8, n_days=3, until=800)
    chance = random.Random(seed)
    stops = []
    for stop in problem.stops:
        day = chance.randrange(3)
        opens = chance.randrange(480, 700, 20)
        stops.append(replace(stop, chances=(a_chance(day, from_min=opens, until_min=opens + 60),)))
    return replace(problem, stops=tuple(stops))


@pytest.mark.parametrize("seed", range(60, 72))
def test_our_cost_with_waiting_is_that_of_the_search(seed):
    problem = with_single_days(seed)
    model = model_of(problem, problem.stops, problem.shifts)

    found = solver.search(model.model, solver.Budget(iterations=60), seed=seed)

    # a stop that nobody may make has no task there
    never = sum(s.prize_min for s in problem.stops if s.id not in model.tasks_of)
    assert cost_of(problem, model.orders(found.tours)).total == found.cost + never


def test_a_stop_that_may_wait_makes_way_for_one_that_closes():
    patient = a_week_stop("patient", days=(0, 4), prize_min=3000)
    urgent = a_week_stop("urgent", days=(0, 0), prize_min=3000)
    problem = some_weeks([patient, urgent], [a_shift(d, until=550) for d in range(2)])
    lists = {"lena@0": [patient], "lena@1": []}

    make_way(problem, lists)

    assert lists == {"lena@0": [urgent], "lena@1": [patient]}


def test_nobody_makes_way_for_what_matters_as_little():
    patient = a_week_stop("patient", days=(0, 0), prize_min=3000)
    other = a_week_stop("other", days=(0, 0), prize_min=3100)
    problem = some_weeks([patient, other], [a_shift(0, until=550)])
    lists = {"lena@0": [patient]}

    make_way(problem, lists)

    assert lists == {"lena@0": [patient]}


@pytest.mark.parametrize("seed", range(4))
def test_a_quick_start_is_sound(seed):
    problem = random_weeks(seed, n_stops=30, n_days=4, until=800)

    orders = quick_start(problem, problem.stops)

    assert any(orders.values())
    for shift in problem.shifts:
        assert fits(problem, shift, [problem.stop_of[i] for i in orders[shift.id]])
