"""The builders write what they say, on both databases."""

from servicedesk.records import company_rows
from servicedesk.records.contracts import ContractSystem
from servicedesk.records.people import SiteRole
from servicedesk.records.visits import Job
from tests.builders import (
    TODAY,
    a_call,
    a_contract,
    a_done_visit,
    a_round,
    a_site,
    a_technician,
    a_unit,
    a_visit,
    something_owed,
    system_of,
)


def test_every_builder_writes_a_row_that_can_be_looked_at(desk):
    site = a_site(desk, phone="409-555-0142")
    contract = a_contract(desk, site)
    lena = a_technician(desk)
    round_ = a_round(desk, lena)
    visit = a_visit(desk, site, round_id=round_.id, place=1)
    rows = [
        site,
        contract,
        lena,
        round_,
        visit,
        a_call(desk, site),
        a_call(desk),
        a_done_visit(desk, site, TODAY, technician=lena),
        a_unit(desk, site),
        something_owed(desk, site),
    ]

    assert all(row.revision == 1 and row.id for row in rows)
    with desk.store.read() as session:
        assert session.query(Job).where(Job.visit_id == visit.id).one().kind_of == "inspection"
        assert session.query(SiteRole).one().site_id == site.id
        assert session.query(ContractSystem).one().system_id == system_of(desk, site).id
        assert company_rows.the_company(session).name == "Sallow Fork Onsite Care"


def test_the_office_clock_stands_at_fourteen_minutes_to_eleven(desk):
    assert desk.today == TODAY
    assert desk.clock.minute_of_day() == 10 * 60 + 46
    assert desk.who == "Ines"
