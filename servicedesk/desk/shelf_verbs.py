"""`servicedesk shelf part | price-list | order | arrived`: the catalogue and what is bought."""

import argparse
from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import TYPE_CHECKING, Any

from servicedesk.desk.verb_options import Tell, add_place, day_of, desk_of
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

if TYPE_CHECKING:
    from servicedesk.desk.office import Desk
    from servicedesk.records.stock_rows import PartRow

DONE, LOOK = 0, 1
Json = Callable[[Any], None]


def add_shelf_more(kinds: Any, *, tell: Tell, print_json: Json) -> None:
    """What stands behind `shelf`."""
    _add_part(kinds, tell, print_json)
    _add_price_list(kinds, tell, print_json)
    _add_order(kinds, tell, print_json)
    _add_arrived(kinds, tell, print_json)


def _common(verb: Any) -> None:
    add_place(verb)
    verb.add_argument("--json", action="store_true", default=argparse.SUPPRESS,
                      help=say("JSON alone, on standard output"))  # fmt: skip


def _add_part(kinds: Any, tell: Tell, print_json: Json) -> None:
    verb = kinds.add_parser("part", help=say("a part of the catalogue: show, add, change, end"))
    _common(verb)
    verb.add_argument("part", metavar="PART", help=say("its number, barcode or words of its name"))
    verb.add_argument("--add", action="store_true", help=say("a new part of that number"))
    verb.add_argument("--number", help=say("another number of our own"))
    verb.add_argument("--name", help=say("what people call it"))
    verb.add_argument("--kind", dest="part_kind", help=say("kind of part of the fault knowledge"))
    verb.add_argument("--unit", help=say("what one of it is: each, foot, box"))
    verb.add_argument("--pack", type=int, metavar="N", help=say("pieces in a pack"))
    verb.add_argument("--supplier", metavar="NAME", help=say("the firm it is bought from"))
    verb.add_argument("--supplier-number", metavar="NUMBER", help=say("its number there"))
    verb.add_argument("--barcode", metavar="DIGITS", help=say("as a scanner types it"))
    verb.add_argument("--order-at", dest="reorder_at", type=int, metavar="N",
                      help=say("order when so many are left"))  # fmt: skip
    verb.add_argument("--lead-days", type=int, metavar="N", help=say("days until it comes"))
    verb.add_argument("--cost", metavar="SUM", help=say("what one costs us"))
    verb.add_argument("--price", metavar="SUM", help=say("what one is billed at"))
    verb.add_argument("--from", dest="from_day", type=day_of, metavar="DAY",
                      help=say("from when cost and price hold (default: today)"))  # fmt: skip
    verb.add_argument("--end", action="store_true", help=say("it is not kept any more from today"))
    verb.set_defaults(do=lambda chosen: part_from_shell(chosen, tell=tell, print_json=print_json))


_FIELDS = ("number", "name", "part_kind", "unit", "pack", "supplier_number", "barcode",
           "reorder_at", "lead_days")  # fmt: skip


def part_from_shell(chosen: argparse.Namespace, *, tell: Tell, print_json: Json) -> int:
    """Write what was given and show the part. Raises Trouble, WrongEntry."""
    from servicedesk.desk.part_find import part_named, price_history
    from servicedesk.desk.parts import parts, write_part_and_price
    from servicedesk.desk.price_list import supplier_named

    desk = desk_of(chosen)
    values = {n: getattr(chosen, n) for n in _FIELDS if getattr(chosen, n) is not None}
    if chosen.supplier is not None:
        values["supplier_id"] = supplier_named(desk, chosen.supplier)
    if chosen.end:
        values["ended_on"] = desk.today
    sums = {n: _minor(desk, getattr(chosen, n)) for n in ("cost", "price")}
    part = None if chosen.add else part_named(desk, chosen.part)
    if chosen.add:
        values = {"number": chosen.part, "name": chosen.part, **values}
    if values or any(one is not None for one in sums.values()):
        changed = write_part_and_price(
            desk, values, part_id=part.id if part else None,
            cost_minor=sums["cost"], price_minor=sums["price"], from_on=chosen.from_day,
        )  # fmt: skip
        part_id = next(iter(changed.rows["part"])) if part is None else part.id
    else:
        part_id = part.id if part else 0
    (now,) = [one for one in parts(desk, ended=True) if one.id == part_id]
    steps = price_history(desk, part_id)
    if getattr(chosen, "json", False):
        print_json({"part": now, "prices": steps})
    else:
        tell(*_part_lines(desk, now, steps))
    return DONE


