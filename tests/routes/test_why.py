import pytest

from servicedesk.routes.day import DayProblem, plan_day

from .making import a_crew, a_day, a_stop


def only_reason(stops, crews=(), stop_id="x", **options):
    plan = plan_day(a_day(stops, crews), iterations=100, **options)
    (left,) = [left for left in plan.left_out if left.stop_id == stop_id]
    assert len(left.reasons) == 1
    reason = left.reasons[0]
    return reason.code, dict(reason.values)


ELECTRIC = frozenset({"electric"})


@pytest.mark.parametrize(
    ("stop", "code", "values"),
    [
        (a_stop("x", needs=ELECTRIC), "no_skill", {"skills": ("electric",)}),
        (a_stop("x", only_crew="kit"), "crew_away", {"crew": "kit"}),
        (
            a_stop("x", needs=ELECTRIC, held_crew="lena"),
            "crew_lacks_skill",
            {"crew": "lena", "skills": ("electric",)},
        ),
        (
            # Open until 8:05, ten minutes from where the crew starts at 8:00.
            a_stop("x", open_until_min=485),
            "no_common_hours",
            {"open_from_min": 0, "open_until_min": 485},
        ),
        (
            # Opens at 17:00, when the shift ends.
            a_stop("x", open_from_min=1020),
            "no_common_hours",
            {"open_from_min": 1020, "open_until_min": 1440},
        ),
        # 2 x 10 of road and 530 of work against a shift of 540.
        (a_stop("x", service_min=530), "too_long", {"over_min": 10}),
        # 20 of road for a worth of 5.
        (
            a_stop("x", prize_min=5),
            "not_worth_road",
            {"crew": "lena", "extra_min": 20, "prize_min": 5},
        ),
    ],
)
def test_one_stop_alone_is_left_out_for_what_it_is(stop, code, values):
    assert only_reason([stop]) == (code, values)


def test_a_full_day_says_by_how_much():
    busy = a_stop("a", 10, service_min=500, told=True)

    assert only_reason([busy, a_stop("x", 10)]) == ("day_full", {"crew": "lena", "over_min": 10})


def test_hours_taken_by_another_are_told_with_the_delay():
    # Both must begin by nine at one place, an hour of work each.
    stops = [
        a_stop("a", 10, service_min=60, open_until_min=540, told=True),
        a_stop("x", 10, service_min=60, open_until_min=540),
    ]

    assert only_reason(stops) == ("own_hours_taken", {"crew": "lena", "by_min": 10})


def test_a_stop_that_would_push_another_out_names_it():
    stops = [
        a_stop("a", 100, service_min=60, open_until_min=580, told=True),
        a_stop("x", 100, service_min=60, open_until_min=590),
    ]
    # After a it is 50 minutes past its own hours; before a, a would be 60 past: the nearer tells.
    assert only_reason(stops) == ("own_hours_taken", {"crew": "lena", "by_min": 50})
    stops[1] = a_stop("x", 100, service_min=30, open_until_min=580)
    assert only_reason(stops) == ("pushes_out", {"crew": "lena", "stop": "a", "by_min": 30})


def test_an_optional_stop_is_not_bought_with_a_broken_promise():
    stops = [
        a_stop("a", 10, promise_until_min=495, told=True, service_min=520 - 30),
        a_stop("x", 10, prize_min=400, open_until_min=490),
    ]

    assert only_reason(stops) == ("makes_late", {"crew": "lena", "stop": "a", "by_min": 25})


def test_its_own_promise_can_be_what_stands_in_the_way():
    stops = [
        a_stop("a", 10, told=True, promise_until_min=490),
        a_stop("x", 10, prize_min=400, promise_until_min=500),
    ]

    assert only_reason(stops) == (
        "promise_not_reachable",
        {"until_min": 500, "earliest_min": 520},
    )


def test_nobody_at_work():
    plan = plan_day(DayProblem(stops=(a_stop("x"),), crews=(), travel=a_day([]).travel))

    assert plan.left_out[0].reasons[0].code == "nobody_works"


def test_each_crew_that_could_come_has_its_own_reason():
    stops = [
        a_stop("a", 10, service_min=500, told=True, only_crew="lena"),
        a_stop("b", 10, service_min=460, told=True, only_crew="mo"),
        a_stop("x", 10, service_min=60),
    ]
    crews = [a_crew("lena"), a_crew("mo", shift_until_min=1000)]

    plan = plan_day(a_day(stops, crews), iterations=100)

    told = [
        (reason.code, reason["crew"], reason["over_min"]) for reason in plan.left_out[0].reasons
    ]
    assert told == [("day_full", "lena", 40), ("day_full", "mo", 20)]
