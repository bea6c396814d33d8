"""Names, intervals, prices and addresses in cells. The writings are common practice, no source."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from servicedesk.exchange.addresses import address_key, split_address, town_state_postcode
from servicedesk.exchange.intervals import how_often
from servicedesk.exchange.names import HOUSEHOLD, ORGANISATION, owner_name
from servicedesk.exchange.prices import amount_of, price_in
from servicedesk.values.money import Money


@pytest.mark.parametrize(
    ("typed", "family", "given"),
    [
        ("Quillan, Ruth", "Quillan", "Ruth"),
        ("Ruth Quillan", "Quillan", "Ruth"),
        ("Ruth & Tom Quillan", "Quillan", "Ruth and Tom"),
        ("Quillan, Ruth & Tom", "Quillan", "Ruth and Tom"),
        ("Quillan Ruth & Tom", "Quillan", "Ruth and Tom"),
        ("QUILLAN, RUTH AND TOM", "QUILLAN", "RUTH and TOM"),
        ("Ruth Quillan and Tom Abbot", "Quillan and Abbot", "Ruth and Tom"),
        ("Ruth Quillan and Tom Quillan", "Quillan", "Ruth and Tom"),
        ("Mr & Mrs Tom Quillan", "Quillan", "Tom"),
        ("Dr. Ana de la Cruz", "de la Cruz", "Ana"),
        ("de la Cruz, Ana", "de la Cruz", "Ana"),
        ("Boyd van der Berg Jr.", "van der Berg", "Boyd"),
        ("Park, Ruth", "Park", "Ruth"),
        ("Tom Church", "Church", "Tom"),
        ("Quillan", "Quillan", ""),
    ],
)  # fmt: skip
def test_names_of_people_are_split(typed, family, given):
    name = owner_name(typed)

    assert (name.kind, name.family, name.given, name.typed) == (HOUSEHOLD, family, given, typed)


@pytest.mark.parametrize(
    "typed",
    ["Abbot Fen HOA", "Low Meadow Owners HOA", "Quarry Spur Works LLC", "St. Anne Church", "Heron Point Marina",
     "Wrenlock School", "Brisk Mere Camp", "The Ferry Inn", "Lot 12 Partners", "City of Wrenlock"],
)  # fmt: skip
def test_organizations_are_known(typed):
    assert owner_name(typed).kind == ORGANISATION


def test_a_heading_can_say_that_the_family_name_is_first():
    name = owner_name("Quillan Ruth", family_first=True)

    assert (name.family, name.given) == ("Quillan", "Ruth")


def test_brackets_and_care_of_become_a_note():
    assert owner_name("Quillan, Ruth (tenant: Tom)").note == "tenant: Tom"
    assert owner_name("Quillan, Ruth c/o Abbot Fen HOA").family == "Quillan"


@pytest.mark.parametrize(
    ("text", "per_year", "months"),
    [
        ("3x/yr", 3, None), ("3 x year", 3, None), ("3/yr", 3, None), ("3", 3, None), ("3.0", 3, None),
        ("three times a year", 3, None), ("thrice a year", 3, None), ("twice a year", 2, None),
        ("once/yr", 1, None), ("4 visits per year", 4, None), ("3 times annually", 3, None),
        ("every 4 mo", 3, 4), ("every four months", 3, 4), ("q4m", 3, 4), ("4mo", 3, 4), ("6 month", 2, 6),
        ("every other month", 6, 2), ("every 12 mos", 1, 12), ("every year", 1, 12),
        ("quarterly", 4, None), ("semi-annual", 2, None), ("annual", 1, None), ("monthly", 12, None),
        ("tri-annual", 3, None), ("biannual", 2, None), ("1x per month", 12, None), ("2 / quarter", 8, None),
    ],
)  # fmt: skip
def test_intervals_are_read(text, per_year, months):
    often = how_often(text)

    assert (often.per_year, often.every_months) == (per_year, months)
    assert not often.uneven


def test_a_bare_number_under_an_interval_counts_months():
    assert how_often("4", heading="Interval (months)").per_year == 3
    assert how_often("6", heading="Freq (mo)").per_year == 2
    assert how_often("4", heading="Visits per year").per_year == 4


def test_words_for_two_things_are_marked():
    assert all(how_often(text).doubtful for text in ("biannual", "tri-annual", "bi-monthly"))
    assert not how_often("semi-annual").doubtful


def test_what_does_not_divide_the_year_is_marked():
    assert (how_often("every 6 weeks").per_year, how_often("every 6 weeks").uneven) == (8, True)
    assert (how_often("every 2 years").per_year, how_often("every 2 years").every_months) == (
        None,
        24,
    )


def test_no_interval_owed_is_not_the_same_as_unknown():
    assert how_often("as needed").none_due
    assert not how_often("see contract").none_due
    assert how_often("see contract").per_year is None


@given(
    st.integers(1, 52),
    st.sampled_from(["{n}x/yr", "{n} per year", "{n}/year", "{n} visits a year", "{n}"]),
)
def test_visits_a_year_come_back(n, form):
    assert how_often(form.format(n=n)).per_year == n


@pytest.mark.parametrize(
    ("text", "comma", "minor", "currency", "per"),
    [
        ("$285", False, 28500, "USD", ""), ("285.00/yr", False, 28500, "USD", "year"),
        ("$95 per visit", False, 9500, "USD", "visit"), ("$24.50/mo", False, 2450, "USD", "month"),
        ("USD 1,285.50", False, 128550, "USD", ""), ("€ 285,00", True, 28500, "EUR", ""),
        ("1.285,50", True, 128550, "USD", ""), ("$1,285", False, 128500, "USD", ""), ("1 285,5", True, 128550, "USD", ""),
    ],
)  # fmt: skip
def test_prices_are_read(text, comma, minor, currency, per):
    price = price_in(text, currency="USD", decimal_comma=comma)

    assert (price.amount, price.per) == (Money(minor, currency), per)


def test_a_price_without_any_currency_is_a_number_only():
    price = price_in("285")

    assert (price.number, price.amount) == (Decimal(285), None)
    assert price_in("n/c", currency="USD").number is None


def test_a_currency_that_is_not_the_companys_is_said():
    assert price_in("€285", currency="USD").foreign == "EUR"
    assert price_in("$285", currency="CAD").amount == Money(28500, "CAD")


@given(st.decimals(0, 999999, places=2))
def test_amounts_come_back_in_both_manners(amount):
    american = f"{amount:,.2f}"
    european = american.translate(str.maketrans(",.", ".,"))

    assert amount_of(american) == amount
    assert amount_of(european, decimal_comma=True) == amount


def test_one_place_written_twice_has_one_key():
    assert address_key("12 Mill Lane", "Abbot Fen") == address_key("12 MILL LN.", "abbot fen")
    assert address_key("12 North Mill Road") == address_key("12 N. Mill Rd")
    assert address_key("12 Mill Lane") != address_key("14 Mill Lane")


def test_towns_states_and_postcodes_come_apart():
    assert town_state_postcode("Abbot Fen, TX 77650-1234") == ("Abbot Fen", "TX", "77650-1234")
    assert town_state_postcode("Abbot Fen 77650") == ("Abbot Fen", "", "77650")
    assert split_address("12 Mill Ln, Abbot Fen, TX 77650") == (
        "12 Mill Ln",
        "Abbot Fen",
        "TX",
        "77650",
    )
    assert split_address("12 Mill Ln, Apt 4") == ("12 Mill Ln, Apt 4", "", "", "")
