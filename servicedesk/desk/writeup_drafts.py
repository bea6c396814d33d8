"""The form of a visit as a draft, and back."""

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from servicedesk.desk.drafts import Draft
from servicedesk.desk.office import Desk
from servicedesk.desk.writeup_behind import NO_FAULT
from servicedesk.desk.writeup_entry import (
    JobEntry,
    OwedEntry,
    ReadingEntry,
    VisitEntry,
    first_job,
)
from servicedesk.desk.writeup_form import VisitForm
from servicedesk.desk.writeup_part_entry import part_of_draft
from servicedesk.records.writeup_rows import ItemRow


def draft_uid(form: VisitForm) -> str:
    """The uid under which the draft of a visit is kept."""
    return f"visit-{form.written.visit.uid}"


def entry_as_draft(desk: Desk, form: VisitForm, entry: VisitEntry) -> Draft:
    """A half-written form as a draft."""
    return Draft(
        uid=draft_uid(form),
        kind="visit",
        title=form.site.address,
        saved_at=desk.clock.now(),
        values=asdict(entry),
    )


def entry_of_draft(draft: Draft, form: VisitForm) -> VisitEntry:
    """The half-written form that a draft holds, for the jobs the visit has now.

    `seen` stays what it was when the draft began, so that a later write of somebody else is
    noticed.
    """
    values = dict(draft.values)
    kept = {job["job_id"]: _job_of(job) for job in values.get("jobs", ())}
    jobs = tuple(kept.get(job.id) or first_job(form, job) for job in form.jobs)
    return VisitEntry(
        visit_id=form.written.visit.id,
        seen=int(values["seen"]),
        arrived=values.get("arrived", ""),
        left=values.get("left", ""),
        jobs=jobs,
        technician_id=values.get("technician_id"),
        parts=tuple(part_of_draft(one) for one in values.get("parts", ())),
        approved_by=values.get("approved_by", ""),
        approval_owed=bool(values.get("approval_owed", False)),
        owed=tuple(OwedEntry(**one) for one in values.get("owed", ())),
        settled=tuple(values.get("settled", ())),
        leaving=dict(values.get("leaving", {})),
        as_left=values.get("as_left", ""),
        note=values.get("note", ""),
        weather=values.get("weather", ""),
    )


def _job_of(values: Mapping[str, Any]) -> JobEntry:
    items = {item: ItemRow(**said) for item, said in values.get("items", {}).items()}
    readings = {number: ReadingEntry(**r) for number, r in values.get("readings", {}).items()}
    known = JobEntry.__dataclass_fields__.keys() - {"items", "readings"}
    plain = {name: value for name, value in values.items() if name in known}
    if values.get("no_fault_found"):  # as drafts had it before
        plain["behind"] = NO_FAULT
    return JobEntry(**plain, items=items, readings=readings)
