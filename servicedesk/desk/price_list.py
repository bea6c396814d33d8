"""A supplier's price list against the catalogue: what would change, then all in one change."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any, Literal

from servicedesk.desk.office import Desk
from servicedesk.exchange.columns import Choice
from servicedesk.exchange.price_list import (
    Fault,
    PriceLine,
    PriceList,
    missing_fields,
    plain_columns,
    price_layout,
    propose_columns,
    read_lines,
    with_field,
)
from servicedesk.exchange.sheetfile import read_sheet_file
from servicedesk.records import brought_rows, stock_rows
from servicedesk.records.parts import Part, PartPrice
from servicedesk.records.stock_rows import PartRow
from servicedesk.records.store import Changed
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

State = Literal["changed", "same", "new"]
MUCH = 3.0  # a cost so many times as high or low is shown as worth a look (judgment)


@dataclass(frozen=True, slots=True, kw_only=True)
class LineChange:
    """A line against the catalogue: (field, before, after) of what it changes.

    `is_odd`: the cost is several times what it was; it is written all the same once it is taken.
    """

    line: PriceLine
    state: State
    part_id: int | None = None
    name: str = ""
    changes: tuple[tuple[str, Any, Any], ...] = ()
    is_odd: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceProposal:
    """What a list would do. `missing`: parts of this supplier that it does not hold."""

    file: str
    supplier_id: int
    supplier: str
    from_on: date
    columns: tuple[Choice, ...]
    signature: str
    lines: tuple[LineChange, ...]
    faults: tuple[Fault, ...]
    missing: tuple[str, ...]
    n_rows: int
    adds_new: bool

    def n_of(self, state: State) -> int:
        """How many lines are in a state."""
        return sum(one.state == state for one in self.lines)

    @property
    def writes(self) -> bool:
        """Would taking it write anything?"""
        return bool(self.n_of("changed") or (self.adds_new and self.n_of("new")))


@dataclass(frozen=True, slots=True)
class Ask:
    """How to look at a list: what columns mean by heading, from when it holds, and new parts."""

    columns: Mapping[str, str] = field(default_factory=dict)
    from_on: date | None = None
    adds_new: bool = False


def supplier_named(desk: Desk, name: str) -> int:
    """The key of the firm of that name. Raises Trouble for none or several."""
    with desk.store.read() as session:
        firms = stock_rows.firms(session)
    folded = name.strip().casefold()
    same = [key for key, one in firms.items() if one.casefold() == folded]
    found = same or [key for key, one in firms.items() if folded and folded in one.casefold()]
    if len(found) == 1:
        return found[0]
    raise Trouble(
        say("There is no supplier called {name}.", name=name)
        if not found
        else say("Several suppliers are called like {name}.", name=name),
        do=say("Known are: {names}.", names=", ".join(sorted(firms.values())) or "—"),
    )


def look_at_prices(
    desk: Desk,
    file: Path,
    supplier_id: int,
    ask: Ask = Ask(),
) -> PriceProposal:
    """What a supplier's list (CSV or XLSX) would change. Writes nothing.

    Raises Trouble for a file, firm or heading that is not there, and where no column holds the
    supplier's numbers or the costs.
    """
    sheet = read_sheet_file(file)
    layout = price_layout(sheet)
    with desk.store.read() as session:
        memory = brought_rows.column_memory(session)
        parts = stock_rows.parts(session, ask.from_on or desk.today, ended=True)
        firms = stock_rows.firms(session)
    if supplier_id not in firms:
        raise Trouble(say("That supplier is not in the store any more."), do=say("Choose one."))
    remembered = {key: plain["columns"] for key, (_id, plain, _a) in memory.items()}
    columns = propose_columns(layout, remembered)
    for heading, name in ask.columns.items():
        columns = _corrected(columns, heading, name)
    _refuse_unreadable(columns)
    currency = desk.company.currency
    read = read_lines(layout, columns, currency=currency, decimal_comma=sheet.decimal_comma)
    lines = compare(read, parts, supplier_id)
    return PriceProposal(
        file=sheet.name,
        supplier_id=supplier_id,
        supplier=firms[supplier_id],
        from_on=ask.from_on or desk.today,
        columns=columns,
        signature=read.signature,
        lines=lines,
        faults=read.faults,
        missing=_missing(parts, supplier_id, lines),
        n_rows=read.n_rows,
        adds_new=ask.adds_new,
    )


def _missing(
    parts: list[PartRow], supplier_id: int, lines: tuple[LineChange, ...]
) -> tuple[str, ...]:
    """Parts we buy from this supplier that the list does not hold."""
    held = {one.part_id for one in lines}
    return tuple(
        one.number
        for one in parts
        if one.supplier_id == supplier_id
        and one.supplier_number
        and one.ended_on is None
        and one.id not in held
    )


def _corrected(columns: tuple[Choice, ...], heading: str, name: str) -> tuple[Choice, ...]:
    try:
        return with_field(columns, heading, name)
    except KeyError as error:
        raise Trouble(
            say("There is no column or meaning called {name}.", name=str(error).strip("'")),
            do=say("Columns are: {names}.", names=", ".join(c.heading for c in columns)),
        ) from error


def _refuse_unreadable(columns: tuple[Choice, ...]) -> None:
    lacking = missing_fields(columns)
    if lacking:
        names = {"supplier_number": say("the supplier's numbers"), "cost": say("the costs")}
        raise Trouble(
            say("No column holds {what}.", what=" + ".join(names[one] for one in lacking)),
            do=say(
                "Say which one does. Columns are: {names}.",
                names=", ".join(c.heading for c in columns if c.heading),
            ),
        )


def compare(read: PriceList, parts: list[PartRow], supplier_id: int) -> tuple[LineChange, ...]:
    """Every line against the parts of this supplier, in the order of the list."""
    ours = {
        one.supplier_number.casefold(): one
        for one in parts
        if one.supplier_id == supplier_id and one.supplier_number
    }
    return tuple(_compared(line, ours.get(line.number.casefold())) for line in read.lines)


def _compared(line: PriceLine, part: PartRow | None) -> LineChange:
    if part is None:
        return LineChange(line=line, state="new", name=line.name)
    told = (
        ("cost_minor", part.cost_minor, line.cost_minor),
        ("price_minor", part.price_minor, line.price_minor),
        ("pack", part.pack, line.pack),
        ("barcode", part.barcode, line.barcode or None),
    )
    changes = tuple(one for one in told if one[2] is not None and one[1] != one[2])
    before = part.cost_minor
    odd = before is not None and before > 0 and not (1 / MUCH <= line.cost_minor / before <= MUCH)
    return LineChange(
        line=line, state="changed" if changes else "same", part_id=part.id, name=part.name,
        changes=changes, is_odd=odd,
    )  # fmt: skip


def take_prices(desk: Desk, proposal: PriceProposal) -> Changed:
    """Write what was proposed as one undoable change; lines with faults are left out.

    A list that changes nothing writes nothing. Raises Trouble if somebody changed the catalogue
    since it was looked at.
    """
    if not proposal.writes:
        return Changed(0, {})
    what = say("Brought in the price list of {supplier}: {lines}", supplier=proposal.supplier,
               lines=say_n("{n} part", "{n} parts", _n_written(proposal)))  # fmt: skip
    with desk.store.change(desk.who, what) as work:
        parts = {
            one.id: one for one in stock_rows.parts(work.session, proposal.from_on, ended=True)
        }
        _refuse_moved(proposal, parts)
        changed = [one for one in proposal.lines if one.state == "changed"]
        ids = {one.part_id for one in changed if one.part_id is not None}
        records = brought_rows.records_by_id(work, Part, ids)
        standing = stock_rows.prices_from(work.session, proposal.from_on)
        prices: list[PartPrice] = []
        for one in changed:
            record = records[one.part_id or 0]
            told = {name: after for name, _, after in one.changes}
            for name in ("pack", "barcode"):
                if name in told:
                    setattr(record, name, told[name])
            if "cost_minor" in told or "price_minor" in told:
                price = standing.get(record.id)
                if price is None:
                    price = PartPrice(part_id=record.id, from_on=proposal.from_on)
                    prices.append(price)
                before = parts[record.id]
                price.cost_minor = told.get("cost_minor", before.cost_minor)
                price.price_minor = told.get("price_minor", before.price_minor)
        work.add_all(prices)
        if proposal.adds_new:
            _add_new(work, proposal, parts)
        columns = {"columns": plain_columns(proposal.columns)}
        brought_rows.remember_columns(work, proposal.signature, columns, {})
    return work.changed


def _n_written(proposal: PriceProposal) -> int:
    new = proposal.n_of("new") if proposal.adds_new else 0
    return proposal.n_of("changed") + new


def _refuse_moved(proposal: PriceProposal, parts: Mapping[int, PartRow]) -> None:
    """What was shown as it stood before must still stand so."""
    for one in proposal.lines:
        part = parts.get(one.part_id or 0)
        moved = any(part is None or getattr(part, name) != old for name, old, _ in one.changes)
        if moved:
            raise Trouble(
                say("Somebody changed the catalogue while you were looking at the list."),
                means=say("Nothing was written."),
                do=say("Look at the list again, then bring it in."),
            )


def _add_new(work: Any, proposal: PriceProposal, parts: Mapping[int, PartRow]) -> None:
    """Parts that the catalogue does not have; the supplier's number is theirs where it is free."""
    taken = {one.number.casefold() for one in parts.values()}
    made: list[tuple[Part, PriceLine]] = []
    for one in proposal.lines:
        if one.state != "new":
            continue
        line = one.line
        number, n = line.number, 2
        while number.casefold() in taken:
            number, n = f"{line.number}-{n}", n + 1
        taken.add(number.casefold())
        part = Part(
            number=number, name=line.name or line.number, pack=line.pack or 1,
            unit=line.unit or "each", supplier_id=proposal.supplier_id,
            supplier_number=line.number, barcode=line.barcode,
        )  # fmt: skip
        made.append((part, line))
    work.add_all([part for part, _ in made])
    work.add_all(
        [
            PartPrice(
                part_id=part.id,
                from_on=proposal.from_on,
                cost_minor=line.cost_minor,
                price_minor=line.price_minor,
            )
            for part, line in made
        ]
    )
