"""Rows of the shelf in words: parts, orders, claims, moves."""

from collections.abc import Sequence

from servicedesk.desk.office import Desk
from servicedesk.desk.part_history import HistoryLine
from servicedesk.desk.part_needs import PatternNeed, need_reason
from servicedesk.desk.price_list import PriceProposal
from servicedesk.desk.price_list_text import change_text, fault_text, value_text
from servicedesk.desk.shelf import ShelfLine
from servicedesk.desk.shelf_page import MoveRow, OrderRow, PartUse, ShelfData
from servicedesk.values.money import Money
from servicedesk.window.models.row_list import Row
from servicedesk.window.widgets.shelf_painter import MOST_TRUCKS, ShelfRow
from servicedesk.words import say, say_n
from servicedesk.words.reasons import reason_text

_NONE = PartUse(by_week=(), a_week=0.0, lasts=None)


def truck_names(data: ShelfData) -> tuple[str, ...]:
    """The columns after the shelf: each truck, or all together where there are many."""
    names = tuple(one.name for one in data.places if one.truck_id is not None)
    return names if len(names) <= MOST_TRUCKS else (say("Trucks"),)


def part_rows(
    desk: Desk, data: ShelfData, lines: Sequence[ShelfLine], needs: Sequence[PatternNeed]
) -> list[Row]:
    """Parts as rows, in the order given."""
    rise = {one.part_id: one for one in needs}
    return [_part_row(desk, data, line, rise.get(line.part.id)) for line in lines]


def _part_row(desk: Desk, data: ShelfData, line: ShelfLine, need: PatternNeed | None) -> Row:
    part = line.part
    lying = [(one, line.lying.get(one.name, 0)) for one in data.places]
    shelf = sum(n for one, n in lying if one.truck_id is None)
    trucks = [n for one, n in lying if one.truck_id is not None]
    there = (shelf, *trucks) if len(trucks) <= MOST_TRUCKS else (shelf, sum(trucks))
    use = data.uses.get(part.id, _NONE)
    told, color, icon = _told(desk, line, need)
    thing = ShelfRow(line, use, there, _days(use), told, color, icon)
    second = " · ".join(one for one in (part.number, part.supplier) if one)
    return Row(title=part.name, second=second, right=told, thing=thing)


def _days(use: PartUse) -> str:
    if use.lasts is None:
        return "—"
    days = round(use.lasts.best)
    return str(days) if days < 1000 else say("999+")


def _told(desk: Desk, line: ShelfLine, need: PatternNeed | None) -> tuple[str, str, str]:
    if line.short_at:
        where = ", ".join(line.short_at)
        return say("Less than nothing: count it ({where})", where=where), "clay", "warn"
    if line.buy:
        text = say("buy {n}", n=line.buy)
        if line.cost_minor is not None:
            money = desk.formats.money(Money(line.cost_minor, desk.company.currency))
            text = say("buy {n} for {money}", n=line.buy, money=money)
        return text, "ochre", "warn"
    if line.on_order:
        if line.expected_on is None:
            return say("{n} on order", n=line.on_order), "water", "in"
        day = desk.formats.day(line.expected_on, near=desk.today)
        if line.expected_on < desk.today:
            return say("{n} on order, due {day}", n=line.on_order, day=day), "clay", "clock"
        return say("{n} on order for {day}", n=line.on_order, day=day), "water", "in"
    if line.is_dead:
        return say("lies dead"), "ink3", "clock"
    if need is not None and need.extra:
        return say("pattern: {n} more needed", n=need.extra), "plum", "patterns"
    return "", "ink2", ""


def order_rows(desk: Desk, orders: Sequence[OrderRow]) -> list[Row]:
    """What is on order, the oldest first; past its day in clay."""
    rows = []
    for one in orders:
        late = one.expected_on is not None and one.expected_on < desk.today
        due = "—" if one.expected_on is None else desk.formats.day(one.expected_on, near=desk.today)
        cost = ""
        if one.unit_cost_minor is not None:
            money = Money(one.unit_cost_minor * one.quantity, desk.company.currency)
            cost = desk.formats.money(money)
        second = [say("order {n}", n=one.number), one.supplier or say("no supplier is written"),
                  say("ordered {day}", day=desk.formats.day(one.ordered_on, near=desk.today)),
                  cost]  # fmt: skip
        rows.append(
            Row(
                title=say("{n} x {name}", n=one.quantity, name=one.part_name),
                second=" · ".join(part for part in second if part),
                icon="in",
                right=say("due {day}", day=due),
                right_icon="warn" if late else "",
                right_color="clay" if late else "ink2",
                thing=one,
            )
        )
    return rows


