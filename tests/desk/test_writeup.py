"""The write-up of a visit: what it writes, what it moves, what it refuses, how it is taken back."""

from dataclasses import replace
from datetime import date

import pytest

from servicedesk.desk.changes import undo
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.windows import current_windows
from servicedesk.desk.writeup import write_up
from servicedesk.desk.writeup_form import stops_of_round, visit_form
from servicedesk.desk.writeup_items import NOT_LOOKED_AT, as_usual, form_items
from servicedesk.desk.writeup_notes import JobNotes, OwedNote, PartNote
from servicedesk.records.errors import StaleEdit
from servicedesk.records.owed import Owed
from servicedesk.records.visits import ItemResult, Job, PartLine, ReadingRow
from servicedesk.records.writeup_rows import ItemRow
from servicedesk.values.reading import Qualifier, Reading, ReadingState
from servicedesk.values.trouble import Trouble
from tests.builders import (
    TODAY,
    a_call,
    a_contract,
    a_done_visit,
    a_round,
    a_site,
    a_technician,
    a_visit,
    something_owed,
)
from tests.desk.written_visits import job_of, notes_for, rows, the, two_jobs
from tests.records.snapshot import snapshot


def test_a_visit_written_up_is_done_with_its_times_people_and_minutes(desk):
    site = a_site(desk)
    lena = a_technician(desk)
    round_ = a_round(desk, lena, state="handed out")
    visit = a_visit(desk, site, round_id=round_.id, place=1)

    write_up(desk, notes_for(desk, visit, weather="rain", as_left=" all runs ", note="n"))

    done = the(desk, visit)
    assert done.state == "done"
    assert (done.arrived_at, done.left_at) == (
        desk.clock.instant(TODAY, 545),
        desk.clock.instant(TODAY, 590),
    )
    assert done.technician_id == lena.id
    assert (done.weather, done.as_left, done.note) == ("rain", "all runs", "n")
    job = rows(desk, Job, visit_id=visit.id)[0]
    assert (job.outcome, job.minutes) == ("done", 45)


def test_the_round_is_done_with_its_last_stop_and_not_before(desk):
    lena = a_technician(desk)
    round_ = a_round(desk, lena, state="handed out")
    visits = [
        a_visit(desk, a_site(desk, f"{n} Quarry Spur"), round_id=round_.id, place=n) for n in (1, 2)
    ]
    write_up(desk, notes_for(desk, visits[0]))
    assert the(desk, round_).state == "handed out"
    write_up(desk, notes_for(desk, visits[1]))
    assert the(desk, round_).state == "done"


def test_the_stops_stand_in_the_order_of_the_sheet(desk):
    lena = a_technician(desk)
    round_ = a_round(desk, lena, state="handed out")
    for place in (3, 1, 2):
        a_visit(desk, a_site(desk, f"{place} Quarry Spur"), round_id=round_.id, place=place)
    stops = stops_of_round(desk, round_.id, TODAY)
    assert [stop.address for stop in stops] == [f"{n} Quarry Spur" for n in (1, 2, 3)]


def test_an_attempt_stays_in_history_and_fills_no_window(desk):
    site = a_site(desk)
    contract = a_contract(desk, site)
    visit = a_visit(desk, site, job={"contract_id": contract.id, "ordinal": 2})

    def done_windows():
        return [w.window.done_on for w in current_windows(desk, site_id=site.id)]

    before = done_windows()
    locked = JobNotes(
        job_id=job_of(desk, visit),
        outcome="could not",
        could_not="no access",
        note_left=True,
        told_whom="neighbor",
    )
    write_up(desk, notes_for(desk, visit, locked))
    assert done_windows() == before
    job = rows(desk, Job, visit_id=visit.id)[0]
    assert (job.outcome, job.could_not, job.note_left, job.told_whom) == (
        "could not",
        "no access",
        True,
        "neighbor",
    )

    write_up(desk, notes_for(desk, visit))  # corrected: it was done after all
    assert done_windows() != before
    assert TODAY in done_windows()


def test_a_callback_that_is_done_answers_its_call(desk):
    site = a_site(desk)
    call = a_call(desk, site)
    visit = a_visit(desk, site, kind_of="callback", job={"call_id": call.id})
    fixed = JobNotes(
        job_id=job_of(desk, visit),
        found="float stuck",
        did="new float",
        fix="fixed",
        cause_id="alarm-float-stuck-closed",
        cause_known_by="replaced and gone",
    )
    write_up(desk, notes_for(desk, visit, fixed))
    answered = the(desk, call)
    assert answered.state == "answered"
    assert answered.answered_at == desk.clock.instant(TODAY, 590)


