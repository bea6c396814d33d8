"""What is wrong with the parts of a write-up, each sentence at its line."""

from collections.abc import Iterable, Sequence

from servicedesk.desk.checking import Wrong
from servicedesk.desk.office import Desk
from servicedesk.desk.part_billing import BILLINGS, OverLimit
from servicedesk.desk.unit_change import WHEREABOUTS
from servicedesk.desk.writeup_notes import PartNote, UnitNote, VisitNotes
from servicedesk.desk.writeup_parts import PartsHere, causes_of, needs_approval
from servicedesk.trade.components import components
from servicedesk.values.money import Money
from servicedesk.words import say


def wrong_parts(desk: Desk, notes: VisitNotes, here: PartsHere) -> Iterable[Wrong]:
    """Fields as in `writeup_entry`; last of all "approval" for what is over the limit."""
    taken: set[int] = set()
    for n, note in enumerate(notes.parts):
        yield from _wrong_line(f"part:{n}", note, here)
        if note.unit is not None:
            yield from _wrong_unit(f"part:{n}", note, note.unit, here)
            old = note.unit.old_unit_id
            if old is not None and old in taken:
                yield Wrong(f"part:{n}:unit", say("That unit is replaced by another line already."))
            taken |= {old} if old is not None else set()
    if not (notes.approved_by.strip() or notes.approval_owed):
        over = needs_approval(here, notes.parts, causes_of(notes))
        sentence = over_limit_text(desk, here, over)
        if sentence:
            yield Wrong("approval", sentence)


def over_limit_text(desk: Desk, here: PartsHere, over: Sequence[OverLimit]) -> str:
    """What the parts come to and what the contract allows, "" where nobody has to be asked."""
    if not over:
        return ""
    one = over[0]
    return say(
        "Parts come to {total}; contract {number} allows {limit} without asking."
        " Write who agreed, or that it is still owed.",
        total=desk.formats.money(Money(one.total_minor, here.currency)),
        number=one.contract,
        limit=desk.formats.money(Money(one.limit_minor, here.currency)),
    )


def _wrong_line(at: str, note: PartNote, here: PartsHere) -> Iterable[Wrong]:
    if note.part_id is not None and note.part_id not in here.catalogue:
        yield Wrong(f"{at}:text", say("That part is in the catalogue no more."))
    elif note.part_id is None and not note.text.strip():
        yield Wrong(f"{at}:text", say("Write which part was used."))
    if not 0 < note.quantity < 10_000:
        yield Wrong(f"{at}:quantity", say("How many is a number from 1 on."))
    if note.place_id is not None and note.place_id not in here.places:
        yield Wrong(f"{at}:place", say("No parts are kept there."))
    if note.billing and note.billing not in BILLINGS:
        yield Wrong(f"{at}:billing", say("Say contract, warranty or billable."))
    if note.price_minor is not None and note.price_minor < 0:
        yield Wrong(f"{at}:price", say("A price is 0 or more."))
    if note.job_id is not None and note.job_id not in here.jobs:
        yield Wrong(f"{at}:job", say("That job is not one of this visit."))


def _wrong_unit(at: str, note: PartNote, unit: UnitNote, here: PartsHere) -> Iterable[Wrong]:
    if unit.component not in components():
        says = say("“{what}” is no component we know.", what=unit.component)
        yield Wrong(f"{at}:unit", says)
    own = next((line.new_unit_id or 0 for line in here.lines if line.id == note.line_id), 0)
    old = here.units.get(unit.old_unit_id or 0)
    replaced = here.units[own].predecessor_id if own in here.units else None
    if unit.old_unit_id is not None and (
        old is None or (old.state == "removed" and old.id != replaced)
    ):
        yield Wrong(f"{at}:unit", say("That unit is not there any more."))
    if old is not None and not unit.why.strip():
        yield Wrong(f"{at}:why", say("Say why the old one came out: failed, or another reason."))
    if unit.whereabouts and unit.whereabouts not in WHEREABOUTS:
        yield Wrong(f"{at}:whereabouts", say("Say where the old one is now."))
    if unit.warranty_until is not None and unit.warranty_until <= here.day:
        yield Wrong(f"{at}:warranty", say("That warranty has ended already."))