def _minor(desk: "Desk", typed: str | None) -> int | None:
    from servicedesk.values.money import rounded_minor
    from servicedesk.words.formats import minor_digits

    if typed is None:
        return None
    try:
        value = Decimal(typed)
    except InvalidOperation:
        value = Decimal(-1)
    if not value.is_finite() or not 0 <= value < 1_000_000:
        raise Trouble(
            say("{text} is no sum of money.", text=repr(typed)), do=say("Write it like 12.50")
        )
    return rounded_minor(value.scaleb(minor_digits(desk.company.currency)))


def _part_lines(desk: "Desk", part: "PartRow", steps: Any) -> list[str]:
    from servicedesk.desk.price_list_text import value_text

    def money(minor: int | None) -> str:
        return value_text("cost_minor", minor, desk)

    lines = [
        say("{number} {name}", number=part.number, name=part.name),
        say("  kind {kind} · unit {unit} · pack of {pack} · barcode {barcode}",
            kind=part.part_kind or "—", unit=part.unit, pack=part.pack,
            barcode=part.barcode or "—"),
        say("  from {supplier} as {number}", supplier=part.supplier or "—",
            number=part.supplier_number or "—"),
    ]  # fmt: skip
    if part.ended_on is not None:
        lines.append(say("  not kept since {day}", day=desk.formats.day(part.ended_on)))
    lines += [
        say("  from {day}: cost {cost}, price {price}", day=desk.formats.day(day),
            cost=money(cost), price=money(price))
        for day, cost, price in steps
    ]  # fmt: skip
    return lines


def _add_price_list(kinds: Any, tell: Tell, print_json: Json) -> None:
    verb = kinds.add_parser("price-list", help=say("bring in a supplier's prices (CSV or XLSX)"))
    _common(verb)
    verb.add_argument("file", type=Path, metavar="FILE", help=say("the list"))
    verb.add_argument("--supplier", metavar="NAME", required=True, help=say("whose list it is"))
    verb.add_argument("--check", action="store_true", help=say("only look: write nothing"))
    verb.add_argument("--new", action="store_true",
                      help=say("also take parts that the catalogue does not have"))  # fmt: skip
    verb.add_argument("--from", dest="from_day", type=day_of, metavar="DAY",
                      help=say("from when the prices hold (default: today)"))  # fmt: skip
    verb.add_argument("--column", metavar="HEADING=MEANING", action="append", default=[],
                      help=say("what a column is: supplier_number, name, cost, price, pack, unit, "
                               "barcode, ignore; may be given again"))  # fmt: skip
    verb.set_defaults(
        do=lambda chosen: price_list_from_shell(chosen, tell=tell, print_json=print_json)
    )


def price_list_from_shell(chosen: argparse.Namespace, *, tell: Tell, print_json: Json) -> int:
    """Differences and faults first, then the change. Exit code 1 if a line has a fault."""
    from servicedesk.desk.price_list import Ask, look_at_prices, supplier_named, take_prices
    from servicedesk.desk.price_list_text import fault_text, proposal_lines

    desk = desk_of(chosen)
    columns = dict(one.rpartition("=")[::2] for one in chosen.column)
    ask = Ask(columns=columns, from_on=chosen.from_day, adds_new=chosen.new)
    proposal = look_at_prices(desk, chosen.file, supplier_named(desk, chosen.supplier), ask)
    written = not chosen.check and proposal.writes
    if written:
        take_prices(desk, proposal)
    if getattr(chosen, "json", False):
        faults = [{"row": one.row, "code": one.code, "text": fault_text(one)}
                  for one in proposal.faults]  # fmt: skip
        print_json({"written": written, "faults": faults, "list": proposal})
    else:
        end = say("Written. It can be taken back in one step.")
        if not written:
            end = say("Nothing was written.")
        tell(*proposal_lines(proposal, desk), end)
    return LOOK if proposal.faults else DONE


