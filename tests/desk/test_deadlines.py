"""The one list of deadlines, over a real store on both databases.

Dates of rules are worked out by hand from the texts named beside them; the invented ones from
resources/trade/service_rules/tarrow_county.yaml.
"""

from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from servicedesk.desk.deadlines import KINDS, deadlines, n_of_kind
from servicedesk.desk.deadlines_cli import deadline_lines, left_text
from servicedesk.records.company import CompanyLicense, TechnicianLicense
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.people import Firm, SiteRole
from servicedesk.records.sites import System
from servicedesk.records.visits import Job, ReadingRow
from servicedesk.values.clock import Clock
from servicedesk.values.trouble import Trouble
from tests.builders import (
    TIME_ZONE,
    TODAY,
    a_call,
    a_contract,
    a_customer,
    a_done_visit,
    a_site,
    a_technician,
    system_of,
)


@pytest.fixture
def desk(desk):
    """The same desk at a store whose first change is years old."""
    with desk.store.change("Ines", "A first report, long ago") as work:
        for to in ("owner", "authority", "maker"):
            for kind in ("inspection report", "pump-out report"):
                work.add(
                    PaperSent(
                        kind_of=kind,
                        to_kind=to,
                        sent_at=datetime(2020, 1, 1, tzinfo=ZoneInfo("UTC")),
                    )
                )
    return desk


def under(desk, site, rule_id, **columns):
    """The site's system under a rule."""
    with desk.store.change("Ines", "Wrote the rule") as work:
        system = work.get(System, system_of(desk, site).id)
        system.rule_id = rule_id
        for name, value in columns.items():
            setattr(system, name, value)


def at(desk, day):
    """The desk on another day."""
    return replace(desk, clock=Clock(ZoneInfo(TIME_ZONE), day, desk.clock.now))


def sent(desk, visit, to_kind, kind_of="inspection report", **columns):
    with desk.store.change("Ines", "Sent a report") as work:
        job = work.session.query(Job).where(Job.visit_id == visit.id).first()
        work.add(PaperSent(kind_of=kind_of, visit_id=visit.id, job_id=job.id, to_kind=to_kind,
                           sent_at=desk.clock.now(), **columns))  # fmt: skip


@pytest.mark.parametrize(
    ("rule_id", "done_on", "to", "due_on", "confirmed"),
    [
        # every N months; days: 14 days after the test, 30 TAC 285.7(d)(3), from memory
        ("us-tx-surface", date(2026, 10, 5), ("owner", "permitting authority"), date(2026, 10, 19), False),
        # N a year apart; 30 days, Lake County code 0-0-0-15519
        ("us-il-county-2", date(2026, 10, 5), ("health officer",), date(2026, 11, 4), True),
        # once a year with a fixed date: on file by July 1, Loudoun County 1067.04
        ("us-va-county-1", date(2026, 10, 5), ("local health officer",), date(2027, 7, 1), True),
        # as the permit says; one month, Howard County code 0-0-0-1640
        ("us-in-county-1", date(2026, 8, 31), ("local health department",), date(2026, 9, 30), True),
        # first two years; the invented county, 30 days
        ("tarrow-new-system", date(2026, 10, 5), ("owner", "county"), date(2026, 11, 4), True),
        # 15th of the following month, 12VAC5-613-190, from memory
        ("us-va-small", date(2026, 9, 30), ("owner", "local health department"), date(2026, 10, 15), False),
    ],
)  # fmt: skip
def test_a_report_is_due_as_the_rule_of_each_shape_says(
    desk, rule_id, done_on, to, due_on, confirmed
):
    site = a_site(desk)
    under(desk, site, rule_id)
    a_done_visit(desk, site, done_on)

    (line,) = deadlines(desk, kind="report")

    assert (line.due_on, line.to, line.confirmed) == (due_on, to, confirmed)
    assert line.days_left == (due_on - TODAY).days
    assert line.source
    assert line.is_legal is confirmed
    assert any("not confirmed" in why for why in line.why) is not confirmed


def test_a_report_leaves_the_list_receiver_by_receiver(desk):
    site = a_site(desk)
    under(desk, site, "tarrow-spray")
    visit = a_done_visit(desk, site, date(2026, 10, 5))

    sent(desk, visit, "owner")
    (line,) = deadlines(desk, kind="report")
    assert line.to == ("county",)

    sent(desk, visit, "authority")
    assert deadlines(desk, kind="report") == ()


def test_without_a_rule_a_report_is_not_forgotten_but_no_law_is_claimed(desk):
    a_done_visit(desk, a_site(desk), date(2026, 9, 20))

    (line,) = deadlines(desk, kind="report")

    # two weeks: common practice, no source
    assert line.due_on == date(2026, 10, 4)
    assert (line.own, line.confirmed, line.is_legal, line.ours) == (True, False, False, 10)
    assert "check with your permitting authority" in " ".join(line.why)


