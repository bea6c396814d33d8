"""Every kind of mistake, planted in a sound plan, is found."""

from dataclasses import replace

import pytest

from servicedesk.routes.day import retimed
from servicedesk.routes.feasible import faults_in
from servicedesk.routes.plan import LeftOut
from servicedesk.values.reason import Reason

from .making import LUNCH, a_crew, a_day, a_stop


@pytest.fixture(scope="module")
def plan():
    stops = [
        a_stop("a", 10, held_crew="lena", held_position=0),
        a_stop("b", 30, open_from_min=600, open_until_min=660, promise_until_min=640),
        a_stop("c", 50, held_crew="lena", held_position=1),
        a_stop("d", 60, needs=frozenset({"electric"}), open_from_min=700),
    ]
    skills = frozenset({"electric"})
    crew = a_crew(**LUNCH, skills=skills, shift_until_min=900, overtime_min=30)
    problem = a_day(stops, [crew, a_crew("mo")])
    return retimed(problem, {"lena": ("a", "b", "c", "d")}, planner="hand")


def with_day(plan, **changed):
    return replace(plan, days=(replace(plan.days[0], **changed), *plan.days[1:]))


def with_stop(plan, number, **changed):
    stops = list(plan.days[0].stops)
    stops[number] = replace(stops[number], **changed)
    return with_day(plan, stops=tuple(stops))


def with_problem_stop(plan, stop_id, **changed):
    stops = tuple(replace(s, **changed) if s.id == stop_id else s for s in plan.problem.stops)
    return replace(plan, problem=replace(plan.problem, stops=stops))


def with_problem_crew(plan, **changed):
    crews = (replace(plan.problem.crews[0], **changed), *plan.problem.crews[1:])
    return replace(plan, problem=replace(plan.problem, crews=crews))


def codes(plan):
    return {fault.code for fault in faults_in(plan)}


def test_the_plan_itself_is_sound(plan):
    assert plan.days[0].order == ("a", "b", "c", "d")
    assert plan.days[0].pause is not None
    assert faults_in(plan) == ()


def test_a_stop_made_twice_or_by_nobody(plan):
    day = plan.days[0]
    assert "not_once" in codes(with_day(plan, stops=day.stops[:-1]))
    assert "not_once" in codes(with_day(plan, stops=(*day.stops, day.stops[0])))
    assert "not_once" in codes(replace(plan, left_out=(LeftOut("a", (Reason.of("day_full"),)),)))


def test_a_stop_nobody_asked_for_and_one_left_out_without_reason(plan):
    assert "unknown_stop" in codes(replace(plan, left_out=(LeftOut("x", (Reason("y"),)),)))
    assert "no_reason" in codes(replace(plan, left_out=(LeftOut("a", ()),)))


def test_rounds_of_other_crews(plan):
    assert codes(replace(plan, days=plan.days[::-1])) == {"crews_differ"}


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"drive_min": 19}, "drive_differs"),
        ({"arrival_min": 539}, "arrival_differs"),
        ({"place": 31}, "wrong_place"),
        ({"begin_min": 530}, "begins_before_arrival"),
        ({"begin_min": 599}, "too_early"),
        ({"leave_min": 629}, "leaves_before_done"),
        ({"begin_min": 661, "late_min": 21}, "after_hours"),
        ({"late_min": 1}, "lateness_differs"),
        ({"begin_min": 641}, "lateness_differs"),
    ],
)
def test_a_stop_with_a_wrong_clock(plan, changed, code):
    assert code in codes(with_stop(plan, 1, **changed))


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"leave_home_min": 479}, "before_shift"),
        ({"home_min": 1}, "home_differs"),
        ({"drive_home_min": 1}, "home_differs"),
        ({"road_min": 119}, "road_differs"),
        ({"overtime_min": 5}, "overtime_differs"),
        ({"pause": None}, "break_missing"),
    ],
)
def test_a_round_with_wrong_sums(plan, changed, code):
    assert code in codes(with_day(plan, **changed))


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"end_min": 715}, "break_length"),
        ({"begin_min": 600, "end_min": 630}, "break_hours"),
        ({"begin_min": 790, "end_min": 820}, "break_hours"),
        ({"at": "start"}, "break_overlaps"),
        ({"at": "end"}, "break_overlaps"),
        ({"stop_id": "a"}, "break_overlaps"),
        ({"place": 3}, "break_overlaps"),
    ],
)
def test_a_break_in_the_wrong_place_or_hour(plan, changed, code):
    pause = replace(plan.days[0].pause, **changed)
    assert code in codes(with_day(plan, pause=pause))


@pytest.mark.parametrize("at", ["before", "after"])
def test_a_break_during_the_work(plan, at):
    day = plan.days[0]
    worked = next(stop for stop in day.stops if stop.stop_id == "d")
    pause = replace(
        day.pause,
        at=at,
        stop_id="d",
        place=60,
        begin_min=worked.begin_min + 1,
        end_min=worked.begin_min + 31,
    )
    assert "break_overlaps" in codes(with_day(plan, pause=pause))


@pytest.mark.parametrize(
    ("stop_id", "changed", "code"),
    [
        ("d", {"needs": frozenset({"pumping"})}, "lacks_skill"),
        ("d", {"only_crew": "mo"}, "wrong_crew"),
        ("a", {"held_crew": "mo"}, "wrong_crew"),
        ("a", {"held_position": 9}, "held_order"),
        ("a", {"held_at_min": 495}, "too_early"),
        ("b", {"promise_from_min": 700}, "too_early"),
        ("a", {"service_min": 31}, "leaves_before_done"),
    ],
)
def test_a_rule_that_the_plan_does_not_keep(plan, stop_id, changed, code):
    assert code in codes(with_problem_stop(plan, stop_id, **changed))


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"shift_until_min": 790, "overtime_min": 0}, "over_limit"),
        ({"break_min": 0}, "break_undue"),
        ({"shift_from_min": 481}, "before_shift"),
    ],
)
def test_a_crew_with_other_hours(plan, changed, code):
    assert code in codes(with_problem_crew(plan, **changed))


def test_an_idle_crew_that_drives(plan):
    busy = replace(plan.days[1], road_min=10)
    assert codes(replace(plan, days=(plan.days[0], busy))) == {"idle_but_busy"}
