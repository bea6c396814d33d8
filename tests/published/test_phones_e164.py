"""Phone numbers against the worked values of E.164 and the numbering plan (tests/data)."""

import json
from pathlib import Path

import pytest

from servicedesk.exchange.phones import NOT_POSSIBLE, TOO_LONG, phones_in

CHECKS = json.loads(
    (Path(__file__).parents[1] / "data" / "exchange_standards.json").read_text(encoding="utf-8")
)["checks"]
E164 = [c for c in CHECKS if c["standard"] == "E.164" and isinstance(c["input"], dict)]
NANP = next(c for c in CHECKS if c["id"] == "nanp-pattern")


@pytest.mark.parametrize("check", E164, ids=lambda check: check["id"])
def test_a_number_gets_the_form_of_the_standard(check):
    (phone,) = phones_in(check["input"]["typed"], check["input"]["home_country"])

    assert phone.e164 == check["expected"]["e164"]
    assert phone.extension == (check["expected"]["extension"] or "")
    assert phone.typed == check["input"]["typed"]


def test_sixteen_digits_are_too_long():
    # source: check e164-too-long of tests/data/exchange_standards.json (ITU-T E.164: 15 digits)
    (phone,) = phones_in("+1234567890123456", "US")

    assert (phone.e164, phone.problem) == (None, TOO_LONG)


@pytest.mark.parametrize("typed", NANP["input"]["valid"])
def test_the_numbering_plan_accepts_two_to_nine_in_front(typed):
    (phone,) = phones_in(typed, "US")

    assert phone.problem == ""


@pytest.mark.parametrize("typed", NANP["input"]["invalid"])
def test_the_numbering_plan_refuses_zero_and_one_in_front(typed):
    (phone,) = phones_in(typed, "US")

    assert (phone.e164, phone.problem) == (None, NOT_POSSIBLE)


@pytest.mark.parametrize("last", [100, 142, 199])
def test_numbers_of_stories_are_accepted(last):
    # source: check nanp-fiction of tests/data/exchange_standards.json (555-0100 to 555-0199)
    (phone,) = phones_in(f"802-555-0{last}", "US")

    assert phone.e164 == f"+18025550{last}"
