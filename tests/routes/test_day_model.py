"""What the encoding alone holds, before the exact clock looks at it again."""

from servicedesk.routes import solver
from servicedesk.routes.day import plan_day
from servicedesk.routes.day_model import model_of
from servicedesk.routes.holds import keeps_held_order

from .making import LUNCH, a_crew, a_day, a_random_day, a_stop


def searched(problem, **options):
    """The model and the tours that the search gives for it, nothing mended."""
    model = model_of(problem, problem.stops, **options)
    found = solver.search(model.model, solver.Budget(iterations=400), tuning=solver.ONE_DAY)
    return model, found.tours


def test_held_stops_come_in_their_order():
    # The stops lie on the way, so both directions cost the same road.
    for order in ((0, 1, 2, 3), (3, 1, 0, 2), (2, 3, 1, 0)):
        stops = [
            a_stop(f"s{k}", 10 * (k + 1), held_crew="lena", held_position=position)
            for k, position in enumerate(order)
        ]
        problem = a_day([*stops, a_stop("free", 25)])

        model, tours = searched(problem)

        made = [problem.stop_of[i] for i in model.orders(tours)["lena"]]
        assert len(made) == 5
        assert keeps_held_order(made, "lena")


def test_every_crew_takes_its_own_break_and_no_other():
    stops = [a_stop(f"s{k}", 10 + 5 * k, service_min=45) for k in range(10)]
    crews = [a_crew(name, **LUNCH) for name in ("kit", "lena", "mo")]

    model, tours = searched(a_day(stops, crews))

    groups = {
        tour.vehicle: [model.model.tasks[n].group for n in tour.tasks if model.stop_ids[n] is None]
        for tour in tours
    }
    assert groups == {0: [0], 1: [1], 2: [2]}
    assert sum(model.stop_ids[n] is not None for tour in tours for n in tour.tasks) == 10


def test_a_break_is_not_given_up_for_one_more_stop():
    # 540 minutes of shift, 20 of road: 17 x 30 of work fit without the break, 16 with it.
    stops = [a_stop(f"s{k:02}", 10, told=True) for k in range(18)]

    model, tours = searched(a_day(stops, [a_crew(**LUNCH)]))

    (tour,) = tours
    assert [model.stop_ids[n] for n in tour.tasks].count(None) == 1
    assert len(tour.tasks) - 1 == 16


def test_lateness_is_no_more_than_it_must_be():
    # Both ways are 200 minutes of road; only going there first is 10 late and not 40.
    stops = [a_stop("far", 100, promise_until_min=570, told=True), a_stop("near", 10)]

    model, tours = searched(a_day(stops), lateness_allowed=True)

    assert model.orders(tours)["lena"] == ("far", "near")
    strict, none = searched(a_day(stops))
    assert strict.orders(none)["lena"] == ("near",)


def test_skills_and_bindings_are_kept_by_the_search_itself():
    for seed in range(20):
        problem = a_random_day(seed, n_stops=9, n_crews=3, tight=False)

        model, tours = searched(problem)

        for crew_id, order in model.orders(tours).items():
            crew = problem.crew_of[crew_id]
            assert all(crew.may_serve(problem.stop_of[stop_id]) for stop_id in order)


def test_a_plan_becomes_a_start_with_its_breaks():
    problem = a_random_day(11, n_stops=9, n_crews=2, tight=False)
    plan = plan_day(problem, iterations=100)
    model = model_of(problem, problem.stops)

    tours = model.tours(plan.day_of)

    assert {c: o for c, o in model.orders(tours).items() if o} == {
        c: o for c, o in plan.orders.items() if o
    }
    for tour in tours:
        pause = plan.days[tour.vehicle].pause
        breaks = [n for n in tour.tasks if model.stop_ids[n] is None]
        assert len(breaks) == (pause is not None)
        if pause is not None:
            assert model.model.tasks[breaks[0]].place == pause.place
