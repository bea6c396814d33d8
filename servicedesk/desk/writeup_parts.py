"""What the form of a visit knows about parts: the catalogue, what lies on the truck, who bears it.

Everything works on `PartNote`: while a person types as well as when the visit is written.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Any

from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.ledger_back import place_of
from servicedesk.desk.office import Desk
from servicedesk.desk.part_billing import (
    Billing,
    Charge,
    OverLimit,
    PartFacts,
    billing_of,
    over_limits,
)
from servicedesk.desk.unit_change import UNIT_OF
from servicedesk.desk.writeup_notes import PartNote, VisitNotes
from servicedesk.records import contract_rows, part_line_rows, site_rows, stock_rows
from servicedesk.records.contract_rows import ContractRow
from servicedesk.records.part_line_rows import JobAbout, PartLineRow
from servicedesk.records.search import folded, words_of
from servicedesk.records.site_rows import UnitRow
from servicedesk.records.stock_rows import Balances, PartRow, PlaceRow
from servicedesk.trade.faults import Knowledge

CALLED = ("barcode", "number", "name", "supplier_number")  # what names a part, surest first
TAKES_YEARS = 3  # inspections looked back at for what they usually take


@dataclass(frozen=True, slots=True)
class Approval:
    """The owner's word on parts over the limit. `by` "" while it is still owed."""

    owed_id: int
    minor: int
    by: str


@dataclass(frozen=True, slots=True)
class Spelled:
    """A part in folded words: its number in one piece, its name, and a space before every word."""

    part: PartRow
    number: str
    name: str
    words: str


@dataclass(frozen=True, kw_only=True)
class PartsHere:
    """What one visit's parts are judged by, as of its day.

    `truck_place_id`: where parts come from unless said otherwise. `taken_from`: place by line.
    `units`: all ever fitted in the systems of the jobs; `takes`: parts that inspections here
    usually took, most often first.
    """

    day: date
    catalogue: Mapping[int, PartRow]
    places: Mapping[int, PlaceRow]
    lying: Balances
    truck_place_id: int | None
    lines: tuple[PartLineRow, ...]
    taken_from: Mapping[int, int | None]
    units: Mapping[int, UnitRow]
    jobs: Mapping[int, JobAbout]
    contracts: tuple[ContractRow, ...]
    approval: Approval | None
    takes: tuple[int, ...]
    known: Knowledge
    currency: str

    @cached_property
    def spelled(self) -> tuple[Spelled, ...]:
        """How the current parts are spelled, for a search at each key."""
        return tuple(
            Spelled(
                part,
                "".join(words_of(part.number)),
                " ".join(words_of(part.name)),
                " ".join(
                    [
                        "",
                        *words_of(f"{part.number} {part.name} {part.supplier_number}"),
                        "".join(words_of(part.number)),
                    ]
                ),
            )
            for part in self.current
        )

    @cached_property
    def current(self) -> tuple[PartRow, ...]:
        """The parts that have not ended on the visit's day."""
        parts = self.catalogue.values()
        return tuple(p for p in parts if p.ended_on is None or p.ended_on > self.day)

    @cached_property
    def called(self) -> Mapping[str, Mapping[str, tuple[PartRow, ...]]]:
        """The current parts by what they are called, folded: barcode, number, name, supplier's."""
        found: dict[str, dict[str, tuple[PartRow, ...]]] = {name: {} for name in CALLED}
        for part in self.current:
            for name, by in found.items():
                key = folded(getattr(part, name)).strip()
                if key:
                    by[key] = (*by.get(key, ()), part)
        return found

    def in_service(self, component: str, system_id: int | None) -> UnitRow | None:
        """The unit of a component that hangs there now, the latest if there are several."""
        there = (
            unit
            for unit in self.units.values()
            if unit.component == component
            and unit.state != "removed"
            and system_id in (None, unit.system_id)
        )
        return max(there, key=lambda u: (u.installed_on or date.min, u.id), default=None)

    def left(self, part_id: int, place_id: int | None) -> int:
        """How many lie at a place by the book, this visit's own still there."""
        own = sum(
            line.quantity
            for line in self.lines
            if line.part_id == part_id and self.taken_from.get(line.id) == place_id
        )
        return 0 if place_id is None else self.lying.get((part_id, place_id), 0) + own


def parts_here(desk: Desk, session: Any, visit_id: int, site_id: int, day: date) -> PartsHere:
    """What the parts of a visit are judged by."""
    jobs = part_line_rows.jobs_about(session, visit_id)
    systems = sorted({job.system_id for job in jobs.values() if job.system_id is not None})
    lines = part_line_rows.part_line_rows(session, visit_id)
    moves = part_line_rows.moves_by_line(lines, part_line_rows.moves_of_visit(session, visit_id))
    since = day - timedelta(days=round(TAKES_YEARS * 365.25))
    catalogue = {part.id: part for part in stock_rows.parts(session, day, ended=True)}
    contracts = contract_rows.contracts_of(session, [site_id], running_on=day)
    approvals = part_line_rows.approvals_of(session, visit_id)
    return PartsHere(
        day=day,
        catalogue=catalogue,
        places={place.id: place for place in stock_rows.places(session, day)},
        lying=stock_rows.balances(session),
        truck_place_id=part_line_rows.truck_place(session, visit_id),
        lines=tuple(lines),
        taken_from={line_id: place_of(move) for line_id, move in moves.items()},
        units={unit.id: unit for unit in site_rows.units(session, systems)},
        jobs=jobs,
        contracts=contracts.get(site_id, ()),
        approval=_approval(approvals[0]) if approvals else None,
        takes=tuple(part_line_rows.usual_takes(session, systems, since)),
        known=knowledge_of(desk),
        currency=desk.company.currency,
    )


