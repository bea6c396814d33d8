from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from servicedesk.routes.day import plan_day, retimed
from servicedesk.routes.squeeze import places_for, squeezed_in
from servicedesk.routes.timing import time_round

from .making import LUNCH, a_crew, a_day, a_random_day, a_stop


def brute_force(stop, plan):
    """Every crew and gap, the whole round timed anew with the full clock: what it does to all.

    Tells for each place (crew, gap): soundness, own lateness, road, overtime, delay of each stop,
    promises newly broken. Shares only time_round with the code under test.
    """
    effects = {}
    for crew in plan.problem.crews:
        if not stop.needs <= crew.skills or stop.only_crew not in {None, crew.id}:
            continue
        old = plan.day_of[crew.id]
        old_stops = {s.stop_id: s for s in old.stops}
        order = [plan.problem.stop_of[i] for i in old.order]
        for gap in range(len(order) + 1):
            new = time_round(crew, [*order[:gap], stop, *order[gap:]], plan.problem.travel)
            delays = {
                s.stop_id: s.begin_min - old_stops[s.stop_id].begin_min
                for s in new.stops
                if s.stop_id != stop.id and s.begin_min > old_stops[s.stop_id].begin_min
            }
            broken = {
                s.stop_id
                for s in new.stops
                if s.late_min and not (s.stop_id in old_stops and old_stops[s.stop_id].late_min)
            }
            late = new.late_min - old.late_min
            road = new.road_min - old.road_min
            overtime = new.overtime_min - old.overtime_min
            price = road + 2 * overtime + 20 * late + 0.2 * sum(delays.values())
            price += 6 * sum(minutes > 15 for minutes in delays.values())
            own = next(s for s in new.stops if s.stop_id == stop.id)
            effects[crew.id, gap] = (
                new.is_sound,
                own.late_min,
                own.begin_min,
                own.arrival_min,
                road,
                overtime,
                new.home_min,
                delays,
                broken,
                pytest.approx(price),
            )
    return effects


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(0, 10**6), st.integers(1, 9), st.booleans())
def test_squeeze_in_is_equal_to_brute_force(seed, n_stops, tight):
    whole = a_random_day(seed, n_stops=n_stops, n_crews=2, tight=tight)
    stop = whole.stops[-1]
    rest = replace(whole, stops=whole.stops[:-1])
    plan = plan_day(rest, use_solver=False)

    places = places_for(stop, plan, sound_only=False)

    expected = brute_force(stop, plan)
    told = {
        (place.crew_id, place.position): (
            place.is_sound,
            place.late_min,
            place.begin_min,
            place.arrival_min,
            place.extra_road_min,
            place.extra_overtime_min,
            place.home_min,
            {delay.stop_id: delay.by_min for delay in place.delays},
            set(place.promises_broken),
            place.price_min,
        )
        for place in places
    }
    assert told == expected
    keys = [(not p.is_sound, p.late_min > 0, p.price_min) for p in places]
    assert keys == sorted(keys)
    sound = places_for(stop, plan)
    assert [p for p in places if p.is_sound] == list(sound)


def test_the_call_on_the_way_comes_first_and_says_whom_it_delays():
    day = a_day([a_stop("a", 10), a_stop("c", 50)], [a_crew()])
    plan = plan_day(replace(day), iterations=50)
    call = a_stop("b", 30, service_min=20)

    best = places_for(call, plan)[0]

    assert best.position == 1
    assert best.extra_road_min == 0
    assert [(d.stop_id, d.by_min) for d in best.delays] == [(plan.days[0].order[1], 20)]
    assert best.n_shifted == 1
    assert best.price_min == pytest.approx(0.2 * 20 + 6)


def test_a_promise_it_breaks_is_named_and_such_a_place_comes_later():
    stops = [a_stop("a", 10), a_stop("b", 30, promise_until_min=545)]
    plan = retimed(a_day(stops), {"lena": ("a", "b")}, planner="hand")
    call = a_stop("call", 20)

    places = {place.position: place for place in places_for(call, plan)}

    assert places[1].promises_broken == ("b",)
    assert places[2].promises_broken == ()
    assert places_for(call, plan)[0].position == 2


def test_a_full_day_has_no_sound_place_but_tells_what_each_would_break():
    crew = a_crew(shift_until_min=580)
    plan = retimed(a_day([a_stop("a", 30)], [crew]), {"lena": ("a",)}, planner="hand")
    call = a_stop("call", 40)

    assert places_for(call, plan) == ()
    broken = places_for(call, plan, sound_only=False)
    assert {place.over_limit_min for place in broken} == {40}


def test_held_stops_keep_their_order_and_their_time():
    stops = [
        a_stop("a", 10, held_crew="lena", held_position=0),
        a_stop("b", 30, held_crew="lena", held_position=2, held_at_min=545),
    ]
    plan = retimed(a_day(stops), {"lena": ("a", "b")}, planner="hand")
    held_call = a_stop("call", 20, held_crew="lena", held_position=1)

    between = places_for(held_call, plan)

    assert [place.position for place in between] == [1]
    assert between[0].promises_broken == ("b",)  # its fixed time


def test_the_break_is_placed_anew():
    crew = a_crew(**LUNCH, shift_from_min=600, shift_until_min=960)
    plan = retimed(a_day([a_stop("a", 100)], [crew]), {"lena": ("a",)}, planner="hand")
    call = a_stop("call", 50, service_min=60)

    best = places_for(call, plan)[0]
    day = squeezed_in(call, best, plan)

    assert day.is_sound
    assert day.pause is not None
    assert day.order == ("call", "a")[:: 1 if best.position == 0 else -1]
    assert next(s for s in day.stops if s.stop_id == "call").begin_min == best.begin_min
