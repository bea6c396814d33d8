"""Reports leave the house: numbered, kept, registered; corrected when the visit changes after."""

from dataclasses import replace
from datetime import date, timedelta
from email import message_from_bytes, policy
from io import BytesIO

import pypdfium2
import pytest

from servicedesk.desk.changes import undo
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.corrections import corrections_owed
from servicedesk.desk.deadlines import deadlines
from servicedesk.desk.office import desk_at
from servicedesk.desk.report_mail import draft_of, write_drafts
from servicedesk.desk.report_register import month_csv, month_files, month_list, month_pdf, register
from servicedesk.desk.reports import Leaving, Wanted, confirm, draft_pdf, send_reports, sent_pdf
from servicedesk.desk.signing import sign
from servicedesk.records.company import Company, CompanyLicense, TechnicianLicense
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.people import Authority, Customer, SiteRole
from servicedesk.records.sites import System
from servicedesk.records.visits import ItemResult, Job, PartLine, ReadingRow, Visit
from servicedesk.values.trouble import Stopped, Trouble
from tests.builders import (
    TODAY,
    a_contract,
    a_customer,
    a_done_visit,
    a_site,
    a_technician,
    a_visit,
    something_owed,
    system_of,
)

DONE_ON = date(2026, 10, 5)
BOTH = ("owner", "authority")


@pytest.fixture
def desk(desk):
    """The desk of a company with an e-mail address, a license, and an authority."""
    with desk.store.change("Ines", "Set up") as work:
        company = work.session.query(Company).one()
        company.email = "office@example.org"
        work.add(
            CompanyLicense(
                number="MP-31",
                license_class="maintenance provider",
                valid_from=date(2024, 1, 1),
                valid_until=date(2027, 1, 1),
            )
        )
        work.add(Authority(name="Tarrow County (invented)", email="onsite@example.org"))
    clock = desk.clock
    return replace(desk_at(desk.store), clock=clock)  # fmt: skip


def inspected(desk, site, on=DONE_ON, **values):
    """An inspection with a reading below its limit, a bad item, a part, by Lena."""
    lena = a_technician(desk)
    visit = a_done_visit(desk, site, on, technician=lena, as_left="Running", **values)
    with desk.store.change("Ines", "Wrote it up") as work:
        system = work.get(System, system_of(desk, site).id)
        system.rule_id = "tarrow-spray"
        system.authority_id = work.session.query(Authority.id).scalar()
        work.add(
            TechnicianLicense(
                technician_id=lena.id,
                license_class="registered technician",
                number="RT-1",
                valid_until=date(2026, 10, 10),
            )
        )
        job = work.session.query(Job).where(Job.visit_id == visit.id).one()
        work.add(
            ReadingRow(
                job_id=job.id,
                item_id="total-chlorine",
                value="0.1",
                unit="mg/L",
                qualifier="<",
                limit_low="0.1",
            )
        )
        work.add(ReadingRow(job_id=job.id, item_id="ph", value="7.2", unit="pH"))
        work.add(
            ItemResult(
                job_id=job.id, item_id="lids-found", grade="failed", answer="cracked or missing"
            )
        )
        work.add(ItemResult(job_id=job.id, item_id="air-filter", grade="good", answer="clean"))
        work.add(PartLine(visit_id=visit.id, text="Riser screw", quantity=4))
    return job.id  # fmt: skip


def watched(desk):
    """Reports are watched since January: some went out then."""
    with desk.store.change("Ines", "Sent reports, long ago") as work:
        for to in BOTH:
            work.add(PaperSent(kind_of="inspection report", to_kind=to,
                               sent_at=desk.clock.instant(date(2026, 1, 2), 600)))  # fmt: skip


def pdf_text(pdf):
    with pypdfium2.PdfDocument(BytesIO(pdf)) as document:
        return " ".join(" ".join(p.get_textpage().get_text_range() for p in document).split())


def send(desk, job_id, *to, **leaving):
    wanted = [Wanted(job_id, kind) for kind in to or BOTH]
    return send_reports(desk, wanted, Leaving(**{"how": "email", **leaving}))[0]


