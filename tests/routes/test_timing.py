from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from servicedesk.routes.plan import CrewDay
from servicedesk.routes.timing import time_round
from servicedesk.values.travel_times import TravelTimes

from .making import LUNCH, a_crew, a_random_day, a_stop, on_a_line

LINE = on_a_line()


def test_each_arrival_follows_from_the_one_before():
    day = time_round(a_crew(), [a_stop("a", 10), a_stop("b", 30)], LINE)

    first, second = day.stops
    assert (first.arrival_min, first.begin_min, first.leave_min) == (490, 490, 520)
    assert (second.drive_min, second.arrival_min, second.leave_min) == (20, 540, 570)
    assert (day.leave_home_min, day.home_min, day.road_min) == (480, 600, 60)
    assert day.overtime_min == day.over_limit_min == day.late_min == 0
    assert day.is_sound


def test_nobody_leaves_home_to_wait_before_the_first_gate():
    day = time_round(a_crew(), [a_stop("a", 10, open_from_min=600)], LINE)

    assert day.leave_home_min == 590
    assert day.stops[0].arrival_min == day.stops[0].begin_min == 600
    assert day.stops[0].wait_min == 0


def test_a_crew_too_early_at_a_later_gate_waits_there():
    day = time_round(a_crew(), [a_stop("a", 10), a_stop("b", 30, open_from_min=600)], LINE)

    assert day.stops[1].arrival_min == 540
    assert day.stops[1].wait_min == 60
    assert day.stops[1].begin_min == 600


def test_lateness_counts_from_the_promise_and_hours_are_told_apart():
    stop = a_stop("a", 100, promise_until_min=570, open_until_min=575)

    planned = time_round(a_crew(), [stop], LINE).stops[0]

    assert (planned.begin_min, planned.late_min, planned.shut_min) == (580, 10, 5)


def test_a_held_time_is_waited_for_and_missing_it_is_lateness():
    early = time_round(a_crew(), [a_stop("a", 10, held_crew="lena", held_at_min=540)], LINE)
    late = time_round(a_crew(), [a_stop("a", 100, held_crew="lena", held_at_min=540)], LINE)

    assert early.stops[0].begin_min == 540
    assert early.stops[0].late_min == 0
    assert late.stops[0].late_min == 40


def test_overtime_and_what_is_beyond_it():
    crew = a_crew(shift_until_min=600, overtime_min=15)

    day = time_round(crew, [a_stop("a", 50)], LINE)

    assert day.home_min == 610
    assert (day.overtime_min, day.over_limit_min) == (10, 0)
    longer = time_round(crew, [a_stop("a", 60)], LINE)
    assert (longer.overtime_min, longer.over_limit_min) == (30, 15)
    assert not longer.is_sound


def test_latest_arrival_keeps_the_next_gate_and_the_shift():
    crew = a_crew(shift_until_min=700)
    stops = [a_stop("a", 10), a_stop("b", 30, open_until_min=600)]

    day = time_round(crew, stops, LINE)

    assert day.stops[1].latest_arrival_min == 600  # home at 660 would leave 40 to spare
    assert day.stops[0].latest_arrival_min == 600 - 20 - 30
    unbound = time_round(crew, [a_stop("a", 10)], LINE)
    assert unbound.stops[0].latest_arrival_min == 700 - 10 - 30


def test_the_break_is_taken_where_the_crew_would_wait_anyway():
    crew = a_crew(**LUNCH)
    stops = [a_stop("a", 10, open_from_min=600), a_stop("b", 30, open_from_min=730)]

    day = time_round(crew, stops, LINE)

    assert day.pause is not None
    assert (day.pause.begin_min, day.pause.end_min) == (690, 720)
    assert (day.pause.at, day.pause.stop_id) == ("before", "b")
    assert day.stops[1].begin_min == 730  # nobody is later for it
    assert day.stops[1].wait_min == 730 - 650 - 30


def test_the_break_goes_where_no_promise_breaks():
    crew = a_crew(shift_from_min=660, shift_until_min=1020, **LUNCH)
    stops = [a_stop("a", 10), a_stop("b", 30, promise_until_min=725)]

    day = time_round(crew, stops, LINE)

    assert day.late_min == 0
    assert day.pause is not None
    assert (day.pause.at, day.pause.stop_id) == ("after", "b")


def test_a_short_shift_that_cannot_reach_the_break_has_none():
    crew = a_crew(shift_until_min=700, **LUNCH)

    assert time_round(crew, [a_stop()], LINE).pause is None


def test_an_idle_crew_stays_where_it_is():
    day = time_round(a_crew(end_place=5, **LUNCH), [], LINE)

    assert day.stops == ()
    assert (day.road_min, day.leave_home_min, day.home_min) == (0, 480, 480)
    assert day.pause is None


