"""Dates, times, numbers and money as people read them (look and interaction, section 7)."""

from datetime import date
from decimal import Decimal

import pytest

from servicedesk.values.money import Money, rounded_minor
from servicedesk.words import languages, say, say_n
from servicedesk.words.formats import Formats, minor_digits

US = Formats("en_US")


def test_months_are_words_and_years_have_four_digits():
    assert US.day(date(2026, 10, 15), near=date(2026, 1, 1)) == "Oct 15"
    assert US.day(date(2025, 8, 5), near=date(2026, 1, 1)) == "Aug 5, 2025"
    assert US.month(date(2025, 8, 5)) == "Aug 2025"
    assert US.day(None) == "—"
    assert US.long_day(date(2026, 10, 15)) == "Thursday, October 15, 2026"
    assert US.weekday(date(2026, 10, 15)) == "Thu, Oct 15"


@pytest.mark.parametrize(
    ("minute", "text"),
    [
        (0, "12:00 am"),
        (463, "7:43 am"),
        (719, "11:59 am"),
        (720, "noon"),
        (721, "12:01 pm"),
        (810, "1:30 pm"),
        (1440 + 60, "1:00 am"),
    ],
)
def test_times(minute, text):
    assert US.time(minute) == text


@pytest.mark.parametrize(
    ("minutes", "text"),
    [
        (0, "0 min"),
        (8, "8 min"),
        (119, "119 min"),
        (120, "2 h 00"),
        (161, "2 h 41"),
        (-55, "−55 min"),
    ],
)
def test_lengths_of_time(minutes, text):
    assert US.minutes(minutes) == text


def test_signs_are_plus_and_true_minus():
    assert US.signed_minutes(5) == "+5 min"
    assert US.signed_minutes(-5) == "−5 min"
    assert US.number(-1234.5) == "−1,234.5"


def test_money_follows_the_currency():
    # digits: ISO 4217 as carried by CLDR (USD 2, JPY 0)
    assert US.money(Money(123456, "USD")) == "$1,234.56"
    assert US.money(Money(-50, "USD")) == "−$0.50"
    assert US.money(Money(1234, "JPY")) == "¥1,234"
    assert minor_digits("USD") == 2
    assert minor_digits("JPY") == 0


@pytest.mark.parametrize(
    ("amount", "minor"), [("0.5", 1), ("-0.5", -1), ("1.5", 2), ("2.5", 3), ("2.4999", 2)]
)
def test_half_a_cent_goes_away_from_zero(amount, minor):
    # half to even, Python's own rule, would give 0, 0, 2, 2
    assert rounded_minor(Decimal(amount)) == minor


def test_money_of_two_currencies_is_not_added():
    with pytest.raises(ValueError, match="USD and EUR"):
        Money(1, "USD") + Money(1, "EUR")


def test_a_language_needs_no_code(tmp_path, monkeypatch):
    from babel.messages.catalog import Catalog
    from babel.messages.mofile import write_mo

    catalogue = Catalog(locale="de")
    catalogue.add("noon", "Mittag")
    catalogue.add(("{n} day", "{n} days"), ("{n} Tag", "{n} Tage"))
    folder = tmp_path / "de" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    with (folder / "servicedesk.mo").open("wb") as file:
        write_mo(file, catalogue)
    monkeypatch.setattr(languages, "resource", lambda *_parts: tmp_path)

    languages.use("de")
    try:
        assert US.time(720) == "Mittag"
        assert US.days(3) == "3 Tage"
        assert say("a sentence without translation") == "a sentence without translation"
    finally:
        languages.use("en")
    assert say_n("{n} day", "{n} days", 1) == "1 day"
