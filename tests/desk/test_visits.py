"""A plain visit: planned on a day or without one, as one change, refused where it cannot be."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.planning import day_case, plan_rounds, proposed
from servicedesk.desk.visits import NewVisit, plan_visit
from servicedesk.desk.windows import current_windows
from servicedesk.records.company import DayOff, TechnicianLicense
from servicedesk.records.rounds import Round
from servicedesk.records.sites import ClosedSpan
from servicedesk.records.undo import undo_change
from servicedesk.records.visits import Job, Visit
from tests.builders import (
    TODAY,
    a_contract,
    a_round,
    a_site,
    a_system,
    a_technician,
    a_visit,
    system_of,
)
from tests.records.snapshot import snapshot

THURSDAY = TODAY + timedelta(days=1)


def visit_and_jobs(desk, visit_id):
    with desk.store.read() as session:
        jobs = session.query(Job).where(Job.visit_id == visit_id).order_by(Job.id).all()
        return session.get(Visit, visit_id), jobs


def wrong_fields(desk, **entry):
    with pytest.raises(WrongEntry) as refused:
        plan_visit(desk, NewVisit(**entry))
    return [one.field for one in refused.value.wrong]


def test_a_visit_without_a_day_waits_and_can_be_taken_back(desk):
    site = a_site(desk)
    before = snapshot(desk.store)
    planned = plan_visit(desk, NewVisit(site_id=site.id, kind="estimate", note="lid by the shed"))
    visit, (job,) = visit_and_jobs(desk, planned.visit_id)
    assert (visit.planned_on, visit.state, visit.note) == (None, "planned", "lid by the shed")
    assert (job.kind_of, job.system_id) == ("estimate", system_of(desk, site).id)
    undo_change(desk.store, planned.changed.change_id, who=desk.who)
    assert snapshot(desk.store) == before


def test_an_inspection_fills_the_window_that_takes_its_day(file_desk):
    site = a_site(file_desk)
    contract = a_contract(file_desk, site)
    plan_visit(file_desk, NewVisit(site_id=site.id, on=THURSDAY))
    filled = [w for w in current_windows(file_desk, site_id=site.id) if w.planned_on == THURSDAY]
    assert [w.contract_id for w in filled] == [contract.id]
    assert filled[0].window.accepts_from_on <= THURSDAY < filled[0].window.book_closes_on
    with file_desk.store.read() as session:
        (job,) = session.query(Job).all()
    assert (job.contract_id, job.ordinal) == (contract.id, filled[0].window.ordinal)


def test_a_second_inspection_for_the_same_window_is_refused(file_desk):
    site = a_site(file_desk)
    a_contract(file_desk, site)
    plan_visit(file_desk, NewVisit(site_id=site.id, on=THURSDAY))
    assert wrong_fields(file_desk, site_id=site.id, on=THURSDAY + timedelta(days=1)) == ["kind"]
    assert wrong_fields(file_desk, site_id=site.id) == ["kind"]
    plan_visit(file_desk, NewVisit(site_id=site.id, on=THURSDAY, kind="repair"))


def test_an_inspection_that_counts_for_nothing_says_so(file_desk):
    site = a_site(file_desk)
    a_contract(file_desk, site, until_on=date(2026, 11, 1))
    late = plan_visit(file_desk, NewVisit(site_id=site.id, on=date(2026, 12, 1)))
    assert late.notes == ("It counts for no inspection of the contract on that day.",)


def test_two_systems_are_inspected_in_one_stop_and_other_work_must_name_one(file_desk):
    site = a_site(file_desk)
    second = a_system(file_desk, site)
    planned = plan_visit(file_desk, NewVisit(site_id=site.id, on=THURSDAY))
    _, jobs = visit_and_jobs(file_desk, planned.visit_id)
    assert [job.system_id for job in jobs] == [system_of(file_desk, site).id, second.id]
    assert wrong_fields(file_desk, site_id=site.id, kind="pump-out") == ["system_id"]
    one = plan_visit(file_desk, NewVisit(site_id=site.id, kind="pump-out", system_id=second.id))
    assert visit_and_jobs(file_desk, one.visit_id)[1][0].system_id == second.id


def test_what_is_due_the_same_day_at_the_site_becomes_one_stop(file_desk):
    site = a_site(file_desk)
    ada = a_technician(file_desk)
    round_ = a_round(file_desk, ada, THURSDAY, state="handed out")
    there = a_visit(file_desk, site, planned_on=THURSDAY, round_id=round_.id, place=1)
    joined = plan_visit(file_desk, NewVisit(site_id=site.id, on=THURSDAY, kind="repair"))
    assert (joined.joined, joined.visit_id) == (True, there.id)
    assert [j.kind_of for j in visit_and_jobs(file_desk, there.id)[1]] == ["inspection", "repair"]
    with file_desk.store.read() as session:
        assert session.get(Round, round_.id).changed_since is True
    apart = plan_visit(
        file_desk, NewVisit(site_id=site.id, on=THURSDAY, kind="estimate", apart=True)
    )
    assert apart.visit_id != there.id
    assert visit_and_jobs(file_desk, apart.visit_id)[0].kept_apart is True


def test_a_technician_named_for_a_day_is_who_comes_and_when(file_desk):
    site = a_site(file_desk, lat_deg=30.1, lon_deg=-94.0)
    a_technician(file_desk, "Ada Lund")
    tobin = a_technician(file_desk, "Tobin Ashe")
    plan_visit(
        file_desk,
        NewVisit(site_id=site.id, on=THURSDAY, technician_id=tobin.id, held_at_min=13 * 60 + 30),
    )
    plan = proposed(file_desk, day_case(file_desk, THURSDAY))
    (stop,) = plan.day_of[str(tobin.id)].stops
    assert stop.begin_min == 13 * 60 + 30


def test_a_technician_named_without_a_day_is_a_wish(file_desk):
    site = a_site(file_desk)
    tobin = a_technician(file_desk, "Tobin Ashe")
    planned = plan_visit(file_desk, NewVisit(site_id=site.id, technician_id=tobin.id))
    visit, _ = visit_and_jobs(file_desk, planned.visit_id)
    assert (visit.held, visit.wishes) == (False, {"technician_id": tobin.id})


def test_a_day_whose_rounds_stand_says_that_it_has_no_place_yet(file_desk):
    a_technician(file_desk)
    a_visit(file_desk, a_site(file_desk, "1 Quarry Spur"), planned_on=THURSDAY)
    plan_rounds(file_desk, THURSDAY)
    site = a_site(file_desk, "2 Quarry Spur")
    planned = plan_visit(file_desk, NewVisit(site_id=site.id, on=THURSDAY, kind="repair"))
    assert planned.notes == ("The rounds of that day stand already: give it a place there.",)


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"on": TODAY - timedelta(days=1)}, "on"),
        ({"on": date(2026, 10, 17)}, "on"),  # a Saturday
        ({"on": date(2026, 11, 26)}, "on"),  # a holiday
        ({"on": date(2026, 12, 15)}, "on"),  # closed for the winter
        ({"kind": "callback"}, "kind"),
        ({"kind": "owed"}, "kind"),
        ({"system_id": 99}, "system_id"),
        ({"technician_id": 99}, "technician_id"),
        ({"held_at_min": 600, "on": THURSDAY}, "held_at_min"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(file_desk, values, field):
    site = a_site(file_desk)
    with file_desk.store.change("Ines", "Closed") as work:
        work.add(ClosedSpan(site_id=site.id, from_on=date(2026, 12, 1), until_on=date(2027, 3, 1)))
    company = replace(file_desk.company, holidays={date(2026, 11, 26): "Thanksgiving"})
    desk = replace(file_desk, company=company)
    before = snapshot(file_desk.store)
    assert wrong_fields(desk, site_id=site.id, **values) == [field]
    assert snapshot(file_desk.store) == before


def test_somebody_away_or_without_a_license_cannot_be_held_to_a_day(file_desk):
    site = a_site(file_desk)
    away, expired = a_technician(file_desk, "Ada Lund"), a_technician(file_desk, "Tobin Ashe")
    with file_desk.store.change("Ines", "Wrote") as work:
        work.add(DayOff(technician_id=away.id, from_on=THURSDAY, until_on=date(2026, 10, 20)))
        work.add(
            TechnicianLicense(technician_id=expired.id, license_class="I", valid_until=THURSDAY)
        )
    for one in (away, expired):
        wrong = wrong_fields(file_desk, site_id=site.id, on=THURSDAY, technician_id=one.id)
        assert wrong == ["technician_id"]
    plan_visit(
        file_desk,
        NewVisit(site_id=site.id, on=THURSDAY, technician_id=expired.id, kind="estimate"),
    )


@pytest.mark.parametrize("columns", [{"on_hold": True}, {"ended_on": TODAY}])
def test_nothing_is_planned_at_a_site_on_hold_or_given_up(file_desk, columns):
    site = a_site(file_desk, **columns)
    assert wrong_fields(file_desk, site_id=site.id, kind="estimate") == ["site_id"]
