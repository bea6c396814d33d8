"""A case made of what the store holds: flags, units, earlier visits, findings that still speak."""

from datetime import date

import pytest

from servicedesk.desk.cases import case_of
from servicedesk.records.equipment import UnitModel
from servicedesk.records.parts import Part
from servicedesk.records.sites import System
from servicedesk.records.visits import Finding, ItemResult, Job, PartLine, ReadingRow
from servicedesk.trouble.case import Found
from servicedesk.values.trouble import Trouble
from tests.builders import a_call, a_done_visit, a_site, a_system, a_unit, system_of
from tests.conftest import NOW

AUGUST, MAY = date(2026, 8, 5), date(2026, 5, 6)


@pytest.fixture
def site(file_desk):
    return a_site(file_desk)


def a_callback(desk, site, on, *, symptoms=("high-water-alarm",), job=None, findings=(), **call):
    """A call of a day and the visit for it on that day."""
    at = desk.clock.instant(on, 8 * 60)
    made = a_call(desk, site, called_at=at, symptoms=list(symptoms), state="answered",
                  system_id=system_of(desk, site).id, **call)  # fmt: skip
    visit = a_done_visit(
        desk, site, on, kind_of="callback", job={"call_id": made.id, **(job or {})}
    )
    for check_id, result_id, unit_id in findings:
        find(
            desk, check_id, result_id, visit_id=visit.id, unit_id=unit_id, system_id=made.system_id
        )
    return made, visit


def find(desk, check_id, result_id, **columns):
    with desk.store.change("Ines", "Found") as work:
        work.add(Finding(check_id=check_id, result_id=result_id, found_at=NOW, **columns))


def write(desk, record):
    with desk.store.change("Ines", "Wrote") as work:
        return work.add(record)


def test_a_site_that_nobody_described_leaves_nothing_out(file_desk, site):
    a_call(file_desk, site)

    case = case_of(file_desk, site_id=site.id)

    assert case.symptoms == ("high-water-alarm",)
    assert case.site_has is None
    assert case.installed == ()
    assert case.earlier == ()


def test_flags_come_from_the_system_and_from_how_its_splice_was_made(file_desk, site):
    a_call(file_desk, site)
    with file_desk.store.change("Ines", "Wrote the equipment") as work:
        work.get(System, system_of(file_desk, site).id).equipment = ["tablet"]
    model = write(file_desk, UnitModel(component="splices-box", name="B-1"))
    a_unit(file_desk, site, "splices-box", model_id=model.id,
           attributes={"splice": "in tank", "sealing": "plain tape"},
           installed_on=date(2024, 10, 14))  # fmt: skip
    a_unit(file_desk, site, "timer")

    case = case_of(file_desk, site_id=site.id)

    assert case.site_has == {"tablet", "spray", "splice-in-riser", "timer"}
    splice = next(unit for unit in case.installed if unit.component == "splices-box")
    assert splice.model == "B-1"
    assert splice.attributes == {"splice": "in tank", "sealing": "plain tape"}
    assert splice.age_years == pytest.approx(2, abs=0.01)  # fitted two years before that day


def test_what_a_visit_came_to(file_desk, site):
    jobs = {
        date(2026, 1, 5): {"no_fault_found": True, "fix": "reset only"},
        date(2026, 2, 5): {"fix": "reset only"},
        date(2026, 3, 5): {"fix": "patched", "cause_id": "pump-jammed"},
        date(2026, 4, 6): {"fix": "fixed", "parts_changed": ["float-switch-signal", "string"]},
        date(2026, 5, 5): {"outcome": "could not"},
    }
    for on, job in jobs.items():
        a_callback(file_desk, site, on, job=job)
    a_call(file_desk, site)

    earlier = case_of(file_desk, site_id=site.id).earlier

    assert [visit.outcome for visit in earlier] == [
        "could not", "fixed", "workaround", "reset only", "no fault found",
    ]  # fmt: skip
    assert earlier[1].changed == ("float-switch-signal",)
    assert earlier[2].cause == "pump-jammed"
    assert {visit.symptom for visit in earlier} == {"high-water-alarm"}
    assert earlier[0].days_before == (file_desk.today - date(2026, 5, 5)).days


def test_a_removed_units_findings_do_not_speak_for_its_successor(file_desk, site):
    old = a_unit(file_desk, site, "alarm-float", state="removed", removed_on=AUGUST)
    new = a_unit(file_desk, site, "alarm-float", installed_on=AUGUST, predecessor_id=old.id)
    pump = a_unit(file_desk, site, "effluent-pump")
    a_callback(
        file_desk, site, AUGUST,
        job={"checks_done": ["alarm-float-lift", "breaker-state", "a word of ours"]},
        findings=[("alarm-float-lift", "right", old.id), ("run-in-hand", "runs-level-falls", pump.id),
                  ("splice-look", None, None)],
    )  # fmt: skip
    a_call(file_desk, site)

    (visit,) = case_of(file_desk, site_id=site.id).earlier

    assert set(visit.found) == {
        Found("breaker-state", None),
        Found("run-in-hand", "runs-level-falls"),
    }
    assert visit.changed == ("alarm-float",)
    before = case_of(file_desk, site_id=site.id, as_of=AUGUST)
    assert {unit.unit_id for unit in before.installed} == {old.id, pump.id}
    after = case_of(file_desk, site_id=site.id)
    assert {unit.unit_id for unit in after.installed} == {new.id, pump.id}


