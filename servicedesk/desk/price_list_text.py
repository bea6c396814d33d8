"""A price list as sentences: what would change line by line, and each fault with what helps."""

from collections.abc import Iterable

from servicedesk.desk.office import Desk
from servicedesk.desk.price_list import LineChange, PriceProposal
from servicedesk.exchange.price_list import Fault
from servicedesk.values.money import Money
from servicedesk.words import say, say_n

MOST_LINES = 40


def proposal_lines(proposal: PriceProposal, desk: Desk) -> list[str]:
    """What the list would do, every fault, and the lines that change."""
    lines = [head_text(proposal, desk), columns_text(proposal)]
    lines += [say("! {fault}", fault=fault_text(one)) for one in proposal.faults]
    changed = [one for one in proposal.lines if one.state == "changed"]
    odd = [one for one in changed if one.is_odd]
    lines += [say("! Worth a look: {line}", line=change_text(one, desk)) for one in odd]
    plain = [one for one in changed if not one.is_odd]
    lines += [f"  {change_text(one, desk)}" for one in plain[:MOST_LINES]]
    if len(plain) > MOST_LINES:
        more = len(plain) - MOST_LINES
        lines.append(say_n("  and {n} more like these", "  and {n} more like these", more))
    if proposal.missing:
        lines.append(say("Ours, but not in the list: {numbers}", numbers=some(proposal.missing)))
    return lines


def head_text(proposal: PriceProposal, desk: Desk) -> str:
    """How many lines there are and what becomes of them."""
    new = proposal.n_of("new")
    as_new = (
        say_n("{n} new part", "{n} new parts", new)
        if proposal.adds_new
        else say_n("{n} not in our catalogue", "{n} not in our catalogue", new)
    )
    parts = [
        say("{supplier}, from {day}", supplier=proposal.supplier,
            day=desk.formats.day(proposal.from_on, near=desk.today)),
        say_n("{n} line", "{n} lines", proposal.n_rows),
        say_n("{n} changes", "{n} change", proposal.n_of("changed")),
        say_n("{n} as it is", "{n} as they are", proposal.n_of("same")),
        as_new,
        say_n("{n} fault", "{n} faults", len(proposal.faults)),
    ]  # fmt: skip
    return " · ".join(parts)


def columns_text(proposal: PriceProposal) -> str:
    """Which column was taken for what."""
    taken = [
        say("{heading} is {meaning}", heading=one.heading, meaning=field_title(one.field))
        for one in proposal.columns
        if one.field != "ignore"
    ]
    return say("Read: {columns}", columns="; ".join(taken))


def field_title(field: str) -> str:
    """The name of a meaning of a column for people."""
    return {
        "supplier_number": say("their number"),
        "name": say("what it is"),
        "cost": say("cost"),
        "cost_minor": say("cost"),
        "price": say("price"),
        "price_minor": say("price"),
        "pack": say("pack"),
        "unit": say("unit"),
        "barcode": say("barcode"),
        "ignore": say("left out"),
    }[field]


def change_text(one: LineChange, desk: Desk) -> str:
    """One line: whose number, what it is, what was and what will be."""
    told = "; ".join(
        say(
            "{what} {before} → {after}",
            what=field_title(name),
            before=value_text(name, before, desk),
            after=value_text(name, after, desk),
        )
        for name, before, after in one.changes
    )
    return say("line {row}: {number} {name}: {changes}", row=one.line.row, number=one.line.number,
               name=one.name, changes=told)  # fmt: skip


def value_text(name: str, value: object, desk: Desk) -> str:
    """A value of the catalogue in words, — where none is known."""
    if value is None or value == "":
        return "—"
    if name.endswith("_minor") and isinstance(value, int):
        return desk.formats.money(Money(value, desk.company.currency))
    return str(value)


def fault_text(one: Fault) -> str:
    """One fault in a sentence, with its line and what helps."""
    what, helps = _faults(one.text)[one.code]
    where = say("line {row}", row=one.row)
    if one.column:
        where = say("line {row}, {column}", row=one.row, column=one.column)
    return say("{where}: {what} {helps}", where=where, what=what, helps=helps)


def _faults(text: str) -> dict[str, tuple[str, str]]:
    left_out = say("The line is left out; correct it and bring the list in again.")
    return {
        "no_number": (say("There is no number of the supplier ({text}).", text=text or "—"),
                      left_out),
        "no_cost": (say("{text} has no cost.", text=text), left_out),
        "no_sum": (say("“{text}” is no sum of money.", text=text), left_out),
        "foreign": (say("“{text}” is in another currency.", text=text), left_out),
        "below_zero": (say("“{text}” is below zero.", text=text), left_out),
        "zero": (say("It costs nothing: “{text}”.", text=text), left_out),
        "too_much": (say("“{text}” is too much for one part.", text=text), left_out),
        "no_pack": (say("“{text}” is no number of pieces in a pack.", text=text), left_out),
        "no_barcode": (say("“{text}” is no barcode: its last digit does not check.", text=text),
                       say("All else of the line is taken.")),
        "twice": (say("The number stands in line {text} already, with other figures.", text=text),
                  say("The first one is taken. Ask the supplier which is right.")),
        "repeated": (say("The line says what line {text} says.", text=text),
                     say("It counts once.")),
    }  # fmt: skip


def some(names: Iterable[str], most: int = 20) -> str:
    """Names in a row, the rest as a number."""
    every = list(names)
    told = ", ".join(every[:most])
    if len(every) > most:
        more = len(every) - most
        return say_n("{names} and {n} more", "{names} and {n} more", more, names=told)
    return told
