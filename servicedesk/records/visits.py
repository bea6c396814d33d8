"""One stop by one crew, and the jobs done there."""

from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Logged, Uid, ref


class Visit(Logged):
    """One stop at a site."""

    __tablename__ = "visit"
    uid: Mapped[Uid]
    site_id: Mapped[int] = ref("site")
    planned_on: Mapped[date | None] = mapped_column(index=True)  # None: no day yet
    state: Mapped[str] = mapped_column(default="planned", index=True)  # planned, done, dropped
    round_id: Mapped[int | None] = ref("round", optional=True)
    place: Mapped[int | None]  # order in the round, from 1
    arrive_min: Mapped[int | None]  # planned, minutes after midnight
    begin_min: Mapped[int | None]
    leave_min: Mapped[int | None]
    drive_min: Mapped[int | None]  # planned drive to it
    held: Mapped[bool] = mapped_column(default=False)  # by hand: crew and order stay
    held_crew_id: Mapped[int | None] = ref("technician", optional=True)
    held_at_min: Mapped[int | None]  # begins exactly then
    told: Mapped[bool] = mapped_column(default=False)  # the customer knows the day
    promise_from_min: Mapped[int | None]
    promise_until_min: Mapped[int | None]
    wishes: Mapped[dict[str, Any]] = mapped_column(default=dict)
    service_min: Mapped[int | None]  # by hand; None: learned
    kept_apart: Mapped[bool] = mapped_column(default=False)  # not joined with other jobs here
    technician_id: Mapped[int | None] = ref("technician", optional=True)  # who came
    arrived_at: Mapped[datetime | None] = mapped_column(index=True)
    left_at: Mapped[datetime | None]
    travel_min: Mapped[int | None]  # as driven
    weather: Mapped[str] = mapped_column(default="")
    leaving: Mapped[dict[str, Any]] = mapped_column(default=dict)  # leaving list item: ticked
    as_left: Mapped[str] = mapped_column(default="")
    note: Mapped[str] = mapped_column(default="")


class Job(Logged):
    """One thing to do at a visit, with its own outcome."""

    __tablename__ = "job"
    visit_id: Mapped[int] = ref("visit")
    kind_of: Mapped[
        str
    ]  # inspection, callback, owed, repair, installation, start-up, pump-out, sale, estimate
    system_id: Mapped[int | None] = ref("system", optional=True)
    contract_id: Mapped[int | None] = ref("contract", optional=True)
    ordinal: Mapped[int | None]  # which inspection of the contract year
    window_from: Mapped[date | None]
    window_until: Mapped[date | None]
    call_id: Mapped[int | None] = ref("call", optional=True)
    owed_id: Mapped[int | None] = ref("owed", optional=True)
    firm_id: Mapped[int | None] = ref("firm", optional=True)  # done by another firm
    firm_state: Mapped[str] = mapped_column(default="")  # asked, promised, done
    volume_gal: Mapped[int | None]
    manifest: Mapped[str] = mapped_column(default="")
    outcome: Mapped[str | None]  # done, partly, could not; None: not yet
    could_not: Mapped[str] = mapped_column(
        default=""
    )  # no access, refused, no power, lid buried, ...
    told_whom: Mapped[str] = mapped_column(default="")
    note_left: Mapped[bool] = mapped_column(default=False)
    found: Mapped[str] = mapped_column(default="")  # in words
    did: Mapped[str] = mapped_column(default="")
    cause_id: Mapped[str | None]  # of trade knowledge
    cause_known_by: Mapped[str] = mapped_column(default="")
    no_fault_found: Mapped[bool] = mapped_column(default=False)
    fix: Mapped[str] = mapped_column(default="")  # fixed, patched, reset only, ""
    checks_done: Mapped[list[Any]] = mapped_column(default=list)  # check ids as said in old papers
    parts_changed: Mapped[list[Any]] = mapped_column(default=list)
    minutes: Mapped[int | None]
    billing: Mapped[str] = mapped_column(default="")  # contract, warranty, billable
    price_minor: Mapped[int | None]


class Finding(Logged):
    """What somebody saw, heard or measured at one unit."""

    __tablename__ = "finding"
    visit_id: Mapped[int | None] = ref("visit", optional=True)
    call_id: Mapped[int | None] = ref("call", optional=True)
    system_id: Mapped[int | None] = ref("system", optional=True)
    unit_id: Mapped[int | None] = ref("unit", optional=True)
    check_id: Mapped[str]
    result_id: Mapped[str | None]  # None: not looked at
    found_by: Mapped[str] = mapped_column(default="")
    found_at: Mapped[datetime]
    weather: Mapped[str] = mapped_column(default="")
    knowledge: Mapped[str] = mapped_column(default="")  # version of the fault knowledge
    note: Mapped[str] = mapped_column(default="")


class ItemResult(Logged):
    """What was said of one inspection item. No row is not the same as *not looked at*."""

    __tablename__ = "item_result"
    job_id: Mapped[int] = ref("job")
    item_id: Mapped[str]
    grade: Mapped[str]  # good, watch, failed, not looked at
    answer: Mapped[str] = mapped_column(default="")  # which of the item's answers, in its words
    unit_id: Mapped[int | None] = ref("unit", optional=True)
    note: Mapped[str] = mapped_column(default="")


class ReadingRow(Logged):
    """A reading: the exact decimal text in the unit it was taken in."""

    __tablename__ = "reading"
    job_id: Mapped[int] = ref("job")
    item_id: Mapped[str]
    value: Mapped[str] = mapped_column(default="")
    unit: Mapped[str] = mapped_column(default="")
    qualifier: Mapped[str] = mapped_column(default="=")
    state: Mapped[str] = mapped_column(default="measured")
    limit_low: Mapped[str | None]
    limit_high: Mapped[str | None]
    rule_id: Mapped[str | None]
    rule_version: Mapped[str | None]


class PartLine(Logged):
    """A part used at a visit, as written; later matched to the catalogue."""

    __tablename__ = "part_line"
    visit_id: Mapped[int] = ref("visit")
    job_id: Mapped[int | None] = ref("job", optional=True)
    part_id: Mapped[int | None] = ref("part", optional=True)
    text: Mapped[str]
    quantity: Mapped[int] = mapped_column(default=1)
    billing: Mapped[str] = mapped_column(default="")
    price_minor: Mapped[int | None]  # of one, set by hand; None: the catalogue's of that day
    new_unit_id: Mapped[int | None] = ref("unit", optional=True)
