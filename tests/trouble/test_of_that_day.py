"""What was so on the day of an earlier call says nothing of today's (common practice, no source)."""

import pytest

from servicedesk.trouble.causes import rank
from tests.trouble.findings import KNOWN, case, visit

HIGH = "high-water-alarm"


def chance(cause: str, *visits) -> float:
    return rank(case(HIGH, earlier=visits), KNOWN).chance(cause)


def asked(days: int, *found: str):
    return visit(days, "no fault found", *found)


@pytest.mark.parametrize(
    ("cause", "heard"),
    [
        ("heavy-use-day", "ask-water-use=heavy"),
        ("storm-inflow-passed", "ask-recent-rain=heavy"),
    ],
)
def test_one_day_long_ago_speaks_for_nothing_each_time_does(cause, heard):
    silent = chance(cause, asked(90), asked(30))
    assert chance(cause, asked(90, heard), asked(30)) == pytest.approx(silent)
    assert chance(cause, asked(90, heard), asked(30, heard)) > 1.2 * silent


def test_heard_otherwise_the_next_time_it_says_nothing():
    mixed = chance(
        "heavy-use-day", asked(90, "ask-water-use=heavy"), asked(30, "ask-water-use=usual")
    )
    assert mixed == pytest.approx(chance("heavy-use-day", asked(90), asked(30)))


def test_asked_in_this_very_call_it_counts():
    silent = rank(case(HIGH), KNOWN).chance("heavy-use-day")
    assert rank(case(HIGH, "ask-water-use=heavy"), KNOWN).chance("heavy-use-day") > 1.5 * silent
