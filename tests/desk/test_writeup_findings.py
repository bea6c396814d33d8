"""Findings of a callback: what is asked, what is kept, what may not be said in silence."""

from dataclasses import replace
from datetime import date

import pytest

from servicedesk.desk.cases import case_of
from servicedesk.desk.changes import undo
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.writeup import write_up
from servicedesk.desk.writeup_checks import NOT_LOOKED_AT, speaks_for
from servicedesk.desk.writeup_drafts import entry_as_draft, entry_of_draft
from servicedesk.desk.writeup_entry import (
    OwedEntry,
    ReadingEntry,
    first_entry,
    notes_of,
)
from servicedesk.desk.writeup_form import visit_form
from servicedesk.records.owed import Owed
from servicedesk.records.sites import System
from servicedesk.records.visits import Finding, Job, ReadingRow, Visit
from servicedesk.records.writeup_rows import ItemRow
from servicedesk.trade.cautions import cautions
from servicedesk.trade.checks import checks
from servicedesk.trade.faults import knowledge
from servicedesk.trade.symptoms import symptoms
from servicedesk.trouble.opinion import opinion
from tests.builders import TODAY, a_call, a_site, a_technician, a_unit, a_visit, system_of
from tests.records.snapshot import snapshot

ALARM = "high-water-alarm"


def rows(desk, model, **where):
    with desk.store.read() as session:
        return session.query(model).filter_by(**where).order_by(model.id).all()


def a_callback(desk, site=None, *, said=(ALARM,), **visit):
    """A planned callback of today and its site."""
    site = site or a_site(desk)
    call = a_call(desk, site, symptoms=list(said))
    columns = {"begin_min": 545, "leave_min": 590, **visit}
    return a_visit(desk, site, kind_of="callback", job={"call_id": call.id}, **columns)


def filled(desk, visit, *, form=None, entry=None, **job):
    """The form of a visit with its one job done and said so."""
    form = form or visit_form(desk, visit.id)
    entry = entry or first_entry(desk, form)
    return form, entry.with_job(replace(entry.jobs[0], **{"outcome": "done", **job}))


def write(desk, visit, *, entry=None, **job):
    form, entry = filled(desk, visit, entry=entry, **job)
    return write_up(desk, notes_of(desk, form, entry))


def refused(desk, visit, **job):
    """What is wrong, by field without the job's number."""
    before = snapshot(desk.store)
    with pytest.raises(WrongEntry) as caught:
        write(desk, visit, **job)
    assert snapshot(desk.store) == before
    return {":".join(w.field.split(":")[2:]): w.says for w in caught.value.wrong}


def all_done(trouble):
    """A result for every check owed before no fault found: the usual one."""
    return {
        check: max(checks()[check].results, key=lambda r: r.usual).id
        for check in trouble.owed_first
    }


def the_trouble(desk, visit):
    return next(iter(visit_form(desk, visit.id).troubles.values()))


def test_the_checks_come_in_the_order_in_which_they_tell_most_then_what_is_owed(desk):
    visit = a_callback(desk)
    trouble = the_trouble(desk, visit)
    case = case_of(desk, system_id=trouble.system_id, symptoms=(ALARM,), as_of=TODAY)
    view = opinion(case, knowledge())
    asked = [one.id for one in trouble.checks]
    on_site = [one.check for one in view.next_checks if checks()[one.check].where != "phone"]
    assert asked[: len(on_site[:5])] == on_site[:5]
    assert len(set(asked)) == len(asked)
    assert set(trouble.owed_first) == set(symptoms()[ALARM].before_no_fault_found)
    assert set(trouble.owed_first) <= set(asked)
    assert {one.id for one in trouble.checks if one.is_owed} == set(trouble.owed_first)
    assert [one.id for one in trouble.causes[:3]] == [one.cause for one in view.causes[:3]]
    assert trouble.causes[0].chance == pytest.approx(view.causes[0].chance)
    assert {one.id for one in trouble.causes} == set(knowledge().causes)  # any can be chosen