def test_an_attempt_and_a_planned_visit_owe_no_report(desk):
    site = a_site(desk)
    under(desk, site, "tarrow-spray")
    a_done_visit(desk, site, date(2026, 10, 5), job={"outcome": "could not"})

    assert deadlines(desk, kind="report") == ()


def test_past_visits_of_a_list_are_no_reports_owed(desk):
    """Reports are watched from the first one on; what a list brings in is older."""
    site = a_site(desk)
    under(desk, site, "tarrow-spray")
    a_done_visit(desk, site, date(2019, 10, 5))

    assert deadlines(desk, kind="report") == ()


def test_the_copy_of_the_next_contract_is_due_before_the_running_one_ends(desk):
    site = a_site(desk)
    under(desk, site, "tarrow-spray")
    # the last day is October 31: 30 days before it is October 1
    a_contract(desk, site, from_on=date(2025, 11, 1), until_on=date(2026, 11, 1))

    (line,) = deadlines(desk, kind="contract")
    assert (line.due_on, line.days_left, line.ours) == (date(2026, 10, 1), -13, 13)
    assert "none yet" in line.what

    following = a_contract(desk, site, from_on=date(2026, 11, 1), until_on=date(2027, 11, 1))
    (line,) = deadlines(desk, kind="contract")
    assert f"contract {following.number}" in line.what

    with desk.store.change("Ines", "Sent the copy") as work:
        work.add(PaperSent(kind_of="contract copy", contract_id=following.id, to_kind="authority",
                           sent_at=desk.clock.now()))  # fmt: skip
    assert deadlines(desk, kind="contract") == ()


def test_a_draft_is_no_next_contract(desk):
    site = a_site(desk)
    under(desk, site, "tarrow-spray")
    a_contract(desk, site, from_on=date(2025, 11, 1), until_on=date(2026, 11, 1))
    a_contract(
        desk, site, from_on=date(2026, 11, 1), until_on=date(2027, 11, 1), stage="draft",
        copy_sent_on=TODAY,
    )  # fmt: skip

    (line,) = deadlines(desk, kind="contract")
    assert "none yet" in line.what


def test_a_copy_is_due_after_issue_where_the_rule_counts_from_there(desk):
    site = a_site(desk)
    # 20.7.3.901 NMAC: copies to the department within 30 days of issue or renewal
    under(desk, site, "us-nm-advanced")
    a_contract(desk, site, from_on=date(2026, 10, 1), until_on=date(2027, 10, 1))

    (line,) = deadlines(desk, kind="contract")

    assert (line.due_on, line.to) == (date(2026, 10, 31), ("department",))


def test_service_that_ends_wants_a_notice_thirty_days_before(desk):
    site = a_site(desk)
    under(desk, site, "tarrow-spray")
    a_contract(desk, site, ended_on=date(2026, 12, 1), ended_why="stopped")

    (line,) = deadlines(desk, kind="notice")

    assert line.due_on == date(2026, 11, 1)
    assert deadlines(desk, kind="contract") == ()


def test_a_house_sold_wants_a_contract_with_the_new_owner(desk):
    site = a_site(desk)
    under(desk, site, "tarrow-spray")
    a_contract(desk, site)
    buyer = a_customer(desk, "Vane, Otto")
    with desk.store.change("Ines", "Sold") as work:
        role = work.session.query(SiteRole).where(SiteRole.site_id == site.id).one()
        role.until_on = date(2026, 10, 1)
        work.add(SiteRole(site_id=site.id, customer_id=buyer.id, role="owner",
                          from_on=date(2026, 10, 1)))  # fmt: skip

    (line,) = [x for x in deadlines(desk) if x.duty == "contract_after_sale"]
    assert (line.due_on, "Vane, Otto" in line.what) == (date(2026, 10, 31), True)

    a_contract(desk, site, from_on=date(2026, 10, 10), holder_id=buyer.id)
    assert [x for x in deadlines(desk) if x.duty == "contract_after_sale"] == []


def test_a_reading_outside_its_limit_is_told_in_working_days(desk):
    site = a_site(desk)
    under(desk, site, "tarrow-spray")
    visit = a_done_visit(desk, site, date(2026, 10, 9))
    _reading(desk, visit, "0.1", "<")

    (line,) = deadlines(desk, kind="notice")
    # Friday the 9th and five working days: Friday the 16th
    assert (line.due_on, line.duty) == (date(2026, 10, 16), "exceedance")
    assert "<0.1 mg/L" in line.what

    sent(desk, visit, "authority")  # the report says the reading too
    assert deadlines(desk, kind="notice") == ()


def test_a_reading_within_its_limit_opens_nothing(desk):
    site = a_site(desk)
    under(desk, site, "tarrow-spray")
    _reading(desk, a_done_visit(desk, site, date(2026, 10, 9)), "0.1", "=")

    assert deadlines(desk, kind="notice") == ()


def _reading(desk, visit, value, qualifier):
    with desk.store.change("Ines", "Took a reading") as work:
        job = work.session.query(Job).where(Job.visit_id == visit.id).first()
        work.add(ReadingRow(job_id=job.id, item_id="total-chlorine", value=value, unit="mg/L",
                            qualifier=qualifier))  # fmt: skip