def claim_rows(desk: Desk, data: ShelfData) -> list[Row]:
    """Claims that neither credit nor refusal has answered."""
    return [_claim_row(desk, data, one) for one in data.claims]


def _claim_row(desk: Desk, data: ShelfData, one: MoveRow) -> Row:
    days = (desk.today - one.moved_on).days
    return Row(
        title=say("{n} x {name}", n=one.quantity, name=data.names.get(one.part_id, "")),
        second=" · ".join(part for part in (
            say("claimed {day}", day=desk.formats.day(one.moved_on, near=desk.today)), one.note,
        ) if part),
        icon="out",
        right=say_n("waits {n} day", "waits {n} days", days),
        right_color="ochre",
        thing=one,
    )  # fmt: skip


def need_rows(desk: Desk, needs: Sequence[PatternNeed]) -> list[Row]:
    """What clear patterns will need, under a heading of their own."""
    return [
        Row(
            title=one.name,
            second=need_reason(one, desk),
            icon="patterns",
            right=say("order {n} more", n=one.extra) if one.extra else say("there are enough"),
            right_color="plum" if one.extra else "ink3",
            thing=one,
        )
        for one in needs
    ]


def buy_rows(desk: Desk, lines: Sequence[ShelfLine], needs: Sequence[PatternNeed]) -> list[Row]:
    """What to buy by supplier, each with its reason; then what the patterns say."""
    rows: list[Row] = []
    firms = sorted({line.part.supplier for line in lines})
    for firm in firms:
        some = [line for line in lines if line.part.supplier == firm]
        total = desk.formats.money(
            Money(sum(line.cost_minor or 0 for line in some), desk.company.currency)
        )
        name = firm or say("No supplier is written")
        rows.append(Row(title=say("{supplier} · {money}", supplier=name, money=total),
                        is_heading=True))  # fmt: skip
        rows += [
            Row(
                title=say("{n} x {name}", n=line.buy, name=line.part.name),
                second=say("{number} · {there} on the shelf, {coming} on order · {why}",
                           number=line.part.number, there=line.on_shelf, coming=line.on_order,
                           why=reason_text(line.why, desk.formats)),
                icon="in",
                right=say("order at {point}, up to {level}", point=line.point, level=line.up_to),
                right_color="ink2",
                thing=line,
            )
            for line in some
        ]  # fmt: skip
    if needs:
        rows.append(Row(title=say("What the patterns say will be needed"), is_heading=True))
        rows += need_rows(desk, needs)
    return rows


def history_rows(lines: Sequence[HistoryLine]) -> list[Row]:
    """Moves of a part, the newest first; those taken back say so."""
    return [
        Row(
            title=line.text,
            second=" · ".join(part for part in (line.where, line.note) if part),
            icon="undo" if line.is_back else "move",
            right=say("{day}, taken back", day=line.day) if line.is_back else line.day,
            right_color="ink3" if line.is_back else "ink2",
            thing=line,
        )
        for line in lines
    ]


def price_rows(desk: Desk, proposal: PriceProposal) -> list[Row]:
    """What a price list would do: faults, what is worth a look, then all other changes."""
    rows: list[Row] = []
    if proposal.faults:
        rows.append(Row(title=say("Faults"), is_heading=True))
        rows += [
            Row(title=fault_text(one), icon="warn", thing=one, right_color="clay")
            for one in proposal.faults
        ]
    changed = [one for one in proposal.lines if one.state == "changed"]
    for title, some in (
        (say("Worth a look: several times what it cost"), [o for o in changed if o.is_odd]),
        (say("Changes"), [o for o in changed if not o.is_odd]),
    ):
        if some:
            rows.append(Row(title=title, is_heading=True))
            rows += [Row(title=change_text(one, desk), icon="again", thing=one) for one in some]
    new = [one for one in proposal.lines if one.state == "new"]
    if new and proposal.adds_new:
        rows.append(Row(title=say("New parts"), is_heading=True))
        rows += [
            Row(title=one.name or one.line.number, second=one.line.number, icon="plus", thing=one,
                right=value_text("cost_minor", one.line.cost_minor, desk))
            for one in new
        ]  # fmt: skip
    return rows