def test_a_draft_says_all_of_the_visit_and_writes_nothing(desk):
    site = a_site(desk)
    something_owed(desk, site, "West spray head tied up", by_on=date(2026, 11, 30))
    job_id = inspected(desk, site)

    told = pdf_text(draft_pdf(desk, Wanted(job_id, "authority")))

    for part in (
        "Draft, not sent", "Sallow Fork Onsite Care", "Tarrow County (invented)", "118 Dry Hollow",
        "TC-00001", "Monday, October 5, 2026", "Lena Hobb, registered technician",
        "RT-1", "MP-31", "less than 0.1 mg/L", "0.1 or more", "BELOW the usual range",
        "measured, no range set", "cracked or missing", "not in order", "4 × Riser screw",
        "West spray head tied up", "Nov 30, 2026", "Running", "waiting for signature",
        "Quillan, Ruth",
    ):  # fmt: skip
        assert part in told, part
    with desk.store.read() as session:
        assert session.query(PaperSent).count() == 0


def test_the_owner_reads_plain_words_and_cautions(desk):
    told = pdf_text(draft_pdf(desk, Wanted(inspected(desk, a_site(desk)), "owner")))

    assert "What needs attention" in told
    assert "In order: clean or renew air filter" in told
    assert "Never put your body into a tank" in told


def test_licenses_are_those_of_the_day_of_the_visit(desk):
    """Lena's license ends October 10: valid on the 5th, not on the 12th."""
    site = a_site(desk)
    job_id = inspected(desk, site, on=date(2026, 10, 12))

    assert "Lena Hobb, no license valid" in pdf_text(draft_pdf(desk, Wanted(job_id, "owner")))


def test_what_was_sent_is_kept_byte_for_byte_and_numbered(desk):
    watched(desk)
    job_id = inspected(desk, a_site(desk))
    assert [line.job_id for line in deadlines(desk, kind="report")] == [job_id]

    first, second = send(desk, job_id, signed_by="Nell Sallow")

    assert (first.number, second.number) == (1, 2)
    assert sent_pdf(desk, first.paper_id) == first.pdf
    told = pdf_text(first.pdf)
    assert "Report 1" in told
    assert "Signed by Nell Sallow, maintenance provider MP-31" in told
    with desk.store.read() as session:
        row = session.get(PaperSent, first.paper_id)
    assert (row.kind_of, row.to_kind, row.to_whom, row.how) == (
        "inspection report", "owner", "Quillan, Ruth", "email",
    )  # fmt: skip
    assert (row.signed_by, row.licenses, row.sha256) == (
        "Nell Sallow",
        ["MP-31", "RT-1"],
        first.sha256,
    )
    assert deadlines(desk, kind="report") == ()


def test_editing_the_visit_later_does_not_touch_what_was_sent(desk):
    job_id = inspected(desk, a_site(desk))
    (sent,) = send(desk, job_id, "owner")
    _edit(desk, job_id, did="Cleaned everything")

    assert sent_pdf(desk, sent.paper_id) == sent.pdf
    assert "Cleaned everything" not in pdf_text(sent.pdf)


def _edit(desk, job_id, **columns):
    with desk.store.change("Ines", "Corrected the visit") as work:
        job = work.get(Job, job_id)
        for name, value in columns.items():
            setattr(job, name, value)
    return work.changed


def _reading(desk, job_id, item_id, value):
    with desk.store.change("Ines", "Corrected a reading") as work:
        row = work.session.query(ReadingRow).where(
            ReadingRow.job_id == job_id, ReadingRow.item_id == item_id
        ).one()  # fmt: skip
        row.value = value


def test_a_visit_changed_after_its_report_left_owes_a_corrected_one(desk):
    job_id = inspected(desk, a_site(desk))
    first, _ = send(desk, job_id)
    assert corrections_owed(desk) == ()

    _reading(desk, job_id, "ph", "6.8")
    _edit(desk, job_id, did="Lid replaced")

    owed = corrections_owed(desk)
    assert [one.report.to_kind for one in owed] == ["owner", "authority"]
    assert len(owed[0].changed) == 2
    assert any("6.8 instead of 7.2" in text for text in owed[0].changed)
    assert "Done: Lid replaced (added)" in owed[0].changed
    lines = deadlines(desk, kind="corrected report")
    assert [line.job_id for line in lines] == [job_id, job_id]
    assert not lines[0].is_legal

    (corrected,) = send(desk, job_id, "owner")
    told = pdf_text(corrected.pdf)
    assert corrected.number == 3
    assert "Corrected inspection report" in told
    assert f"Report 3, corrects report {first.number}" in told
    assert "6.8 instead of 7.2" in told
    assert [one.report.to_kind for one in corrections_owed(desk)] == ["authority"]


