"""The history of a site on paper: all of it for us; for its owner nothing of those before."""

import io
from datetime import date
from pathlib import Path

import pytest
from pypdf import PdfReader

from servicedesk.desk.site_history_paper import history_paper, site_history, write_history
from servicedesk.records.people import SiteRole
from servicedesk.records.sites import SiteSecret
from servicedesk.records.told import Told
from servicedesk.records.visits import Finding, Job, PartLine, ReadingRow
from servicedesk.values.trouble import Trouble
from tests.builders import (
    a_call,
    a_contract,
    a_customer,
    a_done_visit,
    a_site,
    a_technician,
    a_unit,
    something_owed,
    system_of,
)

SOLD = date(2025, 6, 1)


@pytest.fixture
def site(file_desk):
    """Ruth Quillan sold to Ada Pell on June 1, 2025; both had contracts, calls and visits."""
    desk = file_desk
    site = a_site(desk, "118 Dry Hollow Lane", owner="Quillan, Ruth")
    lena = a_technician(desk)
    buyer = a_customer(desk, "Pell, Ada")
    a_contract(desk, site, from_on=date(2024, 4, 1), until_on=SOLD)
    a_contract(desk, site, from_on=SOLD, until_on=date(2027, 6, 1), holder_id=buyer.id)
    before = a_done_visit(
        desk, site, date(2024, 8, 5), technician=lena,
        job={"found": "Ruth had parked on the lid", "did": "asked her to move"},
        note="Gate was open",
    )  # fmt: skip
    after = a_done_visit(
        desk, site, date(2026, 8, 5), technician=lena,
        job={"found": "low air", "did": "cleaned the filter"}, note="pays late",
        as_left="told Quillan on the phone too",
    )  # fmt: skip
    a_call(desk, site, called_at=desk.clock.instant(date(2024, 8, 1), 600), caller="Ruth Quillan")
    a_call(desk, site, called_at=desk.clock.instant(date(2026, 8, 1), 600), caller="Ada Pell")
    a_unit(desk, site, "air-compressor", installed_on=date(2019, 5, 6),
           removed_on=date(2024, 8, 5), removed_why="diaphragm torn", state="removed",
           serial="M60-1")  # fmt: skip
    something_owed(desk, site, "West spray head tied up", since_on=date(2026, 7, 11))
    with desk.store.change("Ines", "Sold") as work:
        role = work.session.query(SiteRole).filter_by(site_id=site.id).one()
        role.from_on, role.until_on = date(2019, 5, 6), SOLD
        work.add(SiteRole(site_id=site.id, customer_id=buyer.id, role="owner", from_on=SOLD))
        work.add(SiteSecret(site_id=site.id, what="gate", value="4711"))
        at = desk.clock.instant(date(2024, 8, 5), 600)
        work.add(
            Finding(
                visit_id=before.id, system_id=system_of(desk, site).id, check_id="splice-look",
                result_id="wet-or-green", found_by="Lena", found_at=at,
            )
        )  # fmt: skip
        work.add(PartLine(visit_id=before.id, text="sealed connector", quantity=4))
        for visit, value in ((before, "0.4"), (after, "0.9")):
            job = work.session.query(Job).filter_by(visit_id=visit.id).one()
            work.add(ReadingRow(job_id=job.id, item_id="free-chlorine", value=value, unit="mg/L"))
        work.add(
            Told(told_at=at, whom="Ruth Quillan", by_whom="Ines", how="phone", what="we come",
                 site_id=site.id)
        )  # fmt: skip
    return site


def pdf_text(data):
    pages = PdfReader(io.BytesIO(data)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def said(told):
    return " | ".join(line for one in told.entries for line in (one.title, *one.lines))


def test_everything_stands_there_in_order_of_time(file_desk, site):
    told = site_history(file_desk, site.id)
    days = [one.on for one in told.entries]
    assert days == sorted(days)
    text = said(told)
    for part in (
        "Ruth had parked on the lid", "asked her to move", "Gate was open", "4 × sealed connector",
        "0.4 mg/L", "0.9 mg/L", "Told Ruth Quillan", "Pell, Ada, 3 visits", "Quillan, Ruth",
        "Owed: West spray head tied up", "diaphragm torn", "serial M60-1", "Wet or green",
    ):  # fmt: skip
        assert part in text, part


def test_the_owner_of_today_sees_nothing_of_those_before(file_desk, site):
    text = said(site_history(file_desk, site.id, whom="owner"))
    for name in ("Ruth", "Quillan", "asked her", "Gate was open", "we come", "pays late"):
        assert name not in text, name
    for part in (
        "0.4 mg/L", "Wet or green", "serial M60-1", "diaphragm torn", "0.9 mg/L",
        "cleaned the filter", "Pell, Ada, 3 visits", "Ada Pell",
    ):  # fmt: skip
        assert part in text, part


def test_the_paper_of_the_owner_never_shows_who_sold(file_desk, site):
    text = pdf_text(history_paper(file_desk, site.id, whom="owner"))
    assert "Quillan" not in text
    assert "Ruth" not in text
    assert "Before Jun 1, 2025 only the work at the system is shown." in text
    assert "1 line that names other people is left out." in text  # the line that names the seller


@pytest.mark.parametrize("whom", ["us", "owner"])
def test_a_code_is_never_printed(file_desk, site, whom):
    text = pdf_text(history_paper(file_desk, site.id, whom=whom))
    assert "4711" not in text
    assert text.count("page 1 of") == 1


def test_a_seller_whose_day_is_not_known_is_guarded_by_the_end_of_the_role(file_desk, site):
    with file_desk.store.change("Ines", "Day not known") as work:
        for role in work.session.query(SiteRole).filter_by(site_id=site.id):
            role.from_on = None
    assert "Ruth" not in said(site_history(file_desk, site.id, whom="owner"))


def test_without_an_owner_there_is_no_paper_for_one(file_desk):
    alone = a_site(file_desk, "5 Nobody Lane", owner=None)
    with pytest.raises(Trouble, match="No owner is known"):
        site_history(file_desk, alone.id, whom="owner")


def test_the_same_history_gives_the_same_bytes_under_its_own_name(file_desk, site):
    folder, name = write_history(file_desk, site.id, whom="owner")
    assert name == f"history-{site.number}-2026-10-14-owner.pdf"
    written = (Path(folder) / name).read_bytes()
    assert written == history_paper(file_desk, site.id, whom="owner")
