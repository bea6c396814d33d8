"""What is written of a visit: times, outcomes, readings, parts, what is owed, how it was left."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from servicedesk.records.writeup_rows import ItemRow
from servicedesk.values.reading import Reading

OUTCOMES = ("done", "partly", "could not")


@dataclass(frozen=True, slots=True, kw_only=True)
class OwedNote:
    """Something left to do. `owed_id` names what an earlier write-up of the visit said already."""

    what: str
    workaround: str = ""
    needs: str = ""
    by_on: date | None = None
    debtor: str = "us"
    waits_for: str = ""
    owed_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitNote:
    """A unit put in: in place of `old_unit_id`, or None where none was on record.

    `why` the old one came out (begins with *failed* where it failed), `whereabouts` of it now;
    `model` "" as the old one's; `warranty_until` (excluded) of the new one; `by` who fitted it.
    """

    component: str
    old_unit_id: int | None = None
    system_id: int | None = None
    why: str = ""
    whereabouts: str = ""
    serial: str = ""
    model: str = ""
    warranty_until: date | None = None
    by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartNote:
    """A part used. `part_id` None: in no catalogue. `line_id` names what was written before.

    `place_id` where it was taken from (None: as before, else the truck of the round); `billing`
    "" as worked out; `price_minor` of one where a person set it, None: the catalogue's that day.
    """

    text: str
    quantity: int = 1
    part_id: int | None = None
    place_id: int | None = None
    job_id: int | None = None
    billing: str = ""
    price_minor: int | None = None
    line_id: int | None = None
    unit: UnitNote | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class JobNotes:
    """What was written of one job: `items` by item id, `readings` by number id.

    `behind`: which answer was given to what was behind it (`words.findings`); the fields after it
    say the same as a job keeps it. `findings`: result id or *not looked at*, by check id.
    """

    job_id: int
    outcome: str = "done"
    could_not: str = ""
    found: str = ""
    did: str = ""
    minutes: int | None = None
    fix: str = ""  # fixed, patched, reset only
    behind: str = ""
    no_fault_found: bool = False
    cause_id: str | None = None
    cause_known_by: str = ""
    findings: Mapping[str, str] = field(default_factory=dict)
    told_whom: str = ""
    note_left: bool = False
    items: Mapping[str, ItemRow] = field(default_factory=dict)
    readings: Mapping[str, Reading] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitNotes:
    """A whole write-up. Minutes are wall time after midnight of the visit's day."""

    visit_id: int
    seen: int  # the revision of the visit that was shown
    arrived_min: int
    left_min: int
    jobs: tuple[JobNotes, ...]
    technician_id: int | None = None
    travel_min: int | None = None
    weather: str = ""
    parts: tuple[PartNote, ...] = ()
    approved_by: str = ""  # who agreed to parts over the contract's limit
    approval_owed: bool = False  # or: nobody yet
    owed: tuple[OwedNote, ...] = ()
    settled: tuple[int, ...] = ()  # owed work that was finished on the way
    leaving: Mapping[str, bool] = field(default_factory=dict)
    as_left: str = ""
    note: str = ""