def test_a_second_correction_still_carries_the_first_number(desk):
    job_id = inspected(desk, a_site(desk))
    (first,) = send(desk, job_id, "owner")
    for value in ("6.8", "6.5"):
        _reading(desk, job_id, "ph", value)
        (last,) = send(desk, job_id, "owner")

    assert f"corrects report {first.number}" in pdf_text(last.pdf)
    assert "6.5 instead of 6.8" in pdf_text(last.pdf)


def test_what_is_put_back_or_not_on_the_report_owes_nothing(desk):
    job_id = inspected(desk, a_site(desk))
    send(desk, job_id)
    _reading(desk, job_id, "ph", "6.8")
    _reading(desk, job_id, "ph", "7.2")
    _edit(desk, job_id, minutes=55, billing="contract")

    assert corrections_owed(desk) == ()


def test_a_part_taken_out_and_one_added_are_told(desk):
    job_id = inspected(desk, a_site(desk))
    send(desk, job_id, "owner")
    with desk.store.change("Ines", "Corrected the parts") as work:
        line = work.session.query(PartLine).one()
        work.add(PartLine(visit_id=line.visit_id, text="Lid, 24 in", quantity=1))
        work.session.delete(line)

    (owed,) = corrections_owed(desk)
    assert set(owed.changed) == {"Part: Lid, 24 in (added)", "Part: 4 × Riser screw (taken out)"}


def test_another_visit_changed_owes_nothing_here(desk):
    site = a_site(desk)
    job_id = inspected(desk, site)
    send(desk, job_id)
    other = a_done_visit(desk, site, TODAY)
    with desk.store.change("Ines", "Edited") as work:
        work.get(Visit, other.id).as_left = "Off"

    assert corrections_owed(desk) == ()


def test_a_report_that_left_is_not_undone(desk):
    job_id = inspected(desk, a_site(desk))
    changed = send_reports(desk, [Wanted(job_id, "owner")], Leaving(how="email"))[1]

    with pytest.raises(Trouble, match="not taken back"):
        undo(desk, changed.change_id)


def test_a_run_that_is_stopped_writes_nothing_and_gives_no_number_twice(desk):
    job_id = inspected(desk, a_site(desk))

    def stop(done, total, note=""):
        if done == 1:
            raise Stopped

    with pytest.raises(Stopped):
        send_reports(desk, [Wanted(job_id, kind) for kind in BOTH], Leaving(how="email"),
                     progress=stop)  # fmt: skip
    with desk.store.read() as session:
        assert session.query(PaperSent).count() == 0

    assert [one.number for one in send(desk, job_id)] == [3, 4]


def test_a_signer_whose_license_ended_is_refused_and_nothing_is_written(desk):
    job_id = inspected(desk, a_site(desk))

    with pytest.raises(Trouble, match="no license that is valid on Oct 14") as caught:
        send(desk, job_id, signed_by="Lena Hobb")

    assert "Set up" in str(caught.value)
    with desk.store.read() as session:
        assert session.query(PaperSent).count() == 0


def test_own_forms_ask_for_their_confirmation(desk):
    job_id = inspected(desk, a_site(desk))
    with pytest.raises(WrongEntry, match="confirmation number"):
        send(desk, job_id, "authority", how="own form")

    (sent,) = send(desk, job_id, "authority", how="own form", confirmation=" TC-9931 ")
    (row,) = register(desk, first=TODAY, until=TODAY + timedelta(days=1))
    assert (row.number, row.confirmation, row.how) == (sent.number, "TC-9931", "own form")


def test_a_confirmation_comes_later(desk):
    (sent,) = send(desk, inspected(desk, a_site(desk)), "authority")
    confirm(desk, sent.paper_id, "OK-77")

    (row,) = register(desk, first=TODAY, until=TODAY + timedelta(days=1))
    assert row.confirmation == "OK-77"
    with pytest.raises(WrongEntry):
        confirm(desk, sent.paper_id, " ")


def test_a_visit_that_was_not_made_has_no_report(desk):
    site = a_site(desk)
    visit = a_visit(desk, site)
    with desk.store.read() as session:
        job = session.query(Job).where(Job.visit_id == visit.id).one()

    with pytest.raises(Trouble, match="not written up yet"):
        draft_pdf(desk, Wanted(job.id, "owner"))
    with pytest.raises(Trouble, match="not in the store"):
        draft_pdf(desk, Wanted(999_999, "owner"))