@pytest.mark.parametrize("outcome", ["partly", "could not"])
def test_a_callback_that_is_not_done_leaves_its_call_open(desk, outcome):
    site = a_site(desk)
    call = a_call(desk, site)
    visit = a_visit(desk, site, kind_of="callback", job={"call_id": call.id})
    why = "no power" if outcome == "could not" else ""
    not_done = JobNotes(job_id=job_of(desk, visit), outcome=outcome, could_not=why)
    write_up(desk, notes_for(desk, visit, not_done))
    assert the(desk, call).state == "open"


def test_a_call_answered_on_the_phone_is_not_opened_by_an_attempt(desk):
    site = a_site(desk)
    call = a_call(desk, site, state="answered")
    visit = a_visit(desk, site, kind_of="callback", job={"call_id": call.id})
    attempt = JobNotes(job_id=job_of(desk, visit), outcome="could not", could_not="no access")
    write_up(desk, notes_for(desk, visit, attempt))
    assert the(desk, call).state == "answered"


def test_a_corrected_outcome_opens_the_call_again(desk):
    site = a_site(desk)
    call = a_call(desk, site)
    visit = a_visit(desk, site, kind_of="callback", job={"call_id": call.id})
    write_up(desk, notes_for(desk, visit))
    partly = JobNotes(job_id=job_of(desk, visit), outcome="partly")
    write_up(desk, notes_for(desk, visit, partly))
    assert (the(desk, call).state, the(desk, call).answered_at) == ("open", None)


def test_owed_work_is_settled_by_its_job_or_on_the_way_and_opened_by_a_correction(desk):
    site = a_site(desk)
    by_job, on_the_way, left = (
        something_owed(desk, site, what) for what in ("spray head", "splice box", "screen")
    )
    visit = a_visit(desk, site, kind_of="owed", job={"owed_id": by_job.id})
    write_up(desk, notes_for(desk, visit, settled=(on_the_way.id,)))
    for owed in (by_job, on_the_way):
        now = the(desk, owed)
        assert (now.state, now.settled_on, now.settled_visit_id) == ("settled", TODAY, visit.id)
    assert the(desk, left).state == "open"

    partly = JobNotes(job_id=job_of(desk, visit), outcome="partly")
    write_up(desk, notes_for(desk, visit, partly))
    for owed in (by_job, on_the_way, left):
        now = the(desk, owed)
        assert (now.state, now.settled_on, now.settled_visit_id) == ("open", None, None)


def test_patched_is_written_with_what_is_owed(desk):
    site = a_site(desk)
    visit = a_visit(desk, site, kind_of="repair")
    job = JobNotes(job_id=job_of(desk, visit), did="tied up", fix="patched")
    with pytest.raises(WrongEntry) as caught:
        write_up(desk, notes_for(desk, visit, job))
    assert [w.field for w in caught.value.wrong] == [f"job:{job.job_id}:fix"]
    by = date(2026, 11, 30)
    owed = OwedNote(what="west head", needs="low nozzle", by_on=by)
    write_up(desk, notes_for(desk, visit, job, owed=(owed,)))
    row = rows(desk, Owed, visit_id=visit.id)[0]
    assert (row.what, row.needs, row.by_on, row.since_on, row.state, row.debtor) == (
        "west head",
        "low nozzle",
        by,
        TODAY,
        "open",
        "us",
    )
    assert row.site_id == site.id
    assert row.system_id == rows(desk, Job, visit_id=visit.id)[0].system_id


