"""Parts and units of `servicedesk done`: what is typed, and how it is told."""

import argparse
import re
from collections.abc import Iterator
from dataclasses import replace

from servicedesk.desk.unit_change import FAILED, WHEREABOUTS
from servicedesk.desk.writeup_form import VisitForm
from servicedesk.desk.writeup_part_entry import PartEntry, UnitEntry, understood
from servicedesk.desk.writeup_parts import PartsHere, job_for
from servicedesk.desk.writeup_parts_find import matches, only_match
from servicedesk.desk.writeup_parts_told import PartToldAs
from servicedesk.trade.components import components
from servicedesk.values.trouble import Trouble
from servicedesk.words import say
from servicedesk.words.part_words import billing_text

_MANY = re.compile(r"(\d{1,4}) ?[x×] ?(.+)")
_FIELDS = ("serial", "reason", "model", "warranty", "left", "from")


def typed_parts(form: VisitForm, chosen: argparse.Namespace) -> Iterator[PartEntry]:
    """The parts of `--part` and `--replaced`. Raises Trouble for what cannot be told apart."""
    for text in chosen.part:
        yield _part(form.parts, text)
    for text in chosen.replaced:
        yield _replaced(form, text)


def _part(here: PartsHere, text: str) -> PartEntry:
    """As "4 x sealed connector", "2 x W-012" or "nozzle"; what is in no catalogue stays words."""
    many = _MANY.fullmatch(text.strip())
    words, quantity = (many[2], many[1]) if many else (text.strip(), "1")
    part = only_match(here, words)
    if part is None:
        return PartEntry(words, quantity)
    return PartEntry(part.name, quantity, part_id=part.id)


def _replaced(form: VisitForm, text: str) -> PartEntry:
    """As "effluent-pump=P-050,serial=B2,reason=failed,warranty=2 years,left=on the truck"."""
    head, *rest = (piece.strip() for piece in text.split(","))
    component, sign, words = (piece.strip() for piece in head.partition("="))
    if not sign or not words or component not in components():
        raise Trouble(
            say("“{text}” names no component and its part.", text=head),
            do=say("Write it like effluent-pump=P-050,serial=B2. Components: {known}.",
                   known=", ".join(components())),
        )  # fmt: skip
    said = _fields(rest)
    here = form.parts
    entry = _known_part(here, words)
    place = said.pop("from", "")
    note = understood(here, entry)
    job = here.jobs.get(job_for(here, note, {j.id: j.cause_id for j in form.jobs}) or 0)
    old = here.in_service(component, job.system_id if job is not None else None)
    left = said.pop("left", "")
    if left and left not in WHEREABOUTS:
        raise Trouble(
            say("“{text}” is no place where the old one is now.", text=left),
            do=say("Give one of: {known}.", known=", ".join(WHEREABOUTS)),
        )
    unit = UnitEntry(
        component=component,
        old_unit_id=old.id if old is not None else None,
        why=said.get("reason", FAILED if old is not None else ""),
        whereabouts=left,
        serial=said.get("serial", ""),
        model=said.get("model", ""),
        warranty=said.get("warranty", ""),
    )
    return replace(entry, unit=unit, place_id=_place(here, place) if place else None)


def _fields(pieces: list[str]) -> dict[str, str]:
    said = {}
    for piece in pieces:
        name, sign, value = (part.strip() for part in piece.partition("="))
        if not sign or name not in _FIELDS:
            raise Trouble(
                say("“{text}” says nothing of a unit.", text=piece),
                do=say("Give one of: {known}.", known=", ".join(f"{n}=" for n in _FIELDS)),
            )
        said[name] = value
    return said


def _known_part(here: PartsHere, words: str) -> PartEntry:
    """The one part that fits; words alone where none does. Raises Trouble for several."""
    part = only_match(here, words)
    if part is not None:
        return PartEntry(part.name, part_id=part.id)
    several = matches(here, words)
    if several:
        raise Trouble(
            say("“{text}” may be several parts.", text=words),
            do=say("Give one of: {known}.", known=", ".join(p.number for p in several)),
        )
    return PartEntry(words)


def _place(here: PartsHere, name: str) -> int:
    for place in here.places.values():
        if place.name.casefold() == name.casefold():
            return place.id
    raise Trouble(
        say("No parts are kept at “{name}”.", name=name),
        do=say("Give one of: {known}.", known=", ".join(p.name for p in here.places.values())),
    )


def part_line(told: PartToldAs) -> str:
    """A part in one line of the shell."""
    name = f"{told.text} ({told.number})" if told.number else told.text
    head = say("{n} x {name}", n=told.quantity, name=name)
    where = say("from {place}", place=told.taken_from) if told.taken_from else ""
    bears = say("{billing}: {why}", billing=billing_text(told.billing), why=told.why)
    unit = say("replaced: {name}", name=told.replaced) if told.replaced else ""
    claim = say("a claim is owed") if told.claim_owed else ""
    return " · ".join(part for part in (head, where, told.value, bears, unit, claim) if part)
