"""A part found by what is typed or scanned: barcode, number, supplier's number, words; its form."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.office import Desk
from servicedesk.records import part_cost_rows, stock_rows
from servicedesk.records.stock_rows import PartRow
from servicedesk.values.trouble import Trouble
from servicedesk.words import say


def matching(parts: Sequence[PartRow], typed: str) -> tuple[PartRow, ...]:
    """Parts for what was typed: a barcode or number alone where it is one, else by words."""
    folded = " ".join(typed.split()).casefold()
    if not folded:
        return ()
    exact = [
        one
        for one in parts
        if folded in (one.barcode.casefold(), one.number.casefold(), one.supplier_number.casefold())
    ]
    if exact:
        first = [one for one in exact if one.barcode.casefold() == folded]
        return tuple(first or exact)
    words = folded.split()
    return tuple(
        one
        for one in parts
        if all(
            word in f"{one.number} {one.name} {one.supplier_number}".casefold() for word in words
        )
    )


def part_named(desk: Desk, typed: str) -> PartRow:
    """The one part for what was typed. Raises Trouble for none or several."""
    with desk.store.read() as session:
        parts = stock_rows.parts(session, desk.today, ended=True)
    found = matching(parts, typed)
    if len(found) == 1:
        return found[0]
    if not found:
        raise Trouble(
            say("No part has the number, barcode or name {typed}.", typed=typed),
            do=say("Look at the catalogue: servicedesk shelf"),
        )
    raise Trouble(
        say("Several parts fit {typed}.", typed=typed),
        do=say("Write its number: {numbers}.", numbers=", ".join(o.number for o in found[:12])),
    )


@dataclass(frozen=True, slots=True)
class PartChoices:
    """What a part's form offers: kinds of part and firms, by key with their names."""

    kinds: tuple[tuple[str, str], ...]
    firms: tuple[tuple[int, str], ...]


def part_choices(desk: Desk) -> PartChoices:
    """Kinds of part of the fault knowledge and the firms that stand, by name."""
    kinds = sorted(
        ((key, kind.name) for key, kind in knowledge_of(desk).part_kinds.items()),
        key=lambda one: one[1].casefold(),
    )
    with desk.store.read() as session:
        firms = stock_rows.firms(session)
    return PartChoices(tuple(kinds), tuple(firms.items()))


def price_history(desk: Desk, part_id: int) -> tuple[tuple[date, int | None, int | None], ...]:
    """Every cost and price of a part with the day from which it holds, the newest first."""
    with desk.store.read() as session:
        return tuple(reversed(part_cost_rows.price_steps(session).get(part_id, ())))
