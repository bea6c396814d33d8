"""Written days against the worked values of ISO 8601 (tests/data)."""

import json
from datetime import date
from pathlib import Path

import pytest

from servicedesk.exchange.dates import day_order, read_day

CHECKS = json.loads(
    (Path(__file__).parents[1] / "data" / "exchange_standards.json").read_text(encoding="utf-8")
)["checks"]
WEEKS = [c for c in CHECKS if c["standard"] == "ISO 8601 week dates"]
DAY = next(c for c in CHECKS if c["id"] == "iso8601-date")
TODAY = date(2026, 10, 14)


@pytest.mark.parametrize("check", WEEKS, ids=lambda check: check["id"])
def test_a_week_date_is_the_day_of_the_standard(check):
    read = read_day(check["expected"]["text"], day_first=None, today=TODAY)

    assert read.on == date.fromisoformat(check["input"])


def test_a_calendar_date_needs_no_order_of_day_and_month():
    wanted = date(DAY["input"]["year"], DAY["input"]["month"], DAY["input"]["day"])

    for day_first in (None, True, False):
        assert read_day(DAY["expected"], day_first=day_first, today=TODAY).on == wanted
    assert not day_order([DAY["expected"]]).must_ask


def test_the_short_form_of_the_standard_is_read_too():
    # ISO 8601 basic format, from memory
    assert read_day("20021204", day_first=None, today=TODAY).on == date(2002, 12, 4)