def test_the_buyer_never_gets_the_sellers_report(desk):
    """Sold October 8; the visit of October 5 is the seller's, that of the 12th the buyer's."""
    site = a_site(desk)
    before = inspected(desk, site)
    buyer = a_customer(desk, "Vane, Otto")
    with desk.store.change("Ines", "Sold") as work:
        role = work.session.query(SiteRole).where(SiteRole.site_id == site.id).one()
        role.until_on = date(2026, 10, 8)
        work.add(SiteRole(site_id=site.id, customer_id=buyer.id, role="owner",
                          from_on=date(2026, 10, 8)))  # fmt: skip
    after = inspected(desk, site, on=date(2026, 10, 12))

    (old,) = send(desk, before, "owner")
    (new,) = send(desk, after, "owner")

    assert (old.to_whom, new.to_whom) == ("Quillan, Ruth", "Vane, Otto")
    assert "Vane" not in pdf_text(old.pdf)
    assert "Quillan" not in pdf_text(new.pdf)


def test_could_not_inspect_says_when_we_were_there_and_why(desk):
    site = a_site(desk)
    contract = a_contract(desk, site)
    shut = {"outcome": "could not", "could_not": "no access", "contract_id": contract.id,
            "ordinal": 2, "note_left": True}  # fmt: skip
    a_done_visit(desk, site, date(2026, 9, 28), job=shut, technician=a_technician(desk))
    last = a_done_visit(desk, site, DONE_ON, job={**shut, "told_whom": "the neighbor"})
    with desk.store.read() as session:
        job_id = session.query(Job.id).where(Job.visit_id == last.id).scalar()

    told = pdf_text(draft_pdf(desk, Wanted(job_id, "authority")))
    for part in ("Could not inspect", "2 times", "Sep 28, 2026", "Oct 5, 2026", "no access",
                 "told the neighbor", "note left", "Lena Hobb"):  # fmt: skip
        assert part in told, part

    letter = pdf_text(draft_pdf(desk, Wanted(job_id, "owner", letter=True)))
    for part in ("We will come again", "gate", "409-555-0100", "Quillan, Ruth", "Oct 5, 2026"):
        assert part in letter, part

    (sent,), _ = send_reports(desk, [Wanted(job_id, "owner", letter=True)], Leaving(how="letter"))
    assert sent.kind_of == "second attempt letter"


def test_a_letter_is_only_for_what_could_not_be_done(desk):
    job_id = inspected(desk, a_site(desk))

    with pytest.raises(Trouble, match="no letter is needed"):
        draft_pdf(desk, Wanted(job_id, "owner", letter=True))


def test_a_mail_draft_carries_the_very_report(desk, tmp_path):
    site = a_site(desk)
    job_id = inspected(desk, site)
    with desk.store.change("Ines", "Wrote the address") as work:
        work.session.query(Customer).where(
            Customer.name == "Quillan, Ruth"
        ).one().email = "ruth@example.org"
    owner, county = send(desk, job_id)

    message = message_from_bytes(draft_of(desk, owner), policy=policy.default)
    assert message["To"].addresses[0].addr_spec == "ruth@example.org"
    assert "118 Dry Hollow Lane" in message["Subject"]
    (part,) = message.iter_attachments()
    assert part.get_content() == sent_pdf(desk, owner.paper_id)

    paths = write_drafts(desk, [county], tmp_path)
    parsed = message_from_bytes(paths[0].read_bytes(), policy=policy.default)
    assert parsed["To"].addresses[0].addr_spec == "onsite@example.org"


def test_without_the_companys_address_there_is_no_draft(desk):
    (sent,) = send(desk, inspected(desk, a_site(desk)), "owner")
    without = replace(desk, company=replace(desk.company, email=""))

    with pytest.raises(Trouble, match="no e-mail address"):
        draft_of(without, sent)


def test_the_month_lists_each_visit_with_what_the_authority_has(desk):
    site = a_site(desk, '=HYPERLINK("x")')
    job_id = inspected(desk, site)
    other = a_site(desk, "31 Quarry Spur", owner="Vane, Otto")
    a_done_visit(desk, other, date(2026, 10, 7))
    a_done_visit(desk, other, date(2026, 9, 30))  # another month
    _, county = send(desk, job_id)

    month = month_list(desk, TODAY)

    assert [line.day for line in month.lines] == [DONE_ON, date(2026, 10, 7)]
    assert [line.number for line in month.lines] == [county.number, None]
    assert month.n_not_sent == 1
    table = month_csv(month).decode("utf-8-sig").splitlines()
    assert len(table) == 3
    assert "'=HYPERLINK" in table[1]
    told = pdf_text(month_pdf(desk, month))
    assert "Inspections of Oct 2026" in told
    assert "1 has no report here yet" in told
    assert f"{county.number}, sent Oct 14" in told


