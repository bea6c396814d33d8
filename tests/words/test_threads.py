"""Threads in words."""

from dataclasses import dataclass
from datetime import date

import pytest

from servicedesk.words.formats import Formats
from servicedesk.words.threads import chance_text, length_text, quiet_text, span_text

TODAY = date(2026, 10, 14)


@dataclass
class Told:
    days: int | None = 59
    fix: str = "reset only"
    holds: float | None = 0.448
    passes_90_on: date | None = date(2028, 2, 3)
    is_over: bool = False


@pytest.mark.parametrize(
    ("n", "days", "text"),
    [
        (1, 0, "1 call"),
        (2, 0, "2 calls on one day"),
        (2, 1, "2 calls in 1 day"),
        (3, 45, "3 calls in 45 days"),
        (5, 700, "5 calls in 23 months"),
    ],
)
def test_how_many_calls_in_how_long(n, days, text):
    assert span_text(n, days) == text


def test_months_begin_at_a_month_and_a_half_and_years_at_five():
    assert [length_text(days) for days in (1, 45, 46, 365, 1810, 1827)] == [
        "1 day", "45 days", "2 months", "12 months", "59 months", "5 years",
    ]  # fmt: skip


def test_every_kind_of_fix_has_words_of_its_own():
    kinds = ["cause fixed", "fixed", "workaround", "reset only", "no fault found", "nobody"]
    kinds.append("nothing said")

    texts = [quiet_text(Told(fix=kind), Formats()) for kind in kinds]

    assert len(set(texts)) == len(kinds)
    assert all(text.startswith("quiet 59 days since ") for text in texts)
    assert quiet_text(Told(days=None), Formats()) == "a call is waiting"


def test_the_chance_with_its_day():
    said = {
        "45% that it holds; 90% on Feb 3, 2028 if it stays quiet": Told(),
        "95% that it holds; over 90% since Mar 3": Told(
            holds=0.95, passes_90_on=date(2026, 3, 3), is_over=True
        ),
        "12% that it holds; no day in sight for 90%": Told(holds=0.12, passes_90_on=None),
        "": Told(holds=None, passes_90_on=None),
    }
    for text, told in said.items():
        assert chance_text(told, Formats(), TODAY) == text
    # nothing is ever said to be certain
    assert chance_text(Told(holds=0.9999), Formats(), TODAY).startswith("99%")
