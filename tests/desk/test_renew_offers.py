"""Offers that left: in the register byte for byte, reminded of once, never offered twice."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from email import message_from_bytes
from email.policy import default
from hashlib import sha256
from io import BytesIO

import pytest
from pypdf import PdfReader

from servicedesk.desk import year_files
from servicedesk.desk.changes import undo
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.deadlines import deadlines
from servicedesk.desk.letter_wording import REMINDER
from servicedesk.desk.renew import Accepted, let_end, renew_many, set_price
from servicedesk.desk.renew_decide import Chosen, decide
from servicedesk.desk.renew_offers import not_offered, send_offers, unanswered
from servicedesk.desk.renew_sent import REMIND_DAYS, offers_of
from servicedesk.desk.renewals import renewals
from servicedesk.desk.report_register import register
from servicedesk.desk.reports import sent_pdf
from servicedesk.desk.year_files import send_and_write
from servicedesk.records.contracts import Contract
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.people import Customer
from servicedesk.values.money import Money
from servicedesk.values.progress import quiet
from servicedesk.values.trouble import Stopped, Trouble
from tests.builders import TODAY, a_contract, a_customer, a_site

SPAN = {"since": date(2026, 11, 1), "until": date(2027, 1, 1)}


@pytest.fixture
def desk(file_desk):
    for address, name in (("118 Dry Hollow Lane", "Quillan"), ("40 Old Weir", "Hobb")):
        site = a_site(file_desk, address, owner=a_customer(file_desk, name))
        contract = a_contract(file_desk, site, from_on=date(2025, 12, 1),
                              until_on=date(2026, 12, 1), price_minor=43000)  # fmt: skip
        set_price(file_desk, contract.id, Money(45500, "USD"))
        decide(file_desk, [Chosen(contract.id)], "renew")
    return file_desk


def at(desk, day):
    noon = datetime.combine(day, datetime.min.time(), UTC) + timedelta(hours=17)
    return replace(desk, clock=replace(desk.clock, now_utc=lambda: noon))


def ids(page):
    return [line.contract_id for line in page.lines]


def page_of(desk):
    return renewals(desk, **SPAN)


def papers(desk):
    with desk.store.read() as session:
        return session.query(PaperSent).order_by(PaperSent.id).all()


def test_an_offer_is_kept_byte_for_byte_with_number_way_and_day(desk):
    page = renewals(desk, **SPAN)
    sent = send_offers(desk, page, ids(page), how="letter")

    rows = register(desk, first=TODAY, until=TODAY + timedelta(days=1))
    assert [(row.kind_of, row.how, row.to_whom, row.address) for row in rows] == [
        ("offer", "letter", "Quillan", "118 Dry Hollow Lane"),
        ("offer", "letter", "Hobb", "40 Old Weir"),
    ]
    for row, paper in zip(rows, sent.papers, strict=True):
        assert sent_pdf(desk, row.paper_id) == paper.pdf
        assert row.sha256 == sha256(paper.pdf).hexdigest()
        text = " ".join(PdfReader(BytesIO(paper.pdf)).pages[0].extract_text().split())
        assert f"Number {row.number}" in text
        assert "$455.00" in text
    assert len(PdfReader(BytesIO(sent.merged)).pages) == 2
    with pytest.raises(Trouble, match="left the house"):
        undo(desk, sent.changed.change_id)


def test_what_was_offered_is_not_offered_twice(desk):
    page = renewals(desk, **SPAN)
    assert [line.contract_id for line in not_offered(page, offers_of(desk))] == ids(page)
    send_offers(desk, page, ids(page)[:1], how="letter")

    assert [line.contract_id for line in not_offered(page, offers_of(desk))] == ids(page)[1:]
    with pytest.raises(Trouble, match="offered on Oct 14, 2026 already"):
        send_offers(desk, page, ids(page), how="letter")
    assert len(papers(desk)) == 1


def test_nobody_is_reminded_twice_and_who_answered_is_not_reminded(desk):
    page = renewals(desk, **SPAN)
    send_offers(desk, page, ids(page), how="letter")
    early = at(desk, TODAY + timedelta(days=REMIND_DAYS - 1))
    assert unanswered(renewals(early, **SPAN), offers_of(early), to_remind=True) == []

    later = at(desk, TODAY + timedelta(days=REMIND_DAYS))
    page = renewals(later, **SPAN)
    due = unanswered(page, offers_of(later), to_remind=True)
    assert [line.contract_id for line in due] == ids(page)
    sent = send_offers(later, page, ids(page)[:1], how="letter", kind=REMINDER)
    text = " ".join(PdfReader(BytesIO(sent.merged)).pages[0].extract_text().split())
    assert "On Oct 14, 2026 we sent you our offer" in text
    with pytest.raises(Trouble, match="reminded on Nov 4, 2026 already"):
        send_offers(later, page, ids(page)[:1], how="letter", kind=REMINDER)
    due = unanswered(page, offers_of(later), to_remind=True)
    assert [line.contract_id for line in due] == ids(page)[1:]

    # long after the reminder somebody calls: no second letter
    much_later = at(desk, TODAY + timedelta(days=2 * REMIND_DAYS + 20))
    due = unanswered(page_of(much_later), offers_of(much_later), to_remind=True)
    assert [line.contract_id for line in due] == ids(page)[1:]

    renew_many(later, [Accepted(ids(page)[1], Money(45500, "USD"))])
    page = renewals(later, **SPAN)
    assert [line.contract_id for line in unanswered(page, offers_of(later))] == ids(page)[:1]
    let_end(later, ids(page)[0], "moves away")
    assert unanswered(renewals(later, **SPAN), offers_of(later)) == []


def test_a_reminder_of_nothing_a_day_to_come_and_a_strange_way_are_refused(desk):
    page = renewals(desk, **SPAN)
    with pytest.raises(Trouble, match="not offered yet"):
        send_offers(desk, page, ids(page), how="letter", kind=REMINDER)
    with pytest.raises(WrongEntry, match="still to come"):
        send_offers(desk, page, ids(page), how="letter", sent_on=TODAY + timedelta(days=1))
    with pytest.raises(WrongEntry, match="how it goes"):
        send_offers(desk, page, ids(page), how="pigeon")
    assert papers(desk) == []


def test_a_run_that_is_stopped_writes_nothing(desk):
    page = renewals(desk, **SPAN)

    def stop(done, _total, _note=""):
        if done == 1:
            raise Stopped

    with pytest.raises(Stopped):
        send_offers(desk, page, ids(page), how="letter", progress=stop)
    assert papers(desk) == []
    first = send_offers(desk, page, ids(page), how="letter", progress=quiet).papers[0]
    assert first.number == 3  # the two numbers taken before are not given again


def contracts(desk):
    with desk.store.read() as session:
        return session.query(Contract).filter_by(stage="draft").order_by(Contract.id).all()


def test_a_decision_by_hand_stands_until_it_is_taken_back(desk):
    page = renewals(desk, **SPAN)
    first = page.lines[0]
    before = [(draft.note, draft.price_minor) for draft in contracts(desk)]
    changed = decide(desk, [Chosen(first.contract_id, first.revision)], "call_first")
    line = renewals(desk, **SPAN).lines[0]
    assert (line.decision, line.is_decided) == ("call_first", True)
    assert line.proposed == page.lines[0].proposed
    assert line.price.next_minor == 45500

    undo(desk, changed.change_id)
    assert [(draft.note, draft.price_minor) for draft in contracts(desk)] == before
    decide(desk, [Chosen(first.contract_id)], "")
    assert not renewals(desk, **SPAN).lines[0].is_decided


def test_a_decision_without_a_price_makes_a_draft_without_one(file_desk):
    site = a_site(file_desk)
    contract = a_contract(file_desk, site, from_on=date(2025, 12, 1), until_on=date(2026, 12, 1),
                          price_minor=43000)  # fmt: skip
    decide(file_desk, [Chosen(contract.id)], "after_visit")
    (draft,) = contracts(file_desk)
    assert (draft.price_minor, draft.follows_id) == (None, contract.id)
    line = renewals(file_desk, **SPAN).lines[0]
    assert (line.decision, line.price.hand_minor) == ("after_visit", 0)

    renew_many(file_desk, [Accepted(contract.id, Money(44000, "USD"))])
    with file_desk.store.read() as session:
        running = session.get(Contract, draft.id)
    assert (running.stage, running.note, running.price_minor) == ("running", "", 44000)


def test_what_was_to_end_goes_on_when_decided_otherwise(desk):
    page = renewals(desk, **SPAN)
    key = page.lines[0].contract_id
    let_end(desk, key, "sold")
    decide(desk, [Chosen(key)], "raise")
    line = renewals(desk, **SPAN).lines[0]

    assert line.decision == "raise"
    with desk.store.read() as session:
        assert session.get(Contract, key).ended_on is None
    with pytest.raises(ValueError, match="none of"):
        decide(desk, [Chosen(key)], "maybe")


def test_an_offer_without_an_answer_is_in_the_list_of_deadlines_until_it_is_answered(desk):
    page = renewals(desk, **SPAN)
    send_offers(desk, page, ids(page), how="letter")

    def waiting(at_desk):
        return [
            (line.what, line.due_on, line.is_legal, line.ids)
            for line in deadlines(at_desk, kind="contract") if line.duty == "offer"
        ]  # fmt: skip

    first, second = waiting(desk)
    assert first[0].startswith("Remind of the offer for contract")
    assert first[1:3] == (TODAY + timedelta(days=REMIND_DAYS), False)
    renew_many(desk, [Accepted(first[3][0], Money(45500, "USD"))])
    assert waiting(desk) == [second]
    let_end(desk, second[3][0], "moves away")
    assert waiting(desk) == []


def test_an_offer_by_mail_becomes_a_draft_that_python_reads(desk, monkeypatch, tmp_path):
    # the standard library's parser of RFC 5322 is the second opinion
    folder = tmp_path / "papers"
    monkeypatch.setattr(year_files, "papers_folder", lambda _place: folder)
    desk = replace(desk, company=replace(desk.company, email="office@example.org"))
    with desk.store.change("Ines", "Mail") as work:
        quillan = work.session.query(Customer).filter_by(name="Quillan").one()
        quillan.email = "quillan@example.org"
    page = page_of(desk)
    (_, names, _), _ = send_and_write(desk, page, ids(page), how="email")

    mails = {name: message_from_bytes((folder / "year" / name).read_bytes(), policy=default)
             for name in names if name.endswith(".eml")}  # fmt: skip
    first, second = mails.values()
    assert (first["To"], second["To"]) == ("Quillan <quillan@example.org>", None)
    assert "118 Dry Hollow Lane" in first["Subject"]
    (letter,) = first.iter_attachments()
    paper = papers(desk)[0]
    assert letter.get_content_type() == "application/pdf"
    assert sha256(letter.get_content()).hexdigest() == paper.sha256


def test_offers_by_mail_need_the_companys_own_address(desk):
    desk = replace(desk, company=replace(desk.company, email=""))
    page = page_of(desk)
    with pytest.raises(Trouble, match="no e-mail address"):
        send_offers(desk, page, ids(page), how="email")

    assert not papers(desk)
