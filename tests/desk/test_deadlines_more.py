"""Last days beside reports and contracts: failures, calls nobody promised, samples again."""

from dataclasses import replace
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from servicedesk.desk.contracts import end_contract, hand_over
from servicedesk.desk.deadlines import deadlines
from servicedesk.desk.reports import Leaving, Wanted, send_reports
from servicedesk.desk.samples import NewSample, take_sample
from servicedesk.records.sites import System
from servicedesk.records.visits import ItemResult, Job
from servicedesk.values.clock import Clock
from tests.builders import (
    TIME_ZONE,
    TODAY,
    a_call,
    a_contract,
    a_done_visit,
    a_site,
    system_of,
)


@pytest.fixture
def desk(file_desk):
    return file_desk


def ruled(desk, rule_id, **values):
    site = a_site(desk)
    with desk.store.change("Ines", "Rule") as work:
        system = work.get(System, system_of(desk, site).id)
        system.rule_id = rule_id
        for name, value in values.items():
            setattr(system, name, value)
    return site


def of_duty(desk, duty):
    return [line for line in deadlines(desk) if line.duty == duty]


def test_a_failed_item_is_told_within_the_rules_days_and_never_set_as_law(desk):
    # New Mexico, 20.7.3.901 NMAC (requirements S7): a failed system within 5 working days.
    # Inspected Monday, October 12, 2026: Tue 13, Wed 14, Thu 15, Fri 16, Mon 19
    site = ruled(desk, "us-nm-advanced")
    visit = a_done_visit(desk, site, date(2026, 10, 12))
    with desk.store.read() as session:
        job = session.query(Job).where(Job.visit_id == visit.id).one()
    with desk.store.change("Ines", "Failed") as work:
        work.add(ItemResult(job_id=job.id, item_id="mixing", grade="failed"))
        work.add(ItemResult(job_id=job.id, item_id="odour-found", grade="watch"))

    (line,) = of_duty(desk, "failure")
    assert (line.kind, line.due_on) == ("notice", date(2026, 10, 19))
    assert not line.is_legal
    assert "licensed person" in line.why[-1]
    send_reports(desk, [Wanted(job.id, "authority")], Leaving(how="letter"))
    assert of_duty(desk, "failure") == []  # the report tells of it


def test_a_call_nobody_promised_has_the_contracts_hours(desk):
    # 24 hours of the contract from Wednesday, 9:00 am (13:00 UTC) on
    site = a_site(desk)
    a_contract(desk, site, response_hours=24)
    a_call(desk, site, called_at=datetime(2026, 10, 14, 13, 0, tzinfo=UTC), promised_by_at=None)

    (line,) = of_duty(desk, "complaint")
    assert (line.kind, line.due_at) == ("promise", datetime(2026, 10, 15, 13, 0, tzinfo=UTC))
    assert "nobody promised a time" in line.why


def test_a_yearly_sample_is_due_a_year_after_the_last(desk):
    # 30 TAC 285.91(4), Table IV: BOD5 and TSS once a year, places other than single-family homes
    site = ruled(desk, "us-tx-surface", single_family=False)
    a_contract(desk, site, from_on=date(2025, 11, 1), until_on=date(2026, 11, 1))
    assert sorted(line.due_on for line in of_duty(desk, "sample_again")) == [date(2026, 11, 1)] * 2
    take_sample(
        desk, NewSample(system_id=system_of(desk, site).id, item_id="bod5",
                        taken_on=date(2026, 3, 2))
    )  # fmt: skip
    (tss,) = of_duty(desk, "sample_again")
    assert "TSS" in tss.what or "suspended" in tss.what


def test_a_home_owes_no_yearly_sample_of_that_kind(desk):
    site = ruled(desk, "us-tx-surface", single_family=True)
    a_contract(desk, site, from_on=date(2025, 11, 1), until_on=date(2026, 11, 1))
    assert of_duty(desk, "sample_again") == []


def test_service_stopped_asks_for_a_new_contract_unless_another_company_has_it(desk):
    # a Texas county's wording (requirements S6): a new contract within 30 days of the end
    site = ruled(desk, "us-tx-county-2")
    contract = a_contract(desk, site)
    end_contract(desk, contract.id, on=date(2026, 10, 1), why="provider closes")
    (line,) = of_duty(desk, "contract_after_stop")
    assert (line.kind, line.due_on) == ("contract", date(2026, 10, 31))

    other = ruled(desk, "us-tx-county-2")
    second = a_contract(desk, other)
    hand_over(desk, second.id, on=date(2026, 10, 1), to_firm="Fennel Water")
    assert [one.site_id for one in of_duty(desk, "contract_after_stop")] == [site.id]


def test_a_sale_inspection_without_its_paper_is_on_the_list_with_our_own_two_weeks(desk):
    site = a_site(desk)
    a_done_visit(desk, site, TODAY, kind_of="sale", arrived_at=desk.clock.now())
    (line,) = deadlines(desk, kind="report")
    assert (line.due_on, line.own, line.receivers) == (date(2026, 10, 28), True, ("owner",))
    send_reports(desk, [Wanted(line.job_id, "owner")], Leaving(how="email"))

    assert deadlines(desk, kind="report") == ()


def test_a_late_sample_is_ours(desk):
    site = ruled(desk, "us-tx-surface", single_family=False)
    a_contract(desk, site, from_on=date(2025, 9, 1), until_on=date(2026, 12, 1))
    later = replace(desk, clock=Clock(ZoneInfo(TIME_ZONE), date(2026, 9, 4)))
    assert {line.ours for line in of_duty(later, "sample_again")} == {3}
