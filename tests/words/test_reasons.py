"""Every reason that a calculation can give has its words."""

import ast
import re
from datetime import date
from pathlib import Path

import pytest

from servicedesk.values.reason import Reason
from servicedesk.words.formats import Formats
from servicedesk.words.reasons import known_codes, reason_text

ROOT = Path(__file__).parents[2] / "servicedesk"
# the second look at a plan (a mistake of ours) and faults in knowledge files have their own words
NOT_FOR_PEOPLE = {"feasible.py", "period_feasible.py"}


def codes_given() -> set[str]:
    found = set()
    for room in ("duties", "travel", "routes", "desk"):
        for path in (ROOT / room).glob("*.py"):
            if path.name in NOT_FOR_PEOPLE:
                continue
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                called = isinstance(node, ast.Call) and ast.unparse(node.func) == "Reason.of"
                if called and node.args and isinstance(node.args[0], ast.Constant):
                    found.add(node.args[0].value)
    return found


def test_every_code_has_words():
    assert codes_given() - known_codes() == set()
    assert len(codes_given()) > 25  # else the search above finds nothing any more


def test_no_code_shows_through_in_a_sentence():
    sample = Reason.of("day_full", crew="2", over_min=65)

    text = reason_text(sample, Formats(), {"2": "Lena"})

    assert text == "the day is full: Lena would be home 65 min too late"
    assert not re.search(r"[a-z]_[a-z]", text)


@pytest.mark.parametrize(
    ("reason", "text"),
    [
        (
            Reason.of("attempted", n=2, last_on=date(2026, 10, 3)),
            "tried 2 times, last on Oct 3, 2026",
        ),
        (Reason.of("early_within_tolerance", days=1), "1 day early, within the tolerance"),
        (Reason.of("by_rule", rule="x", form="working_days", n=5), "the rule gives 5 working days"),
        (
            Reason.of(
                "wholly_closed",
                before_on=date(2026, 11, 1),
                before_counts=True,
                after_on=date(2027, 4, 1),
                after_within_rule=False,
            ),
            (
                "the site is closed for all of it, Nov 1, 2026 before it still counts, "
                "the first open day after it is Apr 1, 2027"
            ),
        ),
    ],
)
def test_a_reason_reads_like_this(reason, text):
    assert reason_text(reason, Formats()) == text
