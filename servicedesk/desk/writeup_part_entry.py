"""The parts of a visit as they are being typed, and what they mean."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from dateutil.relativedelta import relativedelta

from servicedesk.desk.checking import Wrong
from servicedesk.desk.office import Desk
from servicedesk.desk.unit_change import AT, FAILED
from servicedesk.desk.writeup_notes import PartNote, UnitNote
from servicedesk.desk.writeup_parts import PartsHere, billing_for
from servicedesk.desk.writeup_parts_find import exact
from servicedesk.desk.writeup_read import day_of, quantity_of
from servicedesk.exchange.prices import price_in
from servicedesk.records.part_line_rows import PartLineRow
from servicedesk.values.money import Money
from servicedesk.words import say
from servicedesk.words.formats import minor_digits


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitEntry:
    """A unit put in, as typed. `warranty` is a day or a length: "Oct 2028" no, "2 years"."""

    component: str
    old_unit_id: int | None = None
    why: str = FAILED
    whereabouts: str = ""
    serial: str = ""
    model: str = ""
    warranty: str = ""


@dataclass(frozen=True, slots=True)
class PartEntry:
    """A part used, in words or from the catalogue, and how many; fields as in `PartNote`."""

    text: str = ""
    quantity: str = "1"
    part_id: int | None = None
    place_id: int | None = None
    job_id: int | None = None
    billing: str = ""
    price: str = ""
    line_id: int | None = None
    unit: UnitEntry | None = None


def part_of_draft(values: Mapping[str, Any]) -> PartEntry:
    """A part as a draft holds it."""
    unit = values.get("unit")
    return PartEntry(**{**values, "unit": UnitEntry(**unit) if unit else None})


def first_parts(here: PartsHere, causes: Mapping[int, str | None]) -> tuple[PartEntry, ...]:
    """The parts as written so far; what was worked out and not set by hand stays so."""
    return tuple(_first(here, line, causes) for line in here.lines)


def _first(here: PartsHere, line: PartLineRow, causes: Mapping[int, str | None]) -> PartEntry:
    digits = minor_digits(here.currency)
    price = "" if line.price_minor is None else f"{line.price_minor / 10**digits:.{digits}f}"
    entry = PartEntry(
        text=line.text,
        quantity=str(line.quantity),
        part_id=line.part_id,
        place_id=here.taken_from.get(line.id),
        job_id=line.job_id,
        price=price,
        line_id=line.id,
        unit=_first_unit(here, line),
    )
    worked_out = billing_for(here, understood(here, entry), causes).billing
    return entry if line.billing in ("", worked_out) else replace(entry, billing=line.billing)


def _first_unit(here: PartsHere, line: PartLineRow) -> UnitEntry | None:
    new = here.units.get(line.new_unit_id or 0)
    if new is None:
        return None
    old = here.units.get(new.predecessor_id or 0)
    until = new.warranty_until
    return UnitEntry(
        component=new.component,
        old_unit_id=old.id if old is not None else None,
        why=old.removed_why if old is not None else "",
        whereabouts=str(old.attributes.get(AT, "")) if old is not None else "",
        serial=new.serial,
        model=new.model if old is None or new.model != old.model else "",
        warranty=until.isoformat() if until is not None else "",
    )


def warranty_of(text: str, day: date) -> date | None:
    """Until when (excluded) a warranty runs that begins on `day`: "2 years", "18 months", a day.

    None for what is neither.
    """
    number, _, unit = " ".join(text.casefold().split()).partition(" ")
    if number.isdecimal() and len(number) < 4 and unit:
        for word in ("years", "months"):
            if word.startswith(unit) or say(word).casefold().startswith(unit):
                return day + relativedelta(**{word: int(number)})  # type: ignore[arg-type]
    return day_of(text, day)


def price_minor_of(text: str, currency: str) -> int | None:
    """A price as typed in minor units, None where it is none. Raises ValueError for no number."""
    if not text.strip():
        return None
    found = price_in(text, currency=currency)
    if found.amount is None or found.amount.currency != currency:
        raise ValueError(text)
    return found.amount.minor


def understood(here: PartsHere, entry: PartEntry) -> PartNote:
    """What a line means so far; what cannot be understood counts as not typed."""
    return _note(here, entry, "", [])


def part_notes(
    here: PartsHere, entries: Iterable[PartEntry], wrong: list[Wrong]
) -> tuple[PartNote, ...]:
    """What the lines say; empty ones are left out, what is wrong goes into `wrong`."""
    filled = [one for one in entries if one.text.strip() or one.part_id is not None]
    return tuple(_note(here, one, f"part:{n}", wrong) for n, one in enumerate(filled))


def _note(here: PartsHere, entry: PartEntry, at: str, wrong: list[Wrong]) -> PartNote:
    quantity = quantity_of(entry.quantity)
    if quantity is None:
        wrong.append(Wrong(f"{at}:quantity", say("How many is a number from 1 on.")))
    try:
        price = price_minor_of(entry.price, here.currency)
    except ValueError:
        price = None
        wrong.append(Wrong(f"{at}:price", say("“{text}” is no price.", text=entry.price)))
    meant = exact(here, entry.text) if entry.part_id is None and entry.line_id is None else None
    return PartNote(
        text=meant.name if meant is not None else entry.text.strip(),
        quantity=quantity or 1,
        part_id=meant.id if meant is not None else entry.part_id,
        place_id=entry.place_id,
        job_id=entry.job_id,
        billing=entry.billing,
        price_minor=price,
        line_id=entry.line_id,
        unit=_unit(here, entry.unit, at, wrong) if entry.unit is not None else None,
    )


def _unit(here: PartsHere, entry: UnitEntry, at: str, wrong: list[Wrong]) -> UnitNote:
    until = None
    if entry.warranty.strip():
        until = warranty_of(entry.warranty, here.day)
        if until is None:
            says = say("“{text}” is no warranty: write 2 years, or its last day.",
                       text=entry.warranty)  # fmt: skip
            wrong.append(Wrong(f"{at}:warranty", says))
    return UnitNote(
        component=entry.component,
        old_unit_id=entry.old_unit_id,
        why=entry.why.strip(),
        whereabouts=entry.whereabouts,
        serial=entry.serial,
        model=entry.model,
        warranty_until=until,
    )


def money_text(desk: Desk, minor: int | None, currency: str) -> str:
    """A price in words, a dash where none is known."""
    return "—" if minor is None else desk.formats.money(Money(minor, currency))