def test_what_earlier_visits_found_changes_the_order_and_the_visit_itself_does_not(desk):
    site = a_site(desk)
    visit = a_callback(desk, site)
    fresh = [one.id for one in the_trouble(desk, visit).checks]
    before = a_visit(desk, site, kind_of="callback", planned_on=date(2026, 9, 1), state="done",
                     job={"call_id": a_call(desk, site, days_ago=43).id, "outcome": "done",
                          "no_fault_found": True})  # fmt: skip
    with desk.store.change(desk.who, "Looked") as work:
        for check, result in (
            ("lamp-against-water", "on-without-high-water"),
            ("alarm-float-lift", "right"),
        ):
            work.add(
                Finding(visit_id=before.id, system_id=system_of(desk, site).id, check_id=check,
                        result_id=result, found_at=desk.clock.now())
            )  # fmt: skip
    with_history = [one.id for one in the_trouble(desk, visit).checks]
    assert with_history != fresh
    assert set(fresh) & set(with_history) >= set(symptoms()[ALARM].before_no_fault_found)
    write(desk, visit, behind="could not look", findings={"splice-look": "wet-or-green"})
    assert [one.id for one in the_trouble(desk, visit).checks] == with_history


def test_a_splice_in_the_tank_is_asked_for_though_nobody_noted_the_flag(desk):
    site = a_site(desk)
    with desk.store.change(desk.who, "Equipment") as work:
        work.get(System, system_of(desk, site).id).equipment = ["tablet"]
    a_unit(desk, site, "splices-box", attributes={"splice": "in tank"})
    visit = a_callback(desk, site)
    trouble = the_trouble(desk, visit)
    assert "splice-look" in trouble.owed_first
    write(desk, visit, behind="no fault found")
    assert "splice-look" in {f.check_id for f in rows(desk, Finding)}


def test_checks_of_equipment_that_is_not_there_are_not_asked(desk):
    site = a_site(desk)
    with desk.store.change(desk.who, "Equipment") as work:
        work.get(System, system_of(desk, site).id).equipment = ["tablet"]
    trouble = next(iter(visit_form(desk, a_callback(desk, site).id).troubles.values()))
    assert "timer-look" not in trouble.owed_first  # no timer stands there
    assert "splice-look" not in {one.id for one in trouble.checks}
    assert "pump-tank-level" in trouble.owed_first


def test_every_caution_of_a_check_stands_beside_it_uncut(desk):
    trouble = next(iter(visit_form(desk, a_callback(desk).id).troubles.values()))
    whole = {one.id: one.text for one in cautions().values()}
    for one in trouble.checks:
        assert set(one.cautions) == {whole[c] for c in one.check.cautions}
    assert any(one.cautions for one in trouble.checks)


@pytest.mark.parametrize("said", [(), ("beeps at night",)])
def test_without_a_symptom_we_know_the_form_asks_what_most_symptoms_ask(desk, said):
    visit = a_callback(desk, said=said)
    trouble = next(iter(visit_form(desk, visit.id).troubles.values()))
    counts = [c for s in symptoms().values() for c in s.before_no_fault_found]
    asked = [one.id for one in trouble.checks]
    assert len(asked) == 8
    assert min(counts.count(c) for c in asked) >= max(
        counts.count(c) for c in set(counts) - set(asked)
    )
    assert trouble.causes
    write(desk, visit, behind="presumed", cause_id=trouble.causes[0].id)
    assert rows(desk, Job)[0].cause_known_by == "presumed"


def test_a_site_without_a_system_has_findings_too(desk):
    visit = a_callback(desk, a_site(desk, system=False))
    write(desk, visit, behind="could not look", findings={"lid-look": "secure"})
    found = rows(desk, Finding)[0]
    assert (found.system_id, found.unit_id, found.result_id) == (None, None, "secure")


