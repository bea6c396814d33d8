"""What is typed into the form of a visit. The ways of writing are common practice, no source."""

from datetime import date

import pytest

from servicedesk.desk.writeup_read import day_of, minute_of, quantity_of, reading_of, reading_text
from servicedesk.values.reading import Qualifier, Reading, ReadingState

TODAY = date(2026, 10, 14)


@pytest.mark.parametrize(
    ("typed", "minute"),
    [
        ("905", 545),
        ("9:05", 545),
        ("9.05", 545),
        ("0905", 545),
        ("9", 540),
        ("9:05 am", 545),
        ("9:05 PM", 1265),
        ("1410", 850),
        ("2:10", 850),
        ("210", 850),
        ("2:10 am", 130),
        ("12:00 am", 0),
        ("12:30 pm", 750),
        ("noon", 720),
        ("0:15", 15),
        ("23:59", 1439),
        ("6:00", 360),
        (" 9:05a ", 545),
    ],
)
def test_a_time_is_understood_as_it_is_typed(typed, minute):
    assert minute_of(typed) == minute


@pytest.mark.parametrize(
    "typed", ["", "soon", "9:60", "24:00", "13 pm", "0 pm", "12345", "9:5", "-1", ":30"]
)
def test_what_is_no_time_is_none(typed):
    assert minute_of(typed) is None


def test_every_minute_as_the_office_writes_it_is_understood_again(desk_formats):
    assert [minute_of(desk_formats.time(m)) for m in range(1440)] == list(range(1440))


@pytest.fixture
def desk_formats():
    from servicedesk.words.formats import Formats

    return Formats()


@pytest.mark.parametrize(
    ("typed", "value", "qualifier", "state"),
    [
        ("0.40", "0.40", Qualifier.EQUAL, ReadingState.MEASURED),
        (" 7 ", "7", Qualifier.EQUAL, ReadingState.MEASURED),
        (".5", ".5", Qualifier.EQUAL, ReadingState.MEASURED),
        ("<0.1", "0.1", Qualifier.LESS, ReadingState.MEASURED),
        ("> 3.5", "3.5", Qualifier.GREATER, ReadingState.MEASURED),
        ("over range", "", Qualifier.OVER_RANGE, ReadingState.MEASURED),
        ("TNTC", "", Qualifier.TOO_MANY, ReadingState.MEASURED),
        ("too many to count", "", Qualifier.TOO_MANY, ReadingState.MEASURED),
        ("-", "", Qualifier.EQUAL, ReadingState.NOT_MEASURED),
        ("not required", "", Qualifier.EQUAL, ReadingState.NOT_REQUIRED),
    ],
)
def test_a_reading_keeps_its_digits_its_sign_and_its_state(typed, value, qualifier, state):
    wanted = Reading(value=value, unit="mg/L", qualifier=qualifier, state=state)
    assert reading_of(typed, "mg/L") == wanted
    assert reading_of(reading_text(wanted), "mg/L") == wanted


@pytest.mark.parametrize("typed", ["", "<", "high", "0,5", "1.2.3", "nan", "inf", "1e3", "<<1"])
def test_what_is_no_reading_is_none(typed):
    assert reading_of(typed, "mg/L") is None


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("Nov 30", date(2026, 11, 30)),
        ("30 november", date(2026, 11, 30)),
        ("Jan 5", date(2027, 1, 5)),
        ("Nov 30, 2027", date(2027, 11, 30)),
        ("2026-11-30", date(2026, 11, 30)),
        ("today", TODAY),
        ("tomorrow", date(2026, 10, 15)),
        ("10 days", date(2026, 10, 24)),
        ("2 weeks", date(2026, 10, 28)),
        ("1w", date(2026, 10, 21)),
    ],
)
def test_a_last_day_is_understood(typed, day):
    assert day_of(typed, TODAY) == day


@pytest.mark.parametrize("typed", ["", "soon", "3/4", "11.12.", "2026-13-01", "Feb 30", "someday"])
def test_a_day_that_would_have_to_be_guessed_is_none(typed):
    assert day_of(typed, TODAY) is None


@pytest.mark.parametrize(
    ("typed", "n"), [("", 1), ("3", 3), (" 12 ", 12), ("0", None), ("x", None)]
)
def test_how_many(typed, n):
    assert quantity_of(typed) == n