def test_items_readings_and_parts_become_checks_and_parts(file_desk, site):
    visit = a_done_visit(file_desk, site, AUGUST)
    with file_desk.store.read() as session:
        job_id = file_desk.store and next(iter(_job_ids(session, visit.id)))
    part = write(file_desk, Part(number="P", name="Pump", part_kind="effluent-pump"))
    write(file_desk, PartLine(visit_id=visit.id, part_id=part.id, text="Pump"))
    write(file_desk, ItemResult(job_id=job_id, item_id="splices-look", grade="not looked at"))
    write(file_desk, ItemResult(job_id=job_id, item_id="alarm-float-test", grade="good"))
    write(
        file_desk, ReadingRow(job_id=job_id, item_id="dissolved-oxygen", value="0.2", unit="mg/L")
    )
    a_call(file_desk, site)

    (earlier,) = case_of(file_desk, site_id=site.id).earlier

    found = {one.check: one.result for one in earlier.found}
    assert found["alarm-float-lift"] == "right"
    assert "splice-look" not in found
    assert found["dissolved-oxygen"] == "very-short"
    assert earlier.symptom == ""
    assert earlier.changed == ("effluent-pump",)


def _job_ids(session, visit_id):
    from servicedesk.records.visits import Job

    return [job.id for job in session.query(Job).where(Job.visit_id == visit_id)]


def test_what_the_caller_told_counts_for_the_call_at_hand_alone(file_desk, site):
    made, _ = a_callback(file_desk, site, MAY, answers={"ask-water-use": "heavy", "who": "Ruth"})
    find(file_desk, "ask-recent-rain", "heavy", call_id=made.id)
    now = a_call(file_desk, site, answers={"ask-water-use": "usual"})
    find(file_desk, "ask-power-event", "no", call_id=now.id)
    find(file_desk, "ask-alarm-pattern", None, call_id=now.id)

    case = case_of(file_desk, site_id=site.id, findings=[Found("splice-look", "wet-or-green")])

    assert set(case.found) == {
        Found("splice-look", "wet-or-green"),
        Found("ask-water-use", "usual"),
        Found("ask-power-event", "no"),
    }
    assert set(case.earlier[0].found) == {
        Found("ask-water-use", "heavy"), Found("ask-recent-rain", "heavy"),
    }  # fmt: skip


def test_as_of_a_day_nothing_later_is_known(file_desk, site):
    a_callback(file_desk, site, MAY, symptoms=("air-alarm",))
    a_callback(file_desk, site, AUGUST)
    a_call(file_desk, site, symptoms=["slow-drains"])

    assert case_of(file_desk, site_id=site.id).symptoms == ("slow-drains",)
    case = case_of(file_desk, site_id=site.id, as_of=AUGUST)
    assert case.symptoms == ("high-water-alarm",)
    assert [visit.symptom for visit in case.earlier] == ["air-alarm"]  # that day's visit came later
    assert case.earlier[0].days_before == (AUGUST - MAY).days


def test_two_systems_at_a_site_are_two_places(file_desk, site):
    other = a_system(file_desk, site, label="guest house")
    a_call(file_desk, site, system_id=other.id, symptoms=["drip-pressure-off"])

    with pytest.raises(Trouble, match=r"Several systems stand there.*which one"):
        case_of(file_desk, site_id=site.id)
    assert case_of(file_desk, system_id=other.id).symptoms == ("drip-pressure-off",)
    with pytest.raises(Trouble, match="Nobody has said"):
        case_of(file_desk, system_id=system_of(file_desk, site).id)
    with pytest.raises(Trouble, match="not in the store"):
        case_of(file_desk, system_id=99)


@pytest.mark.parametrize("is_of_job", [True, False])
def test_a_part_of_one_system_is_not_new_at_the_other(file_desk, site, is_of_job):
    house, guest = system_of(file_desk, site), a_system(file_desk, site, label="guest house")
    _, visit = a_callback(file_desk, site, AUGUST)
    write(file_desk, Job(visit_id=visit.id, kind_of="inspection", system_id=guest.id))
    with file_desk.store.read() as session:
        mended, _ = sorted(_job_ids(session, visit.id))
    part = write(file_desk, Part(number="P", name="Pump", part_kind="effluent-pump"))
    write(
        file_desk,
        PartLine(
            visit_id=visit.id, job_id=mended if is_of_job else None, part_id=part.id, text="Pump"
        ),
    )

    def changed(system):
        case = case_of(file_desk, system_id=system.id, symptoms=["high-water-alarm"])
        return [visit.changed for visit in case.earlier]

    assert changed(house) == [("effluent-pump",)]
    assert changed(guest) == [()]


def test_both_databases_tell_the_same(desk):
    site = a_site(desk)
    a_callback(desk, site, AUGUST, findings=[("run-in-hand", "runs-level-falls", None)])
    a_call(desk, site)

    case = case_of(desk, site_id=site.id)

    assert case.earlier[0].found == (Found("run-in-hand", "runs-level-falls"),)