def test_a_finding_is_kept_at_the_unit_that_is_there_now(desk):
    site = a_site(desk)
    a_unit(desk, site, "alarm-float", state="removed", removed_on=date(2024, 5, 1))
    float_ = a_unit(desk, site, "alarm-float", installed_on=date(2024, 5, 1))
    # an old row: taken out, and nobody changed its state
    a_unit(desk, site, "alarm-float", installed_on=date(2025, 1, 1), removed_on=date(2025, 6, 1))
    a_unit(desk, site, "effluent-pump")
    lena = a_technician(desk)
    visit = a_callback(desk, site, technician_id=lena.id)
    form, entry = filled(
        desk,
        visit,
        behind="could not look",
        findings={"alarm-float-lift": "right", "pump-tank-level": NOT_LOOKED_AT},
    )
    write_up(desk, notes_of(desk, form, replace(entry, weather="rain since Monday")))
    lift, level = rows(desk, Finding)
    assert (lift.check_id, lift.result_id, lift.unit_id) == ("alarm-float-lift", "right", float_.id)
    assert (level.check_id, level.result_id, level.unit_id) == ("pump-tank-level", None, None)
    for one in (lift, level):
        assert one.visit_id == visit.id
        assert one.system_id == system_of(desk, site).id
        assert one.found_by == "Lena Hobb"
        assert one.found_at == desk.clock.instant(TODAY, 590)
        assert one.weather == "rain since Monday"
        assert one.knowledge == knowledge().version


def test_a_unit_that_stands_in_for_another_kind_is_taken_where_it_is_there(desk):
    # the residual is that of the tablets or of the bleach feed, whichever hangs there
    site = a_site(desk)
    bleach = a_unit(desk, site, "liquid-chlorinator")
    visit = a_callback(desk, site, said=("no-chlorine",))
    write(desk, visit, behind="could not look", findings={"chlorine-residual": "none"})
    assert rows(desk, Finding)[0].unit_id == bleach.id


def test_a_number_keeps_its_text_and_unit_and_a_range_says_what_it_means(desk):
    visit = a_callback(desk)
    write(
        desk,
        visit,
        behind="could not look",
        findings={"pump-insulation": "low"},
        readings={"pump-insulation": ReadingEntry("0.08", "MΩ")},
    )
    read = rows(desk, ReadingRow)[0]
    assert (read.item_id, read.value, read.unit) == ("pump-insulation", "0.08", "MΩ")
    form = visit_form(desk, visit.id)
    entry = first_entry(desk, form)
    assert entry.jobs[0].readings["pump-insulation"] == ReadingEntry("0.08", "MΩ")
    assert entry.jobs[0].findings == {"pump-insulation": "low"}


def test_what_was_behind_it_must_be_said_for_a_callback_and_not_for_owed_work(desk):
    assert "no fault found, could not look" in refused(desk, a_callback(desk))["behind"]
    repair = a_visit(desk, a_site(desk, "31 Quarry Spur"), kind_of="repair", begin_min=600,
                     leave_min=630)  # fmt: skip
    write(desk, repair)
    assert [visit.state for visit in rows(desk, Visit, id=repair.id)] == ["done"]


@pytest.mark.parametrize(
    ("job", "field", "says"),
    [
        ({"behind": "established"}, "cause", "Cause established: say which cause."),
        ({"behind": "presumed"}, "cause", "Cause presumed: say which cause."),
        (
            {"behind": "established", "cause_id": "splice-shorted-alarm"},
            "known_by",
            "Say how we know the cause",
        ),
        (
            {"behind": "established", "cause_id": "gremlins", "known_by": "seen"},
            "cause",
            "“gremlins” is no cause we know.",
        ),
        (
            {
                "behind": "established",
                "cause_id": "splice-shorted-alarm",
                "known_by": "a direct check",
                "findings": {"splice-look": "dry-sealed"},
            },
            "known_by",
            "No result written here speaks for this cause",
        ),
        (
            {"findings": {"splice-look": "soggy"}, "behind": "could not look"},
            "check:splice-look",
            "“soggy” is no result of Open the splices and look",
        ),
        (
            {"findings": {"aura": "dim"}, "behind": "could not look"},
            "check:aura",
            "“aura” is no check we know.",
        ),
    ],
)
def test_what_cannot_be_so_is_said_at_its_place(desk, job, field, says):
    assert says in refused(desk, a_callback(desk), **job)[field]


