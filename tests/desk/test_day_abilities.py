"""A day knows who can do a job, who may, and whom the customer wants."""

from datetime import timedelta

import pytest

from servicedesk.desk.planning import day_case, move_stop, plan_rounds, proposed
from servicedesk.desk.rounds_page import rounds_page, why_no_place
from servicedesk.desk.soonest import soonest_places
from servicedesk.desk.squeeze import squeeze
from servicedesk.records.company import TechnicianLicense
from servicedesk.routes.feasible import faults_in
from servicedesk.routes.keep import unsuited
from tests.builders import TODAY, a_site, a_technician, a_visit

THURSDAY = TODAY + timedelta(days=1)
ALL = ["inspection", "callback", "repair"]


def licensed(desk, technician, *, until=None, since=None, kind="registered technician"):
    with desk.store.change(desk.who, "Wrote a license") as work:
        work.add(
            TechnicianLicense(
                technician_id=technician.id, license_class=kind, valid_from=since, valid_until=until
            )
        )


def a_place(desk, n=1, **values):
    return a_site(desk, f"{n} Quarry Spur", lat_deg=30.0 + n / 50, lon_deg=-94.0, **values)


def who_comes(desk, day=THURSDAY):
    """The technician of each address, as planned; "" where nobody comes."""
    case = day_case(desk, day)
    plan = proposed(desk, case)
    assert faults_in(plan) == ()
    names = {case.demand.sites[w.site_id].address: "" for w in case.wanted.values()}
    for stop_id, crew in plan.crew_id_of.items():
        names[case.demand.sites[case.wanted[stop_id].site_id].address] = case.technicians[crew].name
    return names


def why_not(desk, day=THURSDAY):
    """The sentence why the one stop that is left out finds no place."""
    page = rounds_page(desk, day)
    (left,) = proposed(desk, page.case).left_out
    return why_no_place(desk, page, left.reasons)


# With nothing else to tell them apart the planner takes the first: Ada, who must not come here.


def test_without_skills_and_licenses_the_first_comes(file_desk):
    a_technician(file_desk, "Ada Lund")
    a_technician(file_desk, "Tobin Ashe")
    a_visit(file_desk, a_place(file_desk), planned_on=THURSDAY)
    assert who_comes(file_desk) == {"1 Quarry Spur": "Ada Lund"}


@pytest.mark.parametrize(
    ("kind", "skill"), [("inspection", "inspection"), ("owed", "repair"), ("pump-out", "pump-out")]
)
def test_a_job_goes_to_somebody_who_does_it(file_desk, kind, skill):
    a_technician(file_desk, "Ada Lund", skills=["callback"])
    a_technician(file_desk, "Tobin Ashe", skills=["callback", skill])
    a_visit(file_desk, a_place(file_desk), planned_on=THURSDAY, kind_of=kind)
    assert who_comes(file_desk) == {"1 Quarry Spur": "Tobin Ashe"}


def test_a_technician_with_nothing_written_can_do_what_the_others_do(file_desk):
    a_technician(file_desk, "Ada Lund")
    a_technician(file_desk, "Tobin Ashe", skills=["inspection"])
    a_visit(file_desk, a_place(file_desk), planned_on=THURSDAY)
    assert who_comes(file_desk) == {"1 Quarry Spur": "Ada Lund"}


def test_what_nobody_at_work_does_is_left_out_and_says_so(file_desk):
    a_technician(file_desk, "Ada Lund", skills=["inspection"])
    away = a_technician(file_desk, "Tobin Ashe", skills=["pump-out"], working_days=[0])
    a_visit(file_desk, a_place(file_desk), planned_on=THURSDAY, kind_of="pump-out")
    assert THURSDAY.weekday() not in away.working_days
    assert why_not(file_desk) == "Nobody at work does pump-outs."


@pytest.mark.parametrize(
    ("ada", "comes"),
    [
        ({"until": THURSDAY}, "Tobin Ashe"),  # until is excluded: ran out the day before
        ({"until": THURSDAY + timedelta(days=1)}, "Ada Lund"),  # its last day
        ({"since": THURSDAY + timedelta(days=1)}, "Tobin Ashe"),  # not yet valid
        (None, "Tobin Ashe"),  # none written down, though the company writes them down
    ],
)
def test_work_on_a_system_needs_a_license_valid_that_day(file_desk, ada, comes):
    first = a_technician(file_desk, "Ada Lund")
    second = a_technician(file_desk, "Tobin Ashe")
    if ada is not None:
        licensed(file_desk, first, **ada)
    licensed(file_desk, second)
    a_visit(file_desk, a_place(file_desk), planned_on=THURSDAY)
    assert who_comes(file_desk) == {"1 Quarry Spur": comes}


