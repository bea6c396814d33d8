"""Offer letters: the text of the PDF read back by another library."""

from datetime import date
from io import BytesIO

import pytest
from pypdf import PdfReader

from servicedesk.desk.changes import undo
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.letter_wording import (
    OFFER,
    check_wording,
    letter_kind,
    letter_kinds,
    wording_of,
    write_wording,
    wrong_wording,
)
from servicedesk.desk.renew import set_price
from servicedesk.desk.renewal_letters import renewal_letters
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
        check_wording(wording, letter_kind(OFFER).fields)


def test_no_offer_is_told(file_desk, page):
    with pytest.raises(Trouble, match="no offer"):
        renewal_letters(file_desk, page, contract_ids=[])


def test_the_company_keeps_its_own_wording_and_takes_it_back(file_desk, page):
    ours = wording_of(file_desk, OFFER)
    assert not ours.is_own
    changed = write_wording(file_desk, OFFER, "Good day {holder}: {price}.", seen=ours.seen)
    text = text_of(renewal_letters(file_desk, page, contract_ids=ids(page)[:1]).merged)[0]
    assert "Good day Quillan {Ruth}: $455.00." in text

    undo(file_desk, changed.change_id)
    assert wording_of(file_desk, OFFER).text == ours.text
    write_wording(file_desk, OFFER, "{price}")
    write_wording(file_desk, OFFER, ours.text)
    assert not wording_of(file_desk, OFFER).is_own


def test_a_field_that_does_not_exist_names_the_nearest_and_nothing_is_kept(file_desk, page):
    with pytest.raises(
        WrongEntry, match=r"“prise”, which is no field; the nearest is {price}"
    ) as e:
        write_wording(file_desk, OFFER, "At {prise} for {holder}.")

    assert e.value.wrong[0].meant == "At {price} for {holder}."
    assert not wording_of(file_desk, OFFER).is_own
    assert wrong_wording("{zzz}", ("price",)) == "The wording asks for “zzz”, which is no field."


def test_our_own_wording_asks_for_fields_that_exist():
    for kind in letter_kinds():
        check_wording(kind.ours, kind.fields)


def test_wording_spoiled_in_the_store_prints_nothing(file_desk, page):
    # as another program, or an older one with other fields, may have left it
    from servicedesk.records.company import Company

    with file_desk.store.change("Ines", "Wrote texts") as work:
        work.session.query(Company).one().texts = {OFFER: "{oldfield}"}
    with pytest.raises(Trouble, match="“oldfield”"):
        renewal_letters(file_desk, page, contract_ids=ids(page))


def test_the_letter_before_a_second_attempt_is_worded_by_the_company_too(file_desk):
    from datetime import date as day

    from servicedesk.desk.letter_wording import SECOND_ATTEMPT
    from servicedesk.desk.reports import Wanted, draft_pdf
    from servicedesk.records.visits import Job
    from tests.builders import a_done_visit

    site = a_site(file_desk)
    a_contract(file_desk, site)
    outcome = {"outcome": "could not", "could_not": "no access"}
    a_done_visit(file_desk, site, day(2026, 10, 1), job=outcome)
    with file_desk.store.read() as session:
        job_id = session.query(Job).one().id
    ours = " ".join(text_of(draft_pdf(file_desk, Wanted(job_id, "owner", letter=True))))
    assert "You reach us at 409-555-0100." in ours

    write_wording(file_desk, SECOND_ATTEMPT, "We stood at {address}.\n\nRing {phone}.")
    own = " ".join(text_of(draft_pdf(file_desk, Wanted(job_id, "owner", letter=True))))
    assert "We stood at 118 Dry Hollow Lane." in own
    assert "Ring 409-555-0100." in own
    assert "You reach us" not in own
