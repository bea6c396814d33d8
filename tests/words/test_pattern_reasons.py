"""Every reason that patterns and lives can give has its sentence."""

import ast
from pathlib import Path

import pytest

from servicedesk.values.reason import Reason
from servicedesk.words.formats import Formats
from servicedesk.words.pattern_reasons import PATTERN_TELLERS
from servicedesk.words.reasons import known_codes, reason_text

ROOT = Path(__file__).parents[2] / "servicedesk" / "trouble"
FILES = ("patterns.py", "replacement.py", "trend.py")


def codes_given() -> set[str]:
    found = set()
    for name in FILES:
        for node in ast.walk(ast.parse((ROOT / name).read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "Reason.of":
                found.add(node.args[0].value)
    return found


def test_every_code_has_words():
    assert codes_given() - known_codes() == set()
    assert len(codes_given()) >= 9  # else the search finds nothing any more
    assert set(PATTERN_TELLERS) <= known_codes()


@pytest.mark.parametrize(
    ("reason", "text"),
    [
        (Reason.of("few_events", n=2, least=5), "too few to say: 2 seen, 5 are needed"),
        (
            Reason.of("few_years", years=4.26, least=10.0),
            "too few to say: watched for 4.3 years together, 10 are needed",
        ),
        (
            Reason.of("goes_with_age", times=1.31, low=0.8, high=2.04),
            "among units of the same age 1.3 times as often (0.8 to 2): age may explain it",
        ),
        (
            Reason.of("wear_out_not_shown", low=0.84, high=2.4),
            "wear-out not shown (shape 0.8 to 2.4 covers 1): replacing early does not pay",
        ),
        (
            Reason.of("saves_too_little", share=0.031),
            "replacing early would save 3%: not worth it",
        ),
        (
            Reason.of("saves_too_little", share=0.0),
            "waiting until it fails is cheaper than replacing early",
        ),
        (
            Reason.of("counted_call", n=709, minutes=50, drive_min=26),
            "a callback takes 50 min on site and 26 min driving (middle of 709 visits)",
        ),
        (
            Reason.of("assumed_hour", minor=6500, currency="USD"),
            "assumed: an hour of work or driving costs $65.00; your own figure is not written",
        ),
    ],
)
def test_a_reason_reads_like_this(reason, text):
    assert reason_text(reason, Formats()) == text