def test_a_look_for_an_estimate_needs_no_license(file_desk):
    licensed(file_desk, a_technician(file_desk), until=TODAY)
    a_visit(file_desk, a_place(file_desk, 1), planned_on=THURSDAY, kind_of="estimate")
    a_visit(file_desk, a_place(file_desk, 2), planned_on=THURSDAY)
    assert who_comes(file_desk) == {"1 Quarry Spur": "Lena Hobb", "2 Quarry Spur": ""}
    assert why_not(file_desk) == "Nobody at work holds a valid license."


def test_a_class_wished_for_is_asked_of_whoever_comes(file_desk):
    licensed(file_desk, a_technician(file_desk, "Ada Lund"))
    licensed(file_desk, a_technician(file_desk, "Tobin Ashe"), kind="Installer II")
    a_visit(file_desk, a_place(file_desk), planned_on=THURSDAY, wishes={"license": "installer ii"})
    assert who_comes(file_desk) == {"1 Quarry Spur": "Tobin Ashe"}


def test_a_skill_wished_for_that_nobody_has_leaves_the_stop_out(file_desk):
    a_technician(file_desk, skills=ALL)
    a_visit(file_desk, a_place(file_desk), planned_on=THURSDAY, wishes={"skills": ["electrical"]})
    assert why_not(file_desk) == "Nobody at work does electrical work."


def test_the_technician_wanted_at_a_site_comes(file_desk):
    a_technician(file_desk, "Ada Lund")
    tobin = a_technician(file_desk, "Tobin Ashe")
    a_visit(file_desk, a_place(file_desk, 1, wanted_technician_id=tobin.id), planned_on=THURSDAY)
    assert who_comes(file_desk) == {"1 Quarry Spur": "Tobin Ashe"}


def test_a_wish_on_the_visit_counts_more_than_the_one_of_the_site(file_desk):
    ada = a_technician(file_desk, "Ada Lund")
    tobin = a_technician(file_desk, "Tobin Ashe")
    place = a_place(file_desk, 1, wanted_technician_id=ada.id)
    a_visit(file_desk, place, planned_on=THURSDAY, wishes={"technician_id": tobin.id})
    assert who_comes(file_desk) == {"1 Quarry Spur": "Tobin Ashe"}


def test_somebody_else_comes_where_the_one_wanted_may_not(file_desk):
    ada = a_technician(file_desk, "Ada Lund", skills=["callback"])
    a_technician(file_desk, "Tobin Ashe", skills=["inspection"])
    a_visit(file_desk, a_place(file_desk, 1, wanted_technician_id=ada.id), planned_on=THURSDAY)
    assert who_comes(file_desk) == {"1 Quarry Spur": "Tobin Ashe"}


def test_a_stop_held_with_somebody_stays_though_no_skill_is_written(file_desk):
    ada = a_technician(file_desk, "Ada Lund", skills=["callback"])
    a_technician(file_desk, "Tobin Ashe", skills=["inspection"])
    a_visit(file_desk, a_place(file_desk), planned_on=THURSDAY, held=True, held_crew_id=ada.id)
    assert who_comes(file_desk) == {"1 Quarry Spur": "Ada Lund"}


def test_a_stop_held_with_somebody_whose_license_ran_out_is_left_out(file_desk):
    ada = a_technician(file_desk, "Ada Lund")
    licensed(file_desk, ada, until=TODAY)
    licensed(file_desk, a_technician(file_desk, "Tobin Ashe"))
    a_visit(file_desk, a_place(file_desk), planned_on=THURSDAY, held=True, held_crew_id=ada.id)
    assert who_comes(file_desk) == {"1 Quarry Spur": ""}
    assert why_not(file_desk) == "Ada holds no valid license on that day."


def test_a_stop_moved_by_hand_to_somebody_who_may_not_is_told(file_desk):
    ada = a_technician(file_desk, "Ada Lund", skills=["callback"])
    a_technician(file_desk, "Tobin Ashe", skills=["inspection"])
    a_visit(file_desk, a_place(file_desk), planned_on=THURSDAY)
    plan_rounds(file_desk, THURSDAY)
    case = day_case(file_desk, THURSDAY)
    (stop_id,) = case.wanted
    move_stop(file_desk, case, stop_id, to_crew=str(ada.id), position=0)
    assert [why.code for why in unsuited(day_case(file_desk, THURSDAY).stand)] == [
        "stop_lacks_skill"
    ]


def test_a_call_is_not_offered_to_somebody_who_may_not_come(file_desk):
    ada = a_technician(file_desk, "Ada Lund", skills=["inspection"])
    tobin = a_technician(file_desk, "Tobin Ashe", skills=ALL)
    for n, one in ((1, ada), (2, tobin)):
        a_visit(
            file_desk, a_place(file_desk, n), planned_on=THURSDAY, held=True, held_crew_id=one.id
        )
    plan_rounds(file_desk, THURSDAY)
    new = a_place(file_desk, 3)
    assert {p.technician for p in soonest_places(file_desk, new.id, by_at=None).places} == {"Tobin"}
    assert {w.technician for w in squeeze(file_desk, new.id).ways} == {"Tobin"}
