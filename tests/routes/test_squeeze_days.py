"""Squeeze-in over several days, against timing every possibility again."""

import random

import pytest

from servicedesk.routes.problem import Stop
from servicedesk.routes.squeeze import DELAY_WEIGHT, LATE_WEIGHT, OVERTIME_WEIGHT, SHIFTED_PRICE
from servicedesk.routes.squeeze_days import (
    DAY_PRICE,
    DROPPED_PRICE,
    HOMELESS_PRICE,
    OpenRound,
    squeeze_options,
)
from servicedesk.routes.timing import time_round
from tests.routes.making import a_crew, a_random_day, a_stop, on_a_line


def random_rounds(seed, n_days=2):
    chance = random.Random(seed)
    rounds = []
    for day in range(n_days):
        problem = a_random_day(seed * 10 + day, n_stops=7, n_crews=2, tight=False)
        new = Stop(
            id="call", place=6, service_min=30,
            promise_until_min=700 if day == 0 and chance.random() < 0.5 else None,
        )  # fmt: skip
        for k, crew in enumerate(problem.crews):
            order = tuple(
                s for n, s in enumerate(problem.stops[:6]) if n % 2 == k and crew.may_serve(s)
            )
            order = tuple(
                Stop(id=f"{day}{s.id}", place=s.place, service_min=s.service_min,
                     promise_until_min=s.promise_until_min, needs=s.needs)
                for s in order
            )  # fmt: skip
            rounds.append((day, crew, order, new, problem.travel))
    ids = [f"{day}/{crew.id}" for day, crew, *_ in rounds]
    return [
        OpenRound(
            id=i, day=day, crew=crew, order=order, stop=new, travel=travel,
            may_wait={s.id: frozenset(ids) - {i} for s in order if s.promise_until_min is None},
        )
        for i, (day, crew, order, new, travel) in zip(ids, rounds, strict=True)
    ]  # fmt: skip


def harm_by_hand(one, before, new_order, stop):
    """Price of a new order against the old round, from the fully timed rounds; None if unsound."""
    after = time_round(one.crew, new_order, one.travel)
    if not after.is_sound:
        return None
    begins = {s.stop_id: s.begin_min for s in before.stops}
    later = [s.begin_min - begins[s.stop_id] for s in after.stops if s.stop_id in begins]
    later = [by for by in later if by > 0]
    broken = {s.stop_id for s in after.stops if s.late_min > 0} - {
        s.stop_id for s in before.stops if s.late_min > 0
    }
    stays = {s.id for s in new_order}
    was_late = sum(s.late_min for s in before.stops)
    harm = (
        after.road_min - before.road_min
        + OVERTIME_WEIGHT * (after.overtime_min - before.overtime_min)
        + LATE_WEIGHT * (after.late_min - was_late)
        + DELAY_WEIGHT * sum(later)
        + SHIFTED_PRICE * sum(by > 15 for by in later)
    )  # fmt: skip
    del stays
    return harm, stop.id in broken, bool(broken - {stop.id})


def brute_force(rounds):
    """(own late, others late, harm) of every way there is."""
    found = []
    before = {one.id: time_round(one.crew, one.order, one.travel) for one in rounds}
    for one in rounds:
        if not one.crew.may_serve(one.stop):
            continue
        for dropped in (None, *one.order):
            if dropped is not None and dropped.id not in one.may_wait:
                continue
            rest = [s for s in one.order if s is not dropped]
            for at in range(len(rest) + 1):
                new = [*rest[:at], one.stop, *rest[at:]]
                priced = harm_by_hand(one, before[one.id], new, one.stop)
                if priced is None:
                    continue
                harm, own, others = priced
                harm += DAY_PRICE * one.day
                if dropped is not None:
                    harm += DROPPED_PRICE + home_by_hand(rounds, before, one, dropped)
                found.append((own, others, round(harm, 6)))
    return sorted(found)


def home_by_hand(rounds, before, here, dropped):
    prices = []
    for other in rounds:
        if other.id in here.may_wait[dropped.id] and other.crew.may_serve(dropped):
            for at in range(len(other.order) + 1):
                new = [*other.order[:at], dropped, *other.order[at:]]
                priced = harm_by_hand(other, before[other.id], new, dropped)
                if priced is not None and not priced[1] and not priced[2]:
                    prices.append(max(0.0, priced[0]))
    return min(prices, default=HOMELESS_PRICE)


@pytest.mark.parametrize("seed", range(25))
def test_the_best_options_are_those_of_brute_force(seed):
    rounds = random_rounds(seed)

    options = squeeze_options(rounds, keep=8)

    found = [
        (o.place.late_min > 0, bool(set(o.place.promises_broken) - {"call"}), round(o.harm_min, 6))
        for o in options
    ]
    assert found == brute_force(rounds)[:8]


def test_leaving_one_out_is_offered_where_the_day_is_full():
    full = tuple(a_stop(f"s{k}", place=10, service_min=60) for k in range(8))
    crew = a_crew(shift_until_min=480 + 8 * 60 + 30)
    calm = a_crew("omar")
    rounds = [
        OpenRound(id="today", day=0, crew=crew, order=full, stop=a_stop("call", place=10),
                  travel=on_a_line(), may_wait={"s3": frozenset({"tomorrow"})}),
        OpenRound(id="tomorrow", day=1, crew=calm, order=(a_stop("x", place=50),),
                  stop=a_stop("call", place=10, needs=frozenset({"electric"})), travel=on_a_line()),
    ]  # fmt: skip

    options = squeeze_options(rounds)

    assert {o.dropped for o in options} == {"s3"}
    assert options[0].new_home.round_id == "tomorrow"
    assert options[0].harm_min >= DROPPED_PRICE


def test_nothing_is_offered_where_nothing_fits():
    full = tuple(a_stop(f"s{k}", place=10, service_min=60) for k in range(8))
    crew = a_crew(shift_until_min=480 + 8 * 60 + 20)
    one = OpenRound(id="r", day=0, crew=crew, order=full, stop=a_stop("call"), travel=on_a_line())

    assert squeeze_options([one]) == ()