def test_a_cause_is_established_by_a_direct_check_that_spoke(desk):
    visit = a_callback(desk)
    assert speaks_for(knowledge(), "splice-shorted-alarm", "splice-look", "wet-or-green")
    write(
        desk,
        visit,
        behind="established",
        cause_id="splice-shorted-alarm",
        known_by="a direct check",
        fix="fixed",
        findings={"splice-look": "wet-or-green"},
    )
    job = rows(desk, Job)[0]
    assert (job.cause_id, job.cause_known_by, job.no_fault_found, job.fix) == (
        "splice-shorted-alarm",
        "a direct check",
        False,
        "fixed",
    )


def test_freed_dried_or_reset_is_a_workaround_that_is_owed_and_proves_no_cause(desk):
    visit = a_callback(desk)
    said = {
        "behind": "established",
        "cause_id": "splice-shorted-alarm",
        "known_by": "seen",
        "fix": "reset only",
    }
    wrong = refused(desk, visit, **said)
    assert "lasting repair that is owed" in wrong["fix"]
    assert "say that it is presumed" in wrong["known_by"]
    form, entry = filled(desk, visit, **{**said, "behind": "presumed"})
    line = OwedEntry(what="Seal the splice afresh", by="Nov 30")
    write_up(desk, notes_of(desk, form, replace(entry, owed=(line,))))
    job = rows(desk, Job)[0]
    assert (job.fix, job.cause_known_by) == ("reset only", "presumed")
    assert rows(desk, Owed)[0].by_on == date(2026, 11, 30)


def test_no_fault_found_names_what_is_missing_and_leaves_it_owed(desk):
    visit = a_callback(desk)
    write(desk, visit, behind="no fault found", findings={"pump-tank-level": "pumped-down"})
    owed = rows(desk, Owed)[0]
    left = symptoms()[ALARM].before_no_fault_found[1:]
    assert owed.what.startswith("No fault found; still to be checked: ")
    assert all(checks()[c].name.rstrip("?:") in owed.what for c in left)
    assert checks()["pump-tank-level"].name not in owed.what
    assert owed.system_id is not None
    said = {f.check_id: f.result_id for f in rows(desk, Finding)}
    assert said == {"pump-tank-level": "pumped-down", **dict.fromkeys(left)}
    assert rows(desk, Job)[0].no_fault_found is True


def test_a_check_that_the_call_answered_is_not_owed_again(desk):
    visit = a_callback(desk, said=("alarm-not-identified",))
    call_id = rows(desk, Job)[0].call_id
    with desk.store.change(desk.who, "Asked") as work:
        work.add(
            Finding(call_id=call_id, check_id="ask-which-alarm", result_id="water-lamp",
                    found_at=desk.clock.now())
        )  # fmt: skip
    trouble = next(iter(visit_form(desk, visit.id).troubles.values()))
    assert "ask-which-alarm" in trouble.owed_first
    assert "ask-which-alarm" not in trouble.missing({})
    assert "pump-tank-level" in trouble.missing({})


def test_with_every_check_done_no_fault_found_owes_nothing(desk):
    visit = a_callback(desk)
    trouble = next(iter(visit_form(desk, visit.id).troubles.values()))
    write(desk, visit, behind="no fault found", findings=all_done(trouble))
    assert rows(desk, Owed) == []