def _add_order(kinds: Any, tell: Tell, print_json: Json) -> None:
    verb = kinds.add_parser("order", help=say("what to order from whom, and what is on order"))
    _common(verb)
    verb.add_argument("--write", action="store_true",
                      help=say("write the orders and their papers (PDF and XLSX)"))  # fmt: skip
    verb.add_argument("--out", type=Path, metavar="FOLDER", help=say("where the papers go"))
    verb.add_argument("--no-patterns", action="store_true",
                      help=say("without what the patterns say will be needed"))  # fmt: skip
    verb.set_defaults(do=lambda chosen: order_from_shell(chosen, tell=tell, print_json=print_json))


def order_from_shell(chosen: argparse.Namespace, *, tell: Tell, print_json: Json) -> int:
    """What is to be ordered with its reason; with --write the orders. Exit 1 if something is."""
    from servicedesk.desk.order_list import order_list, order_list_lines
    from servicedesk.desk.part_orders import open_orders, order_parts
    from servicedesk.desk.part_papers import write_order_papers

    desk = desk_of(chosen)
    wanted = order_list(desk, with_patterns=not chosen.no_patterns)
    numbers: tuple[int, ...] = ()
    papers: list[Path] = []
    if chosen.write and wanted.quantities:
        numbers = order_parts(desk, wanted.quantities).numbers
        papers = write_order_papers(desk, numbers, chosen.out)
    coming = open_orders(desk)
    if getattr(chosen, "json", False):
        print_json({"wanted": wanted.lines, "needs": wanted.needs, "numbers": numbers,
                    "papers": papers, "on_order": coming})  # fmt: skip
    else:
        tell(*order_list_lines(desk, wanted, coming), *[f"  {path}" for path in papers])
    return LOOK if wanted.quantities and not numbers else DONE


def _add_arrived(kinds: Any, tell: Tell, print_json: Json) -> None:
    verb = kinds.add_parser("arrived", help=say("an order came, whole or in part"))
    _common(verb)
    verb.add_argument("number", type=int, metavar="ORDER", help=say("the number of the order"))
    verb.add_argument("--part", metavar="PART", help=say("only this part of it"))
    verb.add_argument("--count", type=int, metavar="N", help=say("so many of it (with --part)"))
    verb.add_argument("--not-coming", action="store_true", help=say("it will not come any more"))
    verb.set_defaults(
        do=lambda chosen: arrived_from_shell(chosen, tell=tell, print_json=print_json)
    )


def arrived_from_shell(chosen: argparse.Namespace, *, tell: Tell, print_json: Json) -> int:
    """The arrival of an order's open lines, each a change. Raises Trouble where none is open."""
    from servicedesk.desk.part_find import part_named
    from servicedesk.desk.part_orders import arrived, give_up, order_lines, shelf_place

    desk = desk_of(chosen)
    lines = [one for one in order_lines(desk, chosen.number) if one.is_open]
    if chosen.part is not None:
        part = part_named(desk, chosen.part)
        lines = [one for one in lines if one.part_id == part.id]
    if not lines or (chosen.count is not None and len(lines) != 1):
        raise Trouble(
            say("Nothing like that is open in order {number}.", number=chosen.number),
            do=say("Look at what is on order: servicedesk shelf order"),
        )
    place = shelf_place(desk)
    for one in lines:
        if chosen.not_coming:
            give_up(desk, one.id)
        else:
            arrived(desk, one.id, place_id=place, quantity=chosen.count)
    now = order_lines(desk, chosen.number)
    if getattr(chosen, "json", False):
        print_json({"order": now})
    else:
        still = sum(one.quantity for one in now if one.is_open)
        tell(say_n("Written. {n} piece is still to come.", "Written. {n} pieces are still to come.",
                   still))  # fmt: skip
    return DONE