def test_the_last_hour_of_a_month_belongs_to_it_by_the_companys_clock(desk):
    """11 pm of October 31 in New York is November 1 in UTC."""
    site = a_site(desk)
    at = desk.clock.instant(date(2026, 10, 31), 23 * 60)
    a_done_visit(desk, site, date(2026, 10, 31), arrived_at=at, left_at=at)

    assert len(month_list(desk, date(2026, 10, 5)).lines) == 1
    assert month_list(desk, date(2026, 11, 5)).lines == ()


def test_a_report_waits_for_its_signature_and_keeps_it_until_the_visit_changes(desk):
    watched(desk)
    job_id = inspected(desk, a_site(desk))
    assert "waiting for signature" in deadlines(desk, kind="report")[0].why

    sign(desk, [job_id], "Nell Sallow")
    assert "signed by Nell Sallow" in deadlines(desk, kind="report")[0].why
    told = pdf_text(draft_pdf(desk, Wanted(job_id, "owner")))
    assert "Signed by Nell Sallow, maintenance provider MP-31" in told
    assert "Lena Hobb" in told  # who visited is another matter

    _reading(desk, job_id, "ph", "6.8")  # nobody signed this
    assert "waiting for signature" in deadlines(desk, kind="report")[0].why
    assert "waiting for signature" in pdf_text(draft_pdf(desk, Wanted(job_id, "owner")))


def test_the_signature_goes_with_the_report_and_into_the_register(desk):
    job_id = inspected(desk, a_site(desk))
    sign(desk, [job_id], "Nell Sallow")

    (sent,) = send(desk, job_id, "owner")

    assert "Signed by Nell Sallow" in pdf_text(sent.pdf)
    (row,) = register(desk, first=TODAY, until=TODAY + timedelta(days=1))
    assert row.signed_by == "Nell Sallow"


def test_nobody_signs_without_a_name_or_what_is_not_written_up(desk):
    site = a_site(desk)
    visit = a_visit(desk, site)
    with desk.store.read() as session:
        planned = session.query(Job.id).where(Job.visit_id == visit.id).scalar()

    with pytest.raises(WrongEntry, match="who signs"):
        sign(desk, [planned], " ")
    with pytest.raises(Trouble, match="no report to sign"):
        sign(desk, [planned], "Nell Sallow")


def test_what_changed_before_a_signature_does_not_void_it(desk):
    """Signed one after the other: an edit between the two is under the second signature."""
    watched(desk)
    first = inspected(desk, a_site(desk))
    second = inspected(desk, a_site(desk, "31 Quarry Spur", owner="Vane, Otto"))
    sign(desk, [first], "Nell Sallow")
    _reading(desk, second, "ph", "6.8")
    sign(desk, [second], "Nell Sallow")

    told = {line.job_id: line.why[-1] for line in deadlines(desk, kind="report")}
    assert told == {first: "signed by Nell Sallow", second: "signed by Nell Sallow"}


def test_each_authority_gets_the_list_of_its_own_systems(desk):
    inspected(desk, a_site(desk))
    other = a_site(desk, "31 Quarry Spur", owner="Vane, Otto")
    with desk.store.change("Ines", "Wrote another authority") as work:
        town = work.add(Authority(name="Town of Brisk (invented)"))
        work.get(System, system_of(desk, other).id).authority_id = town.id
    a_done_visit(desk, other, date(2026, 10, 7))
    shut = {"outcome": "could not", "could_not": "no access"}
    a_done_visit(desk, a_site(desk, "6 Larkrise Court", owner="Oxley, Cora"), TODAY, job=shut)

    files = month_files(desk, TODAY)

    texts = {name: pdf_text(data) for name, data in files.items() if name.endswith(".pdf")}
    (county,) = [text for text in texts.values() if "Tarrow County (invented)" in text]
    (brisk,) = [text for text in texts.values() if "Town of Brisk (invented)" in text]
    assert "118 Dry Hollow Lane" in county
    assert "31 Quarry Spur" not in county
    assert "31 Quarry Spur" in brisk
    (neither,) = [text for text in texts.values() if text not in (county, brisk)]
    assert "6 Larkrise Court" in neither
    assert "has no report" not in neither  # nothing was done there that a report could tell
    assert len(files) == 6