def test_a_corrected_no_fault_found_renews_its_line_and_lets_it_go(desk):
    visit = a_callback(desk)
    write(desk, visit, behind="no fault found")
    first = rows(desk, Owed)
    trouble = next(iter(visit_form(desk, visit.id).troubles.values()))
    done = all_done(trouble)
    left = trouble.owed_first[-1]
    most = {check: said for check, said in done.items() if check != left}
    write(desk, visit, findings=most)
    renewed = rows(desk, Owed)
    assert [one.id for one in renewed] == [first[0].id]
    assert renewed[0].what.endswith(": " + checks()[left].name.rstrip("?:"))
    write(desk, visit, findings=done)
    assert rows(desk, Owed) == []
    assert {f.result_id for f in rows(desk, Finding)} == set(done.values())


def test_a_reset_after_which_no_fault_was_found_leaves_the_checks_owed(desk):
    visit = a_callback(desk)
    write(desk, visit, behind="no fault found", fix="reset only")
    job = rows(desk, Job)[0]
    assert (job.no_fault_found, job.fix) == (True, "reset only")
    assert len(rows(desk, Owed)) == 1
    other = a_callback(desk, a_site(desk, "31 Quarry Spur"))
    done = all_done(the_trouble(desk, other))
    wrong = refused(desk, other, behind="no fault found", fix="reset only", findings=done)
    assert "lasting repair that is owed" in wrong["fix"]


def test_could_not_look_is_kept_as_an_answer(desk):
    visit = a_callback(desk)
    write(desk, visit, behind="could not look")
    assert first_entry(desk, visit_form(desk, visit.id)).jobs[0].behind == "could not look"
    assert rows(desk, Finding) == []


@pytest.mark.parametrize(
    ("behind", "cause_id", "known_by"),
    [
        ("established", "leaking-fixture", "seen"),
        ("presumed", "leaking-fixture", ""),
        ("no fault found", "", ""),
        ("could not look", "", ""),
    ],
)
def test_the_form_reads_again_what_was_written(desk, behind, cause_id, known_by):
    visit = a_callback(desk)
    write(desk, visit, behind=behind, cause_id=cause_id, known_by=known_by)
    job = first_entry(desk, visit_form(desk, visit.id)).jobs[0]
    assert (job.behind, job.cause_id) == (behind, cause_id)
    before = snapshot(desk.store)
    write(desk, visit)  # written again as it stands: nothing is another
    assert _without_log(snapshot(desk.store)) == _without_log(before)


def _without_log(tables):
    return {
        name: [
            {k: v for k, v in row.items() if k not in ("revision", "changed_at", "changed_by")}
            if isinstance(row, dict)
            else row
            for row in content
        ]
        for name, content in tables.items()
        if not name.startswith("change")
    }


def test_a_correction_updates_the_findings_and_both_changes_are_taken_back(desk):
    visit = a_callback(desk)
    planned = snapshot(desk.store)
    write(desk, visit, behind="could not look",
          findings={"lid-look": "loose", "toilet-dye": "no-leak"})  # fmt: skip
    written = snapshot(desk.store)
    lid = next(f.id for f in rows(desk, Finding) if f.check_id == "lid-look")
    write(desk, visit, findings={"lid-look": "secure", "splice-look": NOT_LOOKED_AT})
    said = {f.check_id: (f.id, f.result_id) for f in rows(desk, Finding)}
    assert said["lid-look"] == (lid, "secure")
    assert said["splice-look"][1] is None
    assert set(said) == {"lid-look", "splice-look"}
    undo(desk)
    assert snapshot(desk.store) == written
    undo(desk)
    assert snapshot(desk.store) == planned


def test_findings_of_older_papers_that_we_do_not_know_stay_as_they_are(desk):
    visit = a_callback(desk)
    system_id = rows(desk, Job)[0].system_id
    with desk.store.change(desk.who, "Old papers") as work:
        for check, result in (("smell-test", "bad"), ("lid-look", "so-so")):
            work.add(
                Finding(visit_id=visit.id, system_id=system_id, check_id=check, result_id=result,
                        found_at=desk.clock.now())
            )  # fmt: skip
    assert visit_form(desk, visit.id).findings == {rows(desk, Job)[0].id: {}}
    write(desk, visit, behind="could not look", findings={"toilet-dye": "no-leak"})
    assert {f.check_id: f.result_id for f in rows(desk, Finding)} == {
        "smell-test": "bad",
        "lid-look": "so-so",
        "toilet-dye": "no-leak",
    }


