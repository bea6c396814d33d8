"""Papers without a contract: a sale inspection, an estimate; and what a buyer never reads."""

from datetime import date
from io import BytesIO

import pypdfium2
import pytest

from servicedesk.desk.bills import bills
from servicedesk.desk.bills_out import bills_file
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.contract_sale import Sale, sell_house
from servicedesk.desk.estimates import EstimateGoing, estimate_draft, send_estimate
from servicedesk.desk.owed import approve, decline, owed_list
from servicedesk.desk.reports import Leaving, Wanted, draft_pdf, send_reports, sent_pdf
from servicedesk.desk.site_history_paper import history_paper
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.visits import Finding, ItemResult, Job
from servicedesk.values.trouble import Trouble
from tests.builders import (
    TODAY,
    a_contract,
    a_done_visit,
    a_site,
    a_technician,
    a_unit,
    a_visit,
    something_owed,
    system_of,
)

SOLD_ON = date(2026, 10, 1)


def text_of(pdf):
    """All words of a PDF, as any reader shows them."""
    with pypdfium2.PdfDocument(BytesIO(pdf)) as document:
        pages = [page.get_textpage().get_text_bounded() for page in document]
    return " ".join(" ".join(pages).split())


def job_of(desk, visit):
    with desk.store.read() as session:
        return session.query(Job).where(Job.visit_id == visit.id).one()


@pytest.fixture
def sale(file_desk):
    """A visit for a sale: screws missing at a lid, the pump heard, nobody saw the spray heads."""
    desk = file_desk
    site = a_site(desk)
    for component, state in (
        ("tank-riser-lid", "in service"),
        ("effluent-pump", "in service"),
        ("spray-heads", "in service"),
        ("air-compressor", "patched"),
    ):
        a_unit(desk, site, component, state=state)
    a_unit(desk, site, "timer", removed_on=date(2025, 1, 1), state="removed")
    visit = a_done_visit(desk, site, TODAY, kind_of="sale", job={"did": "Looked at all of it"})
    job = job_of(desk, visit)
    with desk.store.change("Ines", "Wrote it up") as work:
        work.add(ItemResult(job_id=job.id, item_id="lids-found", grade="watch",
                            answer="loose or screws missing"))  # fmt: skip
        work.add(ItemResult(job_id=job.id, item_id="odour-found", grade="not looked at"))
        work.add(
            Finding(visit_id=visit.id, system_id=job.system_id, check_id="pump-amps",
                    result_id="normal", found_at=desk.clock.now())
        )  # fmt: skip
    return desk, site, job


def test_the_paper_of_a_sale_inspection_says_each_part_and_promises_nothing(sale):
    desk, _, job = sale
    text = text_of(draft_pdf(desk, Wanted(job.id, "owner")))

    assert "Inspection for a sale" in text
    assert "To be watched:" in text
    state = text[text.index("State of each part") : text.index("What could not be seen")]
    assert "loose or screws missing" in state
    assert "patched, not lasting" in state
    assert "not looked at" in state  # the spray heads
    assert "imer" not in state  # it was taken out before
    unseen = text[text.index("What could not be seen") : text.index("What this paper says")]
    assert "pray head" in unseen
    assert "Odor within about 10 ft" in unseen
    assert "Nobody entered a tank." in unseen
    assert "It is no promise for the future" in text
    assert "October 14, 2026, and nothing more" in text


def test_a_part_is_not_seen_unless_somebody_looked(sale):
    desk, _, job = sale
    with desk.store.change("Ines", "Looked") as work:
        work.add(
            Finding(visit_id=job.visit_id, system_id=job.system_id, check_id="spray-watch",
                    result_id=None, found_at=desk.clock.now())
        )  # fmt: skip
    text = text_of(draft_pdf(desk, Wanted(job.id, "owner")))

    assert "pray head" in text[text.index("What could not be seen") :]


def test_a_sale_paper_is_numbered_kept_and_goes_to_whoever_ordered_it(sale):
    desk, _, job = sale
    leaving = Leaving(how="email", to_whom="Brand & Moor, agents\n2 Market Road")
    (sent,), _ = send_reports(desk, [Wanted(job.id, "owner")], leaving)

    kept = sent_pdf(desk, sent.paper_id)
    assert kept == sent.pdf
    text = text_of(kept)
    assert f"Report {sent.number}" in text
    assert "Brand & Moor, agents" in text
    assert "2 Market Road" in text
    assert "Quillan" not in text
    with desk.store.read() as session:
        assert session.get(PaperSent, sent.paper_id).kind_of == "sale inspection report"