def test_readings_keep_their_exact_text_sign_state_and_the_limits_of_the_day(desk):
    visit = a_visit(desk, a_site(desk))
    readings = {
        "total-chlorine": Reading(value="0.10", unit="mg/L", qualifier=Qualifier.LESS),
        "dissolved-oxygen": Reading(value="2.400", unit="mg/L"),
        "free-chlorine": Reading(value="3.5", unit="mg/L", qualifier=Qualifier.GREATER),
        "solids-share": Reading(value="", unit="%", qualifier=Qualifier.OVER_RANGE),
        "ph": Reading(value="", unit="pH", state=ReadingState.NOT_MEASURED),
        "settled-30-min": Reading(value="", unit="%", state=ReadingState.NOT_REQUIRED),
        "air-pressure": Reading(value="22", unit="kPa"),
        "fecal-coliform": Reading(value="150", unit="CFU/100 mL"),
    }
    job = JobNotes(job_id=job_of(desk, visit), readings=readings)
    write_up(desk, notes_for(desk, visit, job))
    said = {
        r.item_id: (r.value, r.unit, r.qualifier, r.state, r.limit_low, r.limit_high)
        for r in rows(desk, ReadingRow, job_id=job.job_id)
    }
    # 0.1 mg/L total chlorine: figure of 30 TAC 285.91(4), Table IV; oxygen 1 to 3 as in
    # resources/trade/readings.yaml, which names the sources
    assert said == {
        "total-chlorine": ("0.10", "mg/L", "<", "measured", "0.1", None),
        "dissolved-oxygen": ("2.400", "mg/L", "=", "measured", "1", "3"),
        "free-chlorine": ("3.5", "mg/L", ">", "measured", None, None),
        "solids-share": ("", "%", "over range", "measured", "0", "25"),
        "ph": ("", "pH", "=", "not measured", "6", "9"),
        "settled-30-min": ("", "%", "=", "not required", "30", "50"),
        "air-pressure": ("22", "kPa", "=", "measured", None, None),
        # its limit is one of MPN: a reading in another unit is not measured against it
        "fecal-coliform": ("150", "CFU/100 mL", "=", "measured", None, None),
    }
    assert visit_form(desk, visit.id).jobs[0].readings == readings


def test_all_as_usual_writes_a_row_for_every_item_and_claims_no_opened_splice(desk):
    visit = a_visit(desk, a_site(desk))
    usual = as_usual(form_items())
    job = JobNotes(job_id=job_of(desk, visit), items=usual)
    write_up(desk, notes_for(desk, visit, job))
    said = {r.item_id: (r.grade, r.answer) for r in rows(desk, ItemResult, job_id=job.job_id)}
    assert set(said) == {one.item.id for one in form_items()}
    assert said["lids-found"] == ("good", "all secure")
    assert said["splices-look"] == (NOT_LOOKED_AT, "")
    assert said["pump-readings"] == (NOT_LOOKED_AT, "")  # only measured


def test_untouched_items_have_no_row(desk):
    visit = a_visit(desk, a_site(desk))
    job = JobNotes(job_id=job_of(desk, visit), items={"mixing": ItemRow("watch", "weak", "east")})
    write_up(desk, notes_for(desk, visit, job))
    found = rows(desk, ItemResult, job_id=job.job_id)
    assert [(r.item_id, r.grade, r.answer, r.note) for r in found] == [
        ("mixing", "watch", "weak", "east")
    ]


def test_a_corrected_write_up_stands_in_place_of_the_first(desk):
    visit = a_visit(desk, a_site(desk))
    job_id = job_of(desk, visit)
    ph = Reading(value="7.1", unit="pH")
    first = JobNotes(
        job_id=job_id,
        items={"mixing": ItemRow("good", "even"), "screen": ItemRow("good", "light")},
        readings={"ph": ph, "temperature": Reading(value="68", unit="°F")},
    )
    owed = (OwedNote(what="nozzle"), OwedNote(what="screen lid"))
    parts = (PartNote(text="Sealed connector", quantity=4), PartNote(text="Low nozzle"))
    write_up(desk, notes_for(desk, visit, first, owed=owed, parts=parts))
    kept_owed = rows(desk, Owed, visit_id=visit.id)[0].id

    second = replace(
        first,
        items={"mixing": ItemRow("failed", "none")},
        readings={"ph": replace(ph, value="6.9")},
    )
    write_up(
        desk,
        notes_for(
            desk,
            visit,
            second,
            owed=(OwedNote(what="nozzle, low", owed_id=kept_owed),),
            parts=(
                PartNote(text="Sealed connector", quantity=4),
                PartNote(text="Low nozzle", quantity=2),
            ),
            arrived_min=550,
        ),
    )
    assert [(r.item_id, r.grade) for r in rows(desk, ItemResult)] == [("mixing", "failed")]
    assert [(r.item_id, r.value) for r in rows(desk, ReadingRow)] == [("ph", "6.9")]
    assert [(r.id, r.what) for r in rows(desk, Owed)] == [(kept_owed, "nozzle, low")]
    assert [(r.text, r.quantity) for r in rows(desk, PartLine)] == [
        ("Sealed connector", 4),
        ("Low nozzle", 2),
    ]
    assert the(desk, visit).arrived_at == desk.clock.instant(TODAY, 550)