def test_licenses_are_on_the_list_from_sixty_days_before_and_a_renewed_one_is_not(desk):
    lena = a_technician(desk)
    with desk.store.change("Ines", "Wrote licenses") as work:
        work.add(CompanyLicense(number="TC-1", valid_until=date(2026, 10, 25)))  # excluded
        for until in (date(2026, 9, 1), date(2028, 9, 1)):
            work.add(TechnicianLicense(technician_id=lena.id, license_class="registered",
                                       number="RT-1", valid_until=until))  # fmt: skip
        work.add(Firm(name="Bell Street Electric", license_until=date(2026, 10, 2)))
        work.add(Firm(name="Harbor Supply", license_until=date(2027, 10, 2)))

    found = {line.what: line for line in deadlines(desk, kind="license")}

    assert {what: one.due_on for what, one in found.items()} == {
        "License TC-1 of Sallow Fork Onsite Care": date(2026, 10, 24),
        "License of Bell Street Electric": date(2026, 10, 1),
    }
    assert found["License of Bell Street Electric"].ours == 13


def test_a_promise_over_by_an_hour_says_so(desk):
    site = a_site(desk)
    a_call(desk, site, promised_by_at=desk.clock.now() - timedelta(hours=1))

    (line,) = deadlines(desk, kind="promise")

    assert (line.days_left, line.place) == (0, "phone")
    assert left_text(desk, line) == "was due at 9:46 am"
    assert "the hour is over" in line.why


def test_lateness_for_want_of_access_is_kept_apart(desk):
    site = a_site(desk)
    # windows of April 1 to July 31, to November 30, to March 31: the first is late on October 14
    contract = a_contract(desk, site)
    gate = {"outcome": "could not", "contract_id": contract.id}
    a_done_visit(desk, site, date(2026, 8, 10), job={**gate, "could_not": "no access"})
    line = deadlines(desk, kind="window")[0]

    assert line.due_on == date(2026, 7, 31)
    assert (line.ours, line.no_access) == (10, 65)  # 75 days from July 31 to October 14
    assert left_text(desk, line) == "10 days late, and 65 days more for want of access"


def test_our_own_want_of_time_excuses_nothing(desk):
    site = a_site(desk)
    contract = a_contract(desk, site)
    tried = {"outcome": "could not", "could_not": "no time", "contract_id": contract.id}
    a_done_visit(desk, site, date(2026, 7, 10), job=tried)

    line = deadlines(desk, kind="window")[0]
    assert (line.ours, line.no_access) == (75, 0)


def test_a_pump_out_has_its_own_report(desk):
    site = a_site(desk)
    under(desk, site, "us-va-county-1")  # pump-outs by the 15th of the following month
    a_done_visit(desk, site, date(2026, 9, 30), kind_of="pump-out")

    (line,) = deadlines(desk, kind="report")
    assert (line.due_on, line.duty) == (date(2026, 10, 15), "pump_out_report")


def test_the_soonest_stands_first_and_each_kind_is_counted(desk):
    site = a_site(desk)
    under(desk, site, "tarrow-spray")
    a_contract(desk, site)
    a_done_visit(desk, site, date(2026, 10, 5))
    a_call(desk, site)

    found = deadlines(desk)

    assert [line.due_on for line in found] == sorted(line.due_on for line in found)
    counts = n_of_kind(found)
    assert set(counts) == set(KINDS)
    assert sum(counts.values()) == len(found)
    assert counts["report"] == counts["promise"] == 1
    told = "\n".join(deadline_lines(desk, found))
    assert "Reports (1)" in told


def test_an_unknown_kind_is_refused_with_those_that_exist(desk):
    with pytest.raises(Trouble, match="no kind of deadline") as caught:
        deadlines(desk, kind="birthday")
    assert "report" in str(caught.value)


def test_the_list_costs_the_same_queries_for_many_visits(desk, count_queries):
    site = a_site(desk)
    under(desk, site, "tarrow-spray")
    a_done_visit(desk, site, date(2026, 10, 5))
    with count_queries(desk.store) as few:
        deadlines(desk)
    for day in range(1, 9):
        other = a_site(desk, f"{day} Osprey Way", owner=f"Family{day}, A")
        under(desk, other, "tarrow-spray")
        a_done_visit(desk, other, date(2026, 10, day))
    with count_queries(desk.store) as many:
        assert len(deadlines(desk, kind="report")) == 9

    assert len(many) == len(few)


def test_later_the_same_report_is_late(desk):
    site = a_site(desk)
    under(desk, site, "tarrow-spray")
    a_done_visit(desk, site, date(2026, 10, 5))

    (line,) = deadlines(at(desk, date(2026, 11, 10)), kind="report")

    assert (line.days_left, line.ours) == (-6, 6)
    assert left_text(desk, line) == "6 days late"