def test_an_estimate_goes_is_kept_and_waits_for_its_answer(desk):
    site = a_site(desk)
    owed = something_owed(desk, site, needs="riser and nozzle", workaround="head tied up")
    with pytest.raises(Trouble, match="no amount yet"):
        estimate_draft(desk, owed.id)
    assert "Draft, not sent" in text_of(estimate_draft(desk, owed.id, amount_minor=18550))
    sent, _ = send_estimate(desk, owed.id, EstimateGoing(amount_minor=18550))

    assert sent_pdf(desk, sent.paper_id) == sent.pdf
    text = text_of(sent.pdf)
    assert f"Estimate {sent.number}" in text
    assert "Quillan, Ruth" in text
    assert "West spray head tied up" in text
    assert "$185.50" in text
    assert "an estimate and not a bill" in text
    (line,) = owed_list(desk)
    assert line.state_text == "estimate of $185.50 sent Oct 14, no answer yet"
    approve(desk, owed.id, by="Ruth", how="email")
    (line,) = owed_list(desk)
    assert (line.row.answered_by, line.row.answered_how) == ("Ruth", "email")
    decline(desk, owed.id, by="Ruth", how="letter")
    assert owed_list(desk, settled=True)[0].row.answered_how == "letter"


def test_an_estimate_of_nothing_is_refused(file_desk):
    owed = something_owed(file_desk, a_site(file_desk))
    with pytest.raises(WrongEntry, match="more than nothing"):
        send_estimate(file_desk, owed.id, EstimateGoing(amount_minor=0))
    assert owed_list(file_desk)[0].row.estimate_minor is None


def test_no_paper_made_after_the_sale_shows_the_seller(file_desk):
    desk = file_desk
    site = a_site(desk)
    a_contract(desk, site, price_minor=38500)
    before = a_done_visit(desk, site, date(2026, 9, 20))
    sell_house(desk, Sale(site_id=site.id, on=SOLD_ON, buyer="Marsh, Ida"))
    visit = a_done_visit(desk, site, date(2026, 10, 5))
    vain = a_done_visit(
        desk, site, date(2026, 10, 6), job={"outcome": "could not", "could_not": "no access"}
    )
    sale_visit = a_done_visit(desk, site, date(2026, 10, 7), kind_of="sale")
    owed = something_owed(desk, site, since_on=date(2026, 10, 6))

    papers = {}
    for name, one in (("inspection", visit), ("vain", vain), ("sale", sale_visit)):
        for kind in ("owner", "authority"):
            papers[f"{name} to {kind}"] = draft_pdf(desk, Wanted(job_of(desk, one).id, kind))
    papers["letter"] = draft_pdf(desk, Wanted(job_of(desk, vain).id, "owner", letter=True))
    papers["estimate"] = estimate_draft(desk, owed.id, amount_minor=18550)
    papers["renewal"] = offer(desk)
    papers["route sheet"] = sheet(desk, site)
    papers["history"] = history_paper(desk, site.id, whom="owner")
    texts = {name: text_of(pdf) for name, pdf in papers.items()}
    page = bills(desk)
    texts["bills"] = bills_file(desk, page, page.lines, "b.csv").decode()

    assert {name for name, text in texts.items() if "Quillan" in text} == set()
    for name in ("inspection to owner", "letter", "estimate", "renewal"):
        assert "Marsh" in texts[name], name
    # the seller's own visit stays the seller's paper, and says nothing of the buyer
    old = text_of(draft_pdf(desk, Wanted(job_of(desk, before).id, "owner")))
    assert "Quillan, Ruth" in old
    assert "Marsh" not in old


def offer(desk):
    """The letter that offers the next contract."""
    from servicedesk.desk.renewal_letters import renewal_letters
    from servicedesk.desk.renewals import renewals

    page = renewals(desk, since=TODAY, until=date(2027, 12, 31))
    return renewal_letters(desk, page, contract_ids=[one.contract_id for one in page.lines]).merged


def sheet(desk, site):
    """The route sheet of a day on which the site is visited."""
    from servicedesk.desk.planning import plan_rounds
    from servicedesk.desk.sheets import day_route_sheets

    a_technician(desk)
    a_visit(desk, site, kind_of="repair")
    plan_rounds(desk, TODAY)
    return day_route_sheets(desk, TODAY)


def test_the_system_is_named_by_its_permit(sale):
    desk, site, job = sale
    assert system_of(desk, site).permit in text_of(draft_pdf(desk, Wanted(job.id, "owner")))