def _with_inspection(desk):
    visit = a_callback(desk)
    with desk.store.change(desk.who, "And an inspection") as work:
        system_id = work.session.query(Job).first().system_id
        work.add(Job(visit_id=visit.id, kind_of="inspection", system_id=system_id))
    return visit


@pytest.mark.parametrize(
    ("item", "readings", "finding", "says"),
    [
        (
            ("lids-found", ItemRow("good", "all secure")),
            {},
            {"lid-look": "loose"},
            (
                "here “screws missing, loose”, but “Every lid: whole, seated, screws” of the"
                " inspection says “secure”. Only one is so."
            ),
        ),
        (
            None,
            {"dissolved-oxygen": ReadingEntry("0.4", "mg/L")},
            {"dissolved-oxygen": "good"},
            (
                "here “about 2 mg/L or more”, but “Dissolved oxygen, pH, temperature” of the"
                " inspection says “under about 1”."
            ),
        ),
    ],
)
def test_an_inspection_and_a_check_that_contradict_each_other_are_noticed(
    desk, item, readings, finding, says
):
    visit = _with_inspection(desk)
    form = visit_form(desk, visit.id)
    entry = first_entry(desk, form)
    callback, inspection = entry.jobs
    callback = replace(callback, outcome="done", behind="could not look", findings=finding)
    inspection = replace(
        inspection, outcome="done", items=dict([item] if item else []), readings=readings
    )
    with pytest.raises(WrongEntry) as caught:
        notes_of(desk, form, entry.with_job(callback).with_job(inspection))
    check = next(iter(finding))
    assert [w.field for w in caught.value.wrong] == [f"job:{callback.job_id}:check:{check}"]
    assert says in caught.value.wrong[0].says
    agreeing = replace(callback, findings=dict.fromkeys(finding, NOT_LOOKED_AT))
    notes_of(desk, form, entry.with_job(agreeing).with_job(inspection))


def test_a_number_and_the_result_beside_it_must_agree(desk):
    wrong = refused(
        desk,
        a_callback(desk, said=("poor-effluent",)),
        behind="could not look",
        findings={"settling-test": "normal"},
        readings={"settled-30-min": ReadingEntry("75", "%")},
    )
    assert "but its number says" in wrong["check:settling-test"]


def test_the_draft_of_a_callback_keeps_its_findings_and_an_old_draft_is_read(desk):
    visit = a_callback(desk)
    form, entry = filled(
        desk,
        visit,
        behind="presumed",
        cause_id="leaking-fixture",
        findings={"toilet-dye": "leak", "lid-look": NOT_LOOKED_AT},
    )
    draft = entry_as_draft(desk, form, entry)
    assert entry_of_draft(draft, form) == entry
    old = {**draft.values, "jobs": [{"job_id": entry.jobs[0].job_id, "no_fault_found": True}]}
    job = entry_of_draft(replace(draft, values=old), form).jobs[0]
    assert (job.behind, job.findings) == ("no fault found", {})


def test_an_owed_job_asks_the_checks_of_the_call_that_led_to_it(desk):
    site = a_site(desk)
    first = a_callback(desk, site, said=("no-spray",))
    write(desk, first, behind="no fault found")
    owed = rows(desk, Owed)[0]
    again = a_visit(desk, site, kind_of="owed", job={"owed_id": owed.id}, begin_min=700,
                    leave_min=730)  # fmt: skip
    trouble = next(iter(visit_form(desk, again.id).troubles.values()))
    assert trouble.symptoms == ("no-spray",)
    assert not trouble.must_say