def test_owed_work_that_is_planned_already_does_not_vanish_with_a_correction(desk):
    site = a_site(desk)
    visit = a_visit(desk, site)
    write_up(desk, notes_for(desk, visit, owed=(OwedNote(what="nozzle"),)))
    owed = rows(desk, Owed)[0]
    a_visit(desk, site, planned_on=date(2026, 10, 20), kind_of="owed", job={"owed_id": owed.id})
    before = snapshot(desk.store)
    with pytest.raises(Trouble, match="planned or settled already"):
        write_up(desk, notes_for(desk, visit))
    assert snapshot(desk.store) == before


def test_undo_puts_everything_back_as_before(desk):
    site = a_site(desk)
    lena = a_technician(desk)
    round_ = a_round(desk, lena, state="handed out")
    call = a_call(desk, site)
    old = something_owed(desk, site)
    visit = a_visit(
        desk, site, kind_of="callback", job={"call_id": call.id}, round_id=round_.id, place=1
    )
    before = snapshot(desk.store)
    job = JobNotes(
        job_id=job_of(desk, visit),
        did="tied up",
        fix="patched",
        items=as_usual(),
        readings={"ph": Reading(value="7", unit="pH")},
    )
    write_up(
        desk,
        notes_for(
            desk,
            visit,
            job,
            owed=(OwedNote(what="nozzle"),),
            settled=(old.id,),
            parts=(PartNote(text="Nozzle"),),
            leaving={"leave-gate": True},
        ),
    )
    assert snapshot(desk.store) != before
    undo(desk)
    assert snapshot(desk.store) == before


def test_a_correction_is_taken_back_to_the_first_write_up(desk):
    visit = a_visit(desk, a_site(desk))
    job = JobNotes(job_id=job_of(desk, visit), items=as_usual())
    write_up(desk, notes_for(desk, visit, job, parts=(PartNote(text="Nozzle"),)))
    before = snapshot(desk.store)
    write_up(desk, notes_for(desk, visit, replace(job, items={}, outcome="partly")))
    undo(desk)
    assert snapshot(desk.store) == before


def test_a_write_up_of_an_older_page_is_refused_and_nothing_is_lost(desk):
    visit = a_visit(desk, a_site(desk))
    stale = notes_for(desk, visit)
    write_up(desk.seated("Tobin"), notes_for(desk, visit, weather="sun"))
    before = snapshot(desk.store)
    with pytest.raises(StaleEdit, match="Tobin") as caught:
        write_up(desk, stale)
    assert caught.value.now["weather"] == "sun"
    assert snapshot(desk.store) == before


def test_each_job_keeps_its_own_outcome(desk):
    visit = two_jobs(desk)
    jobs = (
        JobNotes(job_id=job_of(desk, visit), outcome="partly"),
        JobNotes(job_id=job_of(desk, visit, 1), outcome="could not", could_not="wrong part"),
    )
    write_up(desk, notes_for(desk, visit, *jobs))
    found = [(j.outcome, j.could_not) for j in rows(desk, Job, visit_id=visit.id)]
    assert found == [("partly", ""), ("could not", "wrong part")]


def test_the_form_shows_the_five_readings_before_newest_first(desk):
    site = a_site(desk)
    for month in range(1, 8):
        past = a_done_visit(desk, site, date(2026, month, 3))
        with desk.store.change(desk.who, "A reading") as work:
            work.add(
                ReadingRow(job_id=job_of(desk, past), item_id="ph", value=f"7.{month}", unit="pH")
            )
    form = visit_form(desk, a_visit(desk, site).id)
    earlier = form.earlier[form.jobs[0].system_id, "ph"]
    assert [(r.value, r.on.month) for r in earlier] == [(f"7.{m}", m) for m in (7, 6, 5, 4, 3)]


def test_the_form_tells_what_is_owed_whom_the_call_is_from_and_the_cautions_in_full(desk):
    from servicedesk.trade.cautions import cautions

    site = a_site(desk)
    owed = something_owed(desk, site)
    call = a_call(desk, site)
    visit = a_visit(desk, site, kind_of="callback", job={"call_id": call.id})
    form = visit_form(desk, visit.id)
    assert [row.id for row in form.owed] == [owed.id]
    assert form.calls[call.id].caller == "Ruth Quillan"
    assert cautions()["lockout"].text in form.cautions
    assert cautions()["single-reset"].text in form.cautions  # of a callback
