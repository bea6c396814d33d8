"""Offer letters: the text of the PDF read back by another library."""

from datetime import date
from io import BytesIO

import pytest
from pypdf import PdfReader

from servicedesk.desk.renew import set_price
from servicedesk.desk.renewal_letters import check_wording, renewal_letters
from servicedesk.desk.renewals import renewals
from servicedesk.values.money import Money
from servicedesk.values.trouble import Trouble
from tests.builders import a_contract, a_customer, a_site


@pytest.fixture
def page(file_desk):
    for address, name in (("118 Dry Hollow Lane", "Quillan {Ruth}"), ("40 Old Weir", "Hobb")):
        site = a_site(file_desk, address, owner=a_customer(file_desk, name))
        contract = a_contract(
            file_desk, site, from_on=date(2025, 10, 1), until_on=date(2026, 12, 1),
            price_minor=43000,
        )  # fmt: skip
        set_price(file_desk, contract.id, Money(45500, "USD"))
    return renewals(file_desk, until=date(2027, 1, 1))


def text_of(pdf):
    return [" ".join(sheet.extract_text().split()) for sheet in PdfReader(BytesIO(pdf)).pages]


def ids(page):
    return [line.contract_id for line in page.lines]


def test_each_letter_has_its_page_with_names_days_and_prices(file_desk, page):
    made = renewal_letters(file_desk, page, contract_ids=ids(page), single=True)
    first, second = text_of(made.merged)

    assert "Dear Quillan {Ruth}," in first
    assert "ends on Nov 30, 2026" in first
    assert "Dec 1, 2026 to Nov 30, 2027" in first
    assert "at $455.00. This year's price is $430.00" in first
    assert "40 Old Weir" in second
    assert [text_of(made.single[key]) for key in ids(page)] == [[first], [second]]


def test_the_company_s_own_wording_is_filled_in(file_desk, page):
    made = renewal_letters(
        file_desk, page, contract_ids=ids(page)[:1], wording="{change} more, {{so}} it is."
    )

    assert "$25.00 more, {so} it is." in text_of(made.merged)[0]


@pytest.mark.parametrize(
    ("wording", "said"),
    [("{prise}", "“prise”"), ("{price", "brace"), ("price}", "brace"), ("{}", "“”"),
     ("{price.real}", "“price.real”"), ("{price:d}", "“price:d”")],
)  # fmt: skip
def test_wording_that_cannot_be_filled_in_is_told_before_printing(wording, said):
    with pytest.raises(Trouble, match=said):
        check_wording(wording)


def test_no_offer_is_told(file_desk, page):
    with pytest.raises(Trouble, match="no offer"):
        renewal_letters(file_desk, page, contract_ids=[])