def test_metres_are_summed_where_they_are_known():
    minutes = ((0, 5), (5, 0))
    travel = TravelTimes(minutes=minutes, metres=((0, 4000), (4100, 0)))

    day = time_round(a_crew(), [a_stop("a", 1)], travel)

    assert day.road_m == 8100
    assert day.stops[0].drive_m == 4000
    assert time_round(a_crew(), [a_stop("a", 1)], TravelTimes.of(minutes)).road_m is None


def simulated(crew, stops, travel, break_at, break_begin) -> tuple[int, int, int] | None:
    """Broken minutes, promises broken and minutes late, and the end of the day; None if the break
    cannot begin then. A plain re-telling of the rules, minute by minute of the break.
    """
    now, here, broken, late = crew.shift_from_min, crew.start_place, 0, 0
    n_late = 0
    moment = 0

    def rest(now):
        nonlocal moment
        moment += 1
        if moment - 1 != break_at:
            return now
        return None if break_begin < now else break_begin + crew.break_min

    now = rest(now)
    for stop in stops:
        if now is None:
            return None
        now += travel.minutes[here][stop.place]
        here = stop.place
        now = rest(now)
        if now is None:
            return None
        now = max(now, stop.open_from_min, stop.promise_from_min or 0, stop.held_at_min or 0)
        broken += max(0, now - stop.open_until_min)
        missed = max(0, now - (stop.promise_until_min or 10**6))
        late, n_late = late + missed, n_late + (missed > 0)
        now = rest(now + stop.service_min)
    if now is None:
        return None
    now = rest(now + travel.minutes[here][crew.end_place])
    if now is None:
        return None
    return (broken + max(0, now - crew.home_by_min), n_late, late, now)


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 5))
def test_no_other_place_or_minute_for_the_break_is_better(seed, n_stops):
    problem = a_random_day(seed, n_stops=n_stops, n_crews=1)
    crew, stops = problem.crews[0], problem.stops
    if not crew.takes_break:
        return

    day = time_round(crew, stops, problem.travel)

    ends = day.pause.end_min if day.pause.at == "end" else day.home_min
    broken = sum(stop.shut_min for stop in day.stops) + day.over_limit_min
    n_late = sum(stop.late_min > 0 for stop in day.stops)
    every = [
        simulated(crew, stops, problem.travel, at, begin)
        for at, begin in product(
            range(2 * len(stops) + 2), range(crew.break_from_min, crew.break_until_min + 1)
        )
    ]
    assert (broken, n_late, day.late_min, ends) == min(end for end in every if end is not None)


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 10**6), st.integers(0, 120))
def test_a_longer_shift_or_wider_hours_never_hurt(seed, more):
    problem = a_random_day(seed, n_stops=5, n_crews=1)
    crew = problem.crews[0]
    longer = a_crew_like(crew, overtime_min=crew.overtime_min + more)

    before = time_round(crew, problem.stops, problem.travel)
    after = time_round(longer, problem.stops, problem.travel)

    assert after.over_limit_min <= before.over_limit_min
    for old, new in zip(before.stops, after.stops, strict=True):
        assert new.begin_min <= old.begin_min or broken(after) < broken(before)
        if after.pause == before.pause:
            assert new.latest_arrival_min >= old.latest_arrival_min


def a_crew_like(crew, **changed):
    fields = {name: getattr(crew, name) for name in crew.__slots__}
    return type(crew)(**(fields | changed))


def broken(day: CrewDay) -> tuple[int, int]:
    return (day.over_limit_min + sum(stop.shut_min for stop in day.stops), day.late_min)


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 10**6))
def test_arriving_at_the_latest_breaks_nothing_and_a_minute_later_does(seed):
    problem = a_random_day(seed, n_stops=4, n_crews=1, tight=False)
    crew = problem.crews[0]
    plain = a_crew_like(crew, break_min=0)
    day = time_round(plain, problem.stops, problem.travel)
    if not day.is_sound or day.late_min:
        return

    for k in range(len(problem.stops)):
        latest = day.stops[k].latest_arrival_min
        for minute, kept in ((latest, True), (latest + 1, False)):
            now, here = minute, None
            fine = True
            for stop in problem.stops[k:]:
                if here is not None:
                    now += problem.travel.minutes[here][stop.place]
                now = max(now, stop.begin_from_min)
                fine = fine and now <= stop.begin_until_min
                now, here = now + stop.service_min, stop.place
            home = now + problem.travel.minutes[here][plain.end_place]
            assert (fine and home <= plain.home_by_min) is kept


@pytest.mark.parametrize(
    "wrong",
    [
        {"service_min": -1},
        {"open_from_min": 700, "open_until_min": 600},
        {"prize_min": -5},
        {"held_position": 1},
    ],
)
def test_impossible_stops_are_refused(wrong):
    with pytest.raises(ValueError):
        a_stop(**wrong)
