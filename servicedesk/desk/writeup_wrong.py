"""What is wrong with a write-up, each sentence at the field it belongs to."""

from collections.abc import Iterable, Mapping
from datetime import date

from servicedesk.desk.checking import Wrong
from servicedesk.desk.office import Desk
from servicedesk.desk.writeup_behind import WORKAROUNDS, wrong_trouble
from servicedesk.desk.writeup_checks import JobTrouble
from servicedesk.desk.writeup_items import GRADES, is_lid_open
from servicedesk.desk.writeup_notes import OUTCOMES, JobNotes, VisitNotes
from servicedesk.desk.writeup_parts import PartsHere
from servicedesk.desk.writeup_parts_wrong import wrong_parts
from servicedesk.records.writeup_rows import WrittenVisit
from servicedesk.trade.check_units import number_of
from servicedesk.trade.readings import catalogue
from servicedesk.values.reading import Qualifier, Reading, ReadingState
from servicedesk.values.trouble import Trouble
from servicedesk.words import say
from servicedesk.words.jobs import COULD_NOT_REASONS, could_not_text, kind_text

FIXES = ("", "fixed", "patched", "reset only")
_MINUTES = 24 * 60


def refuse_day(desk: Desk, before: WrittenVisit) -> date:
    """The day of the visit. Raises Trouble if it is still to come, or was dropped."""
    day = before.visit.planned_on or desk.today
    if before.visit.state == "dropped":
        raise Trouble(
            say("This visit was taken off the plan."),
            do=say("Plan a visit there again, then write it up."),
        )
    if day > desk.today:
        raise Trouble(
            say("This visit is planned for {day}.", day=desk.formats.weekday(day)),
            do=say("Write it up on the day, or move it to today first."),
        )
    return day


def wrong_notes(
    desk: Desk,
    notes: VisitNotes,
    before: WrittenVisit,
    troubles: Mapping[int, JobTrouble],
    here: PartsHere,
) -> list[Wrong]:
    """Everything that is wrong, in the order of the form. Fields as in `writeup_entry`."""
    wrong = list(_wrong_times(desk, notes))
    said = {job.job_id: job for job in notes.jobs}
    for row in before.visit.jobs:
        job = said.get(row.id)
        if job is None or not job.outcome:
            wrong.append(
                Wrong(
                    f"job:{row.id}:outcome",
                    say(
                        "The {kind} has no outcome yet: done, partly or could not.",
                        kind=kind_text(row.kind),
                    ),
                )
            )
        else:
            wrong += _wrong_job(job, notes, is_owed=row.owed_id is not None)
    for job_id in said.keys() - {row.id for row in before.visit.jobs}:
        raise Trouble(say("Job {id} is not one of this visit.", id=job_id))
    wrong += wrong_trouble(notes, troubles)
    wrong += wrong_parts(desk, notes, here)
    wrong += _wrong_rest(desk, notes)
    if is_lid_open([job.items for job in notes.jobs], notes.leaving):
        wrong.append(Wrong("leaving:leave-lids-screwed", lid_sentence()))
    return wrong


def workaround_sentence(fix: str) -> str:
    """What a fix that does not last still asks for."""
    if fix == "reset only":
        return say(
            "Freed, dried or reset is not fixed: write the lasting repair that is owed, by when."
        )
    return say("Patched: write what is still owed, what it needs, by when.")


def lid_sentence() -> str:
    """The one thing that is never patched and left."""
    return say(
        "A lid that is not whole, seated and screwed is never left: somebody stays until it is"
        " safe, and it is mended the same day. Finish the visit when every screw is in."
    )


def _wrong_times(desk: Desk, notes: VisitNotes) -> Iterable[Wrong]:
    for field, minute in (("arrived", notes.arrived_min), ("left", notes.left_min)):
        if not 0 <= minute < _MINUTES:
            yield Wrong(field, say("A time of the day is from 0:00 to 23:59."))
            return
    if notes.left_min <= notes.arrived_min:
        yield Wrong(
            "left",
            say(
                "Out at {left} is not after in at {arrived}.",
                left=desk.formats.time(notes.left_min),
                arrived=desk.formats.time(notes.arrived_min),
            ),
        )
    if notes.travel_min is not None and not 0 <= notes.travel_min < _MINUTES:
        yield Wrong("travel", say("The drive is from 0 minutes to a day."))


def _wrong_job(job: JobNotes, notes: VisitNotes, *, is_owed: bool) -> Iterable[Wrong]:
    at = f"job:{job.job_id}"
    if job.outcome not in OUTCOMES:
        yield Wrong(
            f"{at}:outcome",
            say("“{what}” is no outcome: done, partly or could not.", what=job.outcome),
        )
    if job.outcome == "could not" and job.could_not not in COULD_NOT_REASONS:
        reasons = ", ".join(could_not_text(reason) for reason in COULD_NOT_REASONS)
        yield Wrong(f"{at}:could_not", say("Say why not: {reasons}.", reasons=reasons))
    if job.fix not in FIXES:
        yield Wrong(f"{at}:fix", say("Say fixed, patched or reset only."))
    stays_owed = is_owed and job.outcome == "partly"  # what the job is about is not settled
    if job.fix in WORKAROUNDS and not notes.owed and not stays_owed:
        yield Wrong(f"{at}:fix", workaround_sentence(job.fix))
    if job.fix in ("fixed", "patched") and job.no_fault_found:
        yield Wrong(f"{at}:fix", say("No fault found and something mended: only one is so."))
    if job.minutes is not None and not 0 < job.minutes < _MINUTES:
        yield Wrong(f"{at}:minutes", say("Minutes on site are from 1 to a day."))
    for item, said in job.items.items():
        if said.grade not in GRADES or catalogue().item(item) is None:
            yield Wrong(
                f"{at}:item:{item}",
                say("“{grade}” is no grade of {item}.", grade=said.grade, item=item),
            )
    for number, reading in job.readings.items():
        sentence = wrong_reading(number, reading)
        if sentence:
            yield Wrong(f"{at}:reading:{number}", sentence)


def wrong_reading(number_id: str, reading: Reading) -> str:
    """What is wrong with a reading, "" if nothing is."""
    number = number_of(number_id)
    if number is None:
        return say("“{id}” is no reading we know.", id=number_id)
    if reading.state in (ReadingState.NOT_MEASURED, ReadingState.NOT_REQUIRED):
        return ""
    if reading.unit not in number.units:
        units = ", ".join(number.units)
        return say("{name} is taken in {units}.", name=number.name, units=units)
    if reading.qualifier in (Qualifier.TOO_MANY, Qualifier.OVER_RANGE) and not reading.value:
        return ""
    value = reading.number()
    if value is None or not value.is_finite():
        return say(
            "“{value}” is not a number for {name}: write it like 0.4, <0.1, over range.",
            value=reading.value,
            name=number.name,
        )
    if value < 0 and number.id != "temperature":
        return say("{name} is not below zero.", name=number.name)
    return ""


def _wrong_rest(desk: Desk, notes: VisitNotes) -> Iterable[Wrong]:
    for n, owed in enumerate(notes.owed):
        if not owed.what.strip():
            yield Wrong(f"owed:{n}:what", say("Write what is owed."))
        if owed.by_on is not None and owed.by_on < desk.today and owed.owed_id is None:
            yield Wrong(f"owed:{n}:by", say("The last day has passed already."))
