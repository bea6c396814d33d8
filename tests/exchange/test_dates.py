"""Days in cells: ambiguous ones are left open, everything else is read."""

from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from servicedesk.exchange.dates import MONTH, day_order, full_year, read_day

TODAY = date(2026, 10, 14)
MARCH_4 = date(2025, 3, 4)
days = st.dates(date(1950, 1, 1), date(2046, 12, 31))


def read(text, day_first=None, **more):
    return read_day(text, day_first=day_first, today=TODAY, **more)


@pytest.mark.parametrize(
    "text",
    ["2025-03-04", "2025/3/4", "Mar 4 2025", "4 Mar 2025", "4-Mar-25", "March 4th, 2025",
     "Tue, 4 March 2025", "4 de marzo de 2025", "4. März 2025", "2025-03-04T10:00", "04MAR2025",
     "Mar. 4, '25"],
)  # fmt: skip
def test_a_writing_that_needs_no_order_is_read(text):
    assert read(text).on == MARCH_4


@pytest.mark.parametrize("text", ["3/4/2025", "3-4-25", "3.4.2025", "03 / 04 / 2025"])
def test_an_ambiguous_day_is_never_guessed(text):
    assert read(text).on is None
    assert read(text).either == (MARCH_4, date(2025, 4, 3))
    assert read(text, day_first=False).on == MARCH_4
    assert read(text, day_first=True).on == date(2025, 4, 3)


def test_a_number_above_twelve_speaks_for_itself_whatever_the_order():
    for day_first in (None, True, False):
        assert read("4/13/2025", day_first).on == date(2025, 4, 13)
        assert read("13/4/2025", day_first).on == date(2025, 4, 13)
        assert read("7/7/2025", day_first).on == date(2025, 7, 7)


def test_one_date_settles_the_order_of_the_file():
    assert day_order(["3/4/2025", "5/6/2025", "13/6/2025"]).day_first is True
    assert day_order(["3/4/2025", "5/6/2025", "6/13/2025"]).day_first is False


def test_without_such_a_date_it_must_be_asked_with_examples():
    order = day_order(["3/4/2025", "2025-04-13", "7/7/2025", "Mar 3 2025"])

    assert order.must_ask
    assert order.open == ("3/4/2025",)


def test_dates_that_speak_for_both_orders_settle_nothing():
    order = day_order(["3/4/2025", "13/6/2025", "6/13/2025"])

    assert order.must_ask
    assert (order.for_day, order.for_month) == (("13/6/2025",), ("6/13/2025",))


def test_nothing_is_asked_where_no_date_is_ambiguous():
    assert not day_order(["5/5/2025", "2025-04-13", "", "ok"]).must_ask


def test_words_beside_a_day_are_kept():
    assert read("5/13/26 ok, chlorine low").rest == "ok, chlorine low"
    assert read("locked gate 5/22/24").rest == "locked gate"
    assert read("4/13/2025 10:15 AM").rest == ""


def test_a_month_alone_is_marked():
    for text in ("Mar 2025", "Mar-25", "3/2025", "2025-03", "March '25"):
        assert (read(text).on, read(text).precision) == (date(2025, 3, 1), MONTH), text


def test_a_heading_completes_a_day_without_a_year():
    assert read("3/24", year=2025).on == date(2025, 3, 24)
    assert read("Mar 4", year=2025).on == MARCH_4
    assert read("3/24").on is None


def test_a_day_no_calendar_has_is_marked():
    assert read("2/30/2025").impossible
    assert read("2025-02-29").impossible
    assert not read("2024-02-29").impossible


def test_a_serial_number_is_a_day_and_says_so():
    # spreadsheet serial 45720 is 2025-03-04: 1899-12-30 + 45720 days, computed
    assert read("45720").on == MARCH_4
    assert read(45720.0).was_serial
    assert read(12).on is None


def test_real_dates_pass_through():
    assert read(datetime(2025, 3, 4, 9, 30)).on == MARCH_4
    assert read(MARCH_4).on == MARCH_4


@pytest.mark.parametrize(
    "text", ["n/a", "ok", "", "unknown", "1st quarter", "555-0142", "12 Mill Lane"]
)
def test_what_is_no_day_gives_none(text):
    assert read(text).on is None


def test_two_digits_of_a_year_lie_around_today():
    assert full_year("46", TODAY) == 2046
    assert full_year("47", TODAY) == 1947
    assert full_year("98", TODAY) == 1998
    assert full_year("27", date(1999, 1, 1)) == 1927


@given(
    days,
    st.sampled_from(["%Y-%m-%d", "%d %b %Y", "%B %d, %Y", "%d-%b-%Y", "%Y/%m/%d", "%G-W%V-%u"]),
)
def test_a_day_written_without_doubt_comes_back(day, form):
    assert read(day.strftime(form)).on == day


@given(days, st.booleans(), st.sampled_from("/.-"))
def test_a_day_written_in_a_known_order_comes_back(day, day_first, mark):
    form = f"%d{mark}%m{mark}%Y" if day_first else f"%m{mark}%d{mark}%Y"

    assert read(day.strftime(form), day_first).on == day


@given(days)
def test_an_open_day_holds_the_true_one(day):
    either = read(day.strftime("%m/%d/%Y"))

    assert either.on == day or day in either.either


@given(st.integers(0, 79), st.integers(2000, 2060))
def test_a_short_year_is_within_the_hundred_around_today(back, year):
    today = date(year, 6, 1)
    meant = year + 20 - back

    assert full_year(f"{meant % 100:02d}", today) == meant


@given(days)
def test_a_serial_comes_back(day):
    serial = (day - date(1899, 12, 30)) / timedelta(days=1)

    assert read(serial).on == (day if serial >= 20000 else None)


@given(st.text(max_size=30))
def test_no_text_trips_the_reader(text):
    read(text)
    day_order([text])
