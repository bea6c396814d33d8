"""What is wrong with a write-up, said at its place; nothing is written then."""

from datetime import date

import pytest

from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.writeup import write_up
from servicedesk.desk.writeup_items import NOT_LOOKED_AT
from servicedesk.desk.writeup_notes import JobNotes, OwedNote, PartNote
from servicedesk.records.writeup_rows import ItemRow
from servicedesk.values.reading import Reading
from servicedesk.values.trouble import Trouble
from tests.builders import (
    TODAY,
    a_site,
    a_visit,
)
from tests.desk.written_visits import job_of, notes_for, the, two_jobs
from tests.records.snapshot import snapshot


@pytest.mark.parametrize(
    ("change", "field", "says"),
    [
        ({"left_min": 545}, "left", "Out at 9:05 am is not after in at 9:05 am."),
        ({"arrived_min": -1}, "arrived", "A time of the day"),
        ({"left_min": 1440}, "left", "A time of the day"),
        ({"parts": (PartNote(text=""),)}, "part:0:text", "which part"),
        ({"parts": (PartNote(text="Nozzle", quantity=0),)}, "part:0:quantity", "How many"),
        ({"owed": (OwedNote(what=" "),)}, "owed:0:what", "what is owed"),
        (
            {"owed": (OwedNote(what="x", by_on=date(2026, 10, 13)),)},
            "owed:0:by",
            "has passed already",
        ),
    ],
)
def test_what_is_wrong_with_a_visit_is_said_at_its_place(desk, change, field, says):
    visit = a_visit(desk, a_site(desk))
    _refused(desk, notes_for(desk, visit, **change), field, says)


@pytest.mark.parametrize(
    ("job", "field", "says"),
    [
        ({"outcome": "maybe"}, "outcome", "no outcome"),
        ({"outcome": ""}, "outcome", "has no outcome yet"),
        ({"outcome": "could not"}, "could_not", "Say why not: no access"),
        ({"outcome": "could not", "could_not": "tired"}, "could_not", "Say why not"),
        ({"fix": "bodged"}, "fix", "fixed, patched or reset only"),
        ({"fix": "fixed", "no_fault_found": True}, "fix", "only one is so"),
        ({"minutes": 0}, "minutes", "from 1 to a day"),
        ({"items": {"mixing": ItemRow("fine")}}, "item:mixing", "no grade of mixing"),
        ({"items": {"moat": ItemRow("good")}}, "item:moat", "no grade of moat"),
        ({"readings": {"ph": Reading(value="7,1", unit="pH")}}, "reading:ph", "not a number"),
        ({"readings": {"ph": Reading(value="NaN", unit="pH")}}, "reading:ph", "not a number"),
        ({"readings": {"ph": Reading(value="7", unit="psi")}}, "reading:ph", "taken in pH"),
        ({"readings": {"ph": Reading(value="-1", unit="pH")}}, "reading:ph", "below zero"),
        ({"readings": {"ph": Reading(value="", unit="pH")}}, "reading:ph", "not a number"),
        ({"readings": {"moat": Reading(value="1", unit="m")}}, "reading:moat", "no reading"),
    ],
)
def test_what_is_wrong_with_a_job_is_said_at_its_place(desk, job, field, says):
    visit = a_visit(desk, a_site(desk))
    job_id = job_of(desk, visit)
    notes = notes_for(desk, visit, JobNotes(job_id=job_id, **job))
    _refused(desk, notes, f"job:{job_id}:{field}", says)


def _refused(desk, notes, field, says):
    before = snapshot(desk.store)
    with pytest.raises(WrongEntry) as caught:
        write_up(desk, notes)
    assert [(w.field, says in w.says) for w in caught.value.wrong] == [(field, True)]
    assert snapshot(desk.store) == before


def test_every_job_needs_its_outcome_and_a_job_of_another_visit_is_refused(desk):
    visit = two_jobs(desk)
    first, second = job_of(desk, visit), job_of(desk, visit, 1)
    _refused(
        desk, notes_for(desk, visit, JobNotes(job_id=first)), f"job:{second}:outcome", "The repair"
    )
    both = (JobNotes(job_id=first), JobNotes(job_id=second), JobNotes(job_id=9999))
    with pytest.raises(Trouble, match="9999"):
        write_up(desk, notes_for(desk, visit, *both))


@pytest.mark.parametrize(
    ("found", "ticked", "refused"),
    [
        ("watch", False, True),
        ("failed", False, True),
        ("failed", True, False),
        ("good", False, False),
        (NOT_LOOKED_AT, False, False),
    ],
)
def test_nobody_leaves_a_lid_that_is_not_whole_seated_and_screwed(desk, found, ticked, refused):
    # corrections of the look: such a lid is never an ordinary patch, it is mended the same day
    visit = a_visit(desk, a_site(desk))
    job = JobNotes(job_id=job_of(desk, visit), items={"lids-found": ItemRow(found)})
    notes = notes_for(desk, visit, job, leaving={"leave-lids-screwed": ticked})
    if refused:
        _refused(desk, notes, "leaving:leave-lids-screwed", "somebody stays until it is safe")
    else:
        write_up(desk, notes)
        assert the(desk, visit).state == "done"


def test_a_visit_of_a_day_to_come_or_off_the_plan_is_not_written_up(desk):
    site = a_site(desk)
    later = a_visit(desk, site, planned_on=date(2026, 10, 15))
    with pytest.raises(Trouble, match="planned for Thu, Oct 15"):
        write_up(desk, notes_for(desk, later))
    gone = a_visit(desk, site, state="dropped")
    with pytest.raises(Trouble, match="taken off the plan"):
        write_up(desk, notes_for(desk, gone))


def test_a_visit_without_a_day_is_written_up_today(desk):
    visit = a_visit(desk, a_site(desk), planned_on=None)
    write_up(desk, notes_for(desk, visit))
    assert the(desk, visit).planned_on == TODAY