def _approval(owed: Any) -> Approval:
    return Approval(owed.id, owed.estimate_minor or 0, owed.answered_by)


def causes_of(notes: VisitNotes) -> dict[int, str | None]:
    """The cause that each job of a write-up names."""
    return {job.job_id: job.cause_id for job in notes.jobs}


def price_of(here: PartsHere, note: PartNote) -> int | None:
    """What one of a part costs its payer: as set by hand, else as of the visit's day."""
    if note.price_minor is not None:
        return note.price_minor
    part = here.catalogue.get(note.part_id or 0)
    return part.price_minor if part is not None else None


def value_of(here: PartsHere, note: PartNote) -> int | None:
    """What the line costs its payer, None where no price is known."""
    price = price_of(here, note)
    return None if price is None else price * note.quantity


def job_for(here: PartsHere, note: PartNote, causes: Mapping[int, str | None]) -> int | None:
    """The job that a part belongs to: as said, else whose cause takes it, else the inspection's.

    Whatever else is left goes to the first job; None only where the visit has no job.
    """
    if note.job_id in here.jobs:
        return note.job_id
    part = here.catalogue.get(note.part_id or 0)
    kind = part.part_kind if part is not None else ""
    for job_id, job in here.jobs.items():
        cause = here.known.causes.get(causes.get(job_id) or "")
        if kind and (kind in job.needs_parts or (cause is not None and kind in cause.parts)):
            return job_id
    of_inspection = [i for i, job in here.jobs.items() if job.kind == "inspection"]
    return next(iter((*of_inspection, *here.jobs)), None)


def unit_to_replace(
    here: PartsHere, part_id: int | None, job_id: int | None
) -> tuple[str, UnitRow | None] | None:
    """The component that a part is a whole unit of, and the one that hangs there now.

    None for a part that is no unit by itself.
    """
    part = here.catalogue.get(part_id or 0)
    component = UNIT_OF.get(part.part_kind, "") if part is not None else ""
    if not component:
        return None
    job = here.jobs.get(job_id or 0)
    return component, here.in_service(component, job.system_id if job is not None else None)


def warranty_behind(
    here: PartsHere, note: PartNote, job_id: int | None, cause_id: str | None
) -> date | None:
    """Until when the unit is under warranty that a part replaces or goes into."""
    if note.unit is not None:
        old = here.units.get(note.unit.old_unit_id or 0)
        return old.warranty_until if old is not None else None
    part = here.catalogue.get(note.part_id or 0)
    job = here.jobs.get(job_id or 0)
    if part is None or not part.part_kind or job is None:
        return None
    component = _component(here.known, part.part_kind, cause_id)
    unit = here.in_service(component, job.system_id) if component else None
    return unit.warranty_until if unit is not None else None


def _component(known: Knowledge, part_kind: str, cause_id: str | None) -> str:
    """Where a part goes: to what the cause names, else to the only component that takes it."""
    cause = known.causes.get(cause_id or "")
    if cause is not None and part_kind in cause.parts:
        return cause.component
    takers = {one.component for one in known.causes.values() if part_kind in one.parts}
    return next(iter(takers)) if len(takers) == 1 else ""


def contract_of(here: PartsHere, job_id: int | None) -> ContractRow | None:
    """The contract that covers the system of a job on the visit's day, the newest of several."""
    job = here.jobs.get(job_id or 0)
    if job is None or job.system_id is None:
        return None
    return next((c for c in here.contracts if job.system_id in c.system_ids), None)


def billing_for(here: PartsHere, note: PartNote, causes: Mapping[int, str | None]) -> Billing:
    """Who bears a part, as worked out, whatever a person set."""
    job_id = job_for(here, note, causes)
    job = here.jobs.get(job_id or 0)
    contract = contract_of(here, job_id)
    return billing_of(
        PartFacts(
            day=here.day,
            job_kind=job.kind if job is not None else "",
            job_billing=job.billing if job is not None else "",
            warranty_until=warranty_behind(here, note, job_id, causes.get(job_id or 0)),
            contract=contract.number if contract is not None else None,
            limit_minor=contract.approval_limit_minor if contract is not None else None,
            value_minor=value_of(here, note),
            currency=here.currency,
        )
    )


def limits_exceeded(
    here: PartsHere, notes: Iterable[PartNote], causes: Mapping[int, str | None]
) -> tuple[OverLimit, ...]:
    """What comes to more than a contract allows without asking."""
    charges = []
    for note in notes:
        contract = contract_of(here, job_for(here, note, causes))
        charges.append(
            Charge(
                contract.number if contract is not None else None,
                contract.approval_limit_minor if contract is not None else None,
                note.billing or billing_for(here, note, causes).billing,
                value_of(here, note),
            )
        )
    return over_limits(charges)


def needs_approval(
    here: PartsHere, notes: Iterable[PartNote], causes: Mapping[int, str | None]
) -> tuple[OverLimit, ...]:
    """The same; () where the owner has agreed to at least as much at this visit before."""
    over = limits_exceeded(here, notes, causes)
    agreed = here.approval.minor if here.approval is not None and here.approval.by else 0
    return over if sum(one.total_minor for one in over) > agreed else ()
