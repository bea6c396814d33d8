"""Readings in words. Limits: Figure 30 TAC 285.91(4): chlorine 0.1 or more, coliform 200 or less."""

import pytest

from servicedesk.words.readings_said import is_outside, place_text, range_text, value_text


@pytest.mark.parametrize(
    ("value", "qualifier", "low", "high", "place"),
    [
        ("0.1", "=", "0.1", None, "within"),
        ("0.09", "=", "0.1", None, "below"),
        ("0.1", "<", "0.1", None, "below"),
        ("0.5", "<", "0.1", None, None),
        ("3.5", ">", "0.1", None, "within"),
        ("", "over range", "0.1", None, "within"),
        ("201", "=", None, "200", "above"),
        ("200", ">", None, "200", "above"),
        ("2", "<", None, "200", "within"),
        ("", "too many to count", None, "200", "above"),
        ("5.9", "=", "6", "9", "below"),
        ("9.0", "=", "6", "9", "within"),
        ("9.01", "=", "6", "9", "above"),
        ("5", "=", None, None, None),
    ],
)
def test_where_a_reading_lies(value, qualifier, low, high, place):
    assert is_outside(value, qualifier, "measured", low, high) == place


def test_a_reading_that_was_not_taken_lies_nowhere():
    assert is_outside("0", "=", "not measured", "0.1", None) is None
    assert value_text("", "mg/L", "=", "not measured") == "not measured"
    assert value_text("", "mg/L", "=", "not required") == "not required"
    assert place_text(None, "not measured", has_range=True) == ""


def test_values_and_ranges_in_words():
    assert value_text("0.40", "mg/L", "=", "measured") == "0.40 mg/L"
    assert value_text("0.1", "mg/L", "<", "measured") == "less than 0.1 mg/L"
    assert value_text("3.5", "mg/L", ">", "measured") == "more than 3.5 mg/L"
    assert value_text("", "", "too many to count", "measured") == "too many to count"
    assert value_text("7.2", "pH", "=", "measured") == "7.2"
    assert [range_text("6", "9"), range_text("0.1", None), range_text(None, "200")] == [
        "6 to 9", "0.1 or more", "200 or less",
    ]  # fmt: skip
    assert "BELOW" in place_text("below", "measured", has_range=True)
    assert place_text(None, "measured", has_range=False) == "measured, no range set"
