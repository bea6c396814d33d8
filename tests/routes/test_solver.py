import subprocess
import sys

import pytest

from servicedesk.routes.solver import Budget, Model, Task, Vehicle, search


def run_python(code: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    return done.stdout.strip()


def test_the_solver_is_not_loaded_before_the_first_planning():
    code = "import sys, servicedesk.routes.day, servicedesk.routes.squeeze, servicedesk.routes.keep"

    assert run_python(code + "; print('pyvrp' in sys.modules, 'numpy' in sys.modules)") == (
        "False False"
    )


def test_planning_never_loads_the_plotting_library():
    code = (
        "import sys\n"
        "from servicedesk.routes.day import *\n"
        "from servicedesk.values.travel_times import TravelTimes\n"
        "crew = Crew(id='a', start_place=0, end_place=0, shift_from_min=0, shift_until_min=600)\n"
        "day = DayProblem(stops=(Stop(id='s', place=1, service_min=5),), crews=(crew,),"
        " travel=TravelTimes.of([[0, 5], [5, 0]]))\n"
        "plan = plan_day(day, iterations=5)\n"
        "print(plan.planner, 'pyvrp' in sys.modules, 'matplotlib' in sys.modules)\n"
    )

    assert run_python(code) == "solver True False"


LINE = [[abs(a - b) for b in range(50)] for a in range(50)]


def a_task(place, **fields):
    usual = {"service_min": 5, "from_min": 0, "by_min": 500, "prize": 1000}
    return Task(place=place, **(usual | fields))


def a_vehicle(**fields):
    return Vehicle(**({"start_place": 0, "end_place": 0, "from_min": 0, "until_min": 500} | fields))


def found(tasks, vehicles, **fields):
    model = Model(tasks=tuple(tasks), vehicles=tuple(vehicles), cost=LINE, minutes=LINE, **fields)
    return search(model, Budget(iterations=200))


def test_out_and_back_along_a_line_is_twice_its_length():
    answer = found([a_task(10), a_task(30), a_task(20)], [a_vehicle()])

    assert answer.cost == 60
    assert sorted(answer.tours[0].tasks) == [0, 1, 2]


def test_a_task_is_left_out_when_its_prize_is_less_than_its_road():
    answer = found([a_task(10), a_task(40, prize=50)], [a_vehicle()])

    assert answer.tours[0].tasks == (0,)
    assert answer.cost == 20 + 50


def test_one_of_a_group_is_done():
    answer = found([a_task(40, group=0), a_task(10, group=0)], [a_vehicle()], n_groups=1)

    assert answer.tours[0].tasks == (1,)


def test_first_brought_then_taken_home_sets_an_order_in_one_dimension():
    first = a_task(30, delivery=(100,), pickup=(0,))
    second = a_task(10, delivery=(0,), pickup=(100,))
    both_ways = found([a_task(10, from_min=0, by_min=12), a_task(30, from_min=0)], [a_vehicle()])

    answer = found([second, first], [a_vehicle(capacity=(100,))])

    assert both_ways.tours[0].tasks == (0, 1)
    assert answer.tours[0].tasks == (1, 0)


def test_paid_overtime_counts_from_the_start_of_the_vehicle():
    late = a_task(10, from_min=200, by_min=200)
    vehicle = a_vehicle(paid_min=100, overtime_cost=2, starts_at_once=True)

    # home at 215, 115 beyond the paid 100 minutes
    assert found([late], [vehicle]).cost == 20 + 2 * 115


def test_a_task_nobody_can_reach_leaves_an_empty_answer():
    answer = found([a_task(40, by_min=10)], [a_vehicle()])

    assert answer.tours == ()
    assert answer.cost == 1000


def test_a_search_needs_an_end():
    with pytest.raises(ValueError):
        Budget()


def test_equal_rounds_and_seed_give_equal_tours():
    tasks = [a_task(n, from_min=(7 * n) % 60, by_min=(7 * n) % 60 + 200) for n in range(1, 40)]

    assert found(tasks, [a_vehicle(count=3)]) == found(tasks, [a_vehicle(count=3)])
