"""The catalogue of parts: written, changed, priced from a day on. Old visits keep old prices."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from servicedesk.desk import checking
from servicedesk.desk.checking import Wrong
from servicedesk.desk.company import plain_columns
from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.office import Desk
from servicedesk.records import stock_rows
from servicedesk.records.parts import Part, PartPrice
from servicedesk.records.stock_rows import PartRow
from servicedesk.records.store import Changed, Work
from servicedesk.words import say

EDITABLE = (
    "number", "name", "part_kind", "unit", "pack", "supplier_id", "supplier_number", "barcode",
    "reorder_at", "lead_days", "ended_on",
)  # fmt: skip


def parts(desk: Desk, *, on: date | None = None, ended: bool = False) -> tuple[PartRow, ...]:
    """The catalogue by number, with cost and price as of a day (default: today)."""
    with desk.store.read() as session:
        return tuple(stock_rows.parts(session, on or desk.today, ended=ended))


def write_part(
    desk: Desk, values: Mapping[str, Any], *, part_id: int | None = None, seen: int | None = None
) -> Changed:
    """Write a new part, or fields of one (`part_id`, shown at revision `seen`).

    Raises WrongEntry, StaleEdit; ValueError for a field that is none of the catalogue's.
    """
    given = _checked(desk, values, part_id)
    what = say("Wrote the part {name}", name=given.get("name") or given.get("number") or part_id)
    with desk.store.change(desk.who, what) as work:
        _put(work, given, part_id, seen)
    return work.changed


def write_part_and_price(
    desk: Desk,
    values: Mapping[str, Any],
    *,
    part_id: int | None = None,
    seen: int | None = None,
    cost_minor: int | None = None,
    price_minor: int | None = None,
    from_on: date | None = None,
) -> Changed:
    """The same with cost and price from a day on (default: today), all in one change.

    A sum of None stays as it was on that day. Raises as `write_part` and `price_part`.
    """
    day = from_on or desk.today
    given = _checked(desk, values, part_id)
    checking.refuse(_wrong_sums(cost_minor, price_minor))
    name = given.get("name") or given.get("number")
    with desk.store.read() as session:
        before = stock_rows.prices_on(session, day).get(part_id or 0, (None, None))
        if not name:
            name = next((o.name for o in stock_rows.parts(session, day, ended=True)
                         if o.id == part_id), part_id)  # fmt: skip
    after = (
        before[0] if cost_minor is None else cost_minor,
        before[1] if price_minor is None else price_minor,
    )
    with desk.store.change(desk.who, say("Wrote the part {name}", name=name)) as work:
        record = _put(work, given, part_id, seen)
        if after != before:
            _put_price(work, record.id, day, after)
    return work.changed


def _checked(desk: Desk, values: Mapping[str, Any], part_id: int | None) -> dict[str, Any]:
    checking.only_known(values, EDITABLE)
    with desk.store.read() as session:
        numbers = stock_rows.part_numbers(session)
        firms = stock_rows.firm_ids(session)
        barcodes = stock_rows.barcodes(session)
    given = plain_columns(values)
    if part_id is None:
        given = {"number": "", "name": "", **given}
    taken = {number for number, owner in numbers.items() if owner != part_id}
    wrong = _wrong_part(desk, given, taken, firms)
    owner = barcodes.get(given.get("barcode") or "")
    if owner is not None and owner[0] != part_id:
        wrong.append(Wrong("barcode", say("{number} has this barcode.", number=owner[1])))
    checking.refuse(wrong)
    return given


def _put(work: Work, given: Mapping[str, Any], part_id: int | None, seen: int | None) -> Part:
    if part_id is None:
        return work.add(Part(**given))
    record = work.fresh(Part, part_id, seen=seen)
    for name, value in given.items():
        setattr(record, name, value)
    return record


def _put_price(
    work: Work, part_id: int, day: date, sums: tuple[int | None, int | None]
) -> PartPrice:
    price = stock_rows.price_from(work.session, part_id, day)
    if price is None:
        price = PartPrice(part_id=part_id, from_on=day)
        price.cost_minor, price.price_minor = sums
        return work.add(price)
    price.cost_minor, price.price_minor = sums
    return price


def _wrong_sums(cost_minor: int | None, price_minor: int | None) -> list[Wrong]:
    sums = (("cost_minor", cost_minor), ("price_minor", price_minor))
    says = say("A price is 0 or more.")
    return [Wrong(name, says) for name, value in sums if value is not None and value < 0]


def _wrong_part(
    desk: Desk, given: Mapping[str, Any], taken: set[str], firms: frozenset[int]
) -> list[Wrong]:
    empty = [name for name in ("number", "name", "unit") if name in given and not given[name]]
    wrong = [Wrong(name, say("This is needed.")) for name in empty]
    if given.get("number", "").casefold() in taken:
        says = say("Another part has the number {number}.", number=given["number"])
        wrong.append(Wrong("number", says))
    if given.get("part_kind") and given["part_kind"] not in knowledge_of(desk).part_kinds:
        says = say("“{kind}” is no kind of part.", kind=given["part_kind"])
        wrong.append(Wrong("part_kind", says))
    if "pack" in given and (given["pack"] is None or given["pack"] < 1):
        wrong.append(Wrong("pack", say("A pack holds one or more.")))
    if given.get("reorder_at") is not None and given["reorder_at"] < 0:
        wrong.append(Wrong("reorder_at", say("The order point is 0 or more.")))
    if given.get("lead_days") is not None and given["lead_days"] < 0:
        wrong.append(Wrong("lead_days", say("The days until it comes are 0 or more.")))
    if given.get("supplier_id") is not None and given["supplier_id"] not in firms:
        wrong.append(Wrong("supplier_id", say("Choose one of the firms.")))
    return wrong


def price_part(
    desk: Desk,
    part_id: int,
    *,
    from_on: date,
    cost_minor: int | None,
    price_minor: int | None,
) -> Changed:
    """Cost and price of a part from a day on, in minor units; what was before that day stays.

    Written twice for the same day the second counts. Raises WrongEntry, Trouble without the part.
    """
    checking.refuse(_wrong_sums(cost_minor, price_minor))
    with desk.store.read() as session:
        name = next((one.name for one in stock_rows.parts(session, from_on, ended=True)
                     if one.id == part_id), "")  # fmt: skip
    day = desk.formats.day(from_on, near=desk.today)
    with desk.store.change(
        desk.who, say("Priced {name} from {day}", name=name or part_id, day=day)
    ) as work:
        work.get(Part, part_id)
        _put_price(work, part_id, from_on, (cost_minor, price_minor))
    return work.changed
