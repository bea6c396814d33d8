"""What is to be ordered now, by supplier, each with its reason; the patterns' needs on top."""

from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.desk.office import Desk
from servicedesk.desk.part_needs import PatternNeed, need_text, pattern_needs
from servicedesk.desk.shelf import ShelfLine, ShelfPage, shelf
from servicedesk.records.order_rows import OrderRow
from servicedesk.values.money import Money
from servicedesk.words import say, say_n
from servicedesk.words.reasons import reason_text


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderList:
    """Parts at their order point, and what clear patterns ask for beyond."""

    lines: tuple[ShelfLine, ...]
    needs: tuple[PatternNeed, ...]

    @property
    def quantities(self) -> dict[int, int]:
        """How many to order of each part, by key."""
        found = {one.part.id: one.buy for one in self.lines}
        extra: dict[int, int] = {}
        for need in self.needs:
            extra[need.part_id] = max(extra.get(need.part_id, 0), need.extra)
        for key, n in extra.items():
            found[key] = found.get(key, 0) + n
        return {key: n for key, n in found.items() if n > 0}


def order_list(
    desk: Desk, *, page: ShelfPage | None = None, with_patterns: bool = True
) -> OrderList:
    """What to order today. `page`: the shelf where it was read already."""
    page = page or shelf(desk)
    needs = pattern_needs(desk, page) if with_patterns else ()
    return OrderList(lines=tuple(one for one in page.lines if one.buy), needs=needs)


def order_list_lines(desk: Desk, wanted: OrderList, coming: Sequence[OrderRow]) -> list[str]:
    """For the shell: how demand was reckoned, what to order from whom, what is coming."""
    lines = [method_text()]
    by_firm: dict[str, list[ShelfLine]] = {}
    for one in wanted.lines:
        by_firm.setdefault(one.part.supplier, []).append(one)
    for firm, some in sorted(by_firm.items()):
        total = sum(one.cost_minor or 0 for one in some)
        money = desk.formats.money(Money(total, desk.company.currency))
        lines.append(say("{supplier}: {money}", supplier=firm or say("No supplier is written"),
                         money=money))  # fmt: skip
        lines += [
            say("  {n} x {name} ({number}): {why}", n=one.buy, name=one.part.name,
                number=one.part.number, why=reason_text(one.why, desk.formats))
            for one in some
        ]  # fmt: skip
    if not wanted.lines:
        lines.append(say("Nothing is at its order point."))
    if wanted.needs:
        lines.append(say("What the patterns say will be needed:"))
        lines += [_need_line(one, desk) for one in wanted.needs]
    if coming:
        lines.append(say("On order:"))
        lines += [_coming_line(one, desk) for one in coming]
    return lines


def _need_line(one: PatternNeed, desk: Desk) -> str:
    text = need_text(one, desk)
    if not one.extra:
        return say("  {text}: there are enough", text=text)
    more = say_n("{n} more", "{n} more", one.extra)
    return say("  {text}: order {more}", text=text, more=more)


def _coming_line(one: OrderRow, desk: Desk) -> str:
    day = "—" if one.expected_on is None else desk.formats.day(one.expected_on, near=desk.today)
    return say("  order {number}: {n} x {name} for {day}", number=one.number, n=one.quantity,
               name=one.part_name, day=day)  # fmt: skip


def method_text() -> str:
    """How demand is reckoned, in one sentence."""
    return say(
        "Demand of parts used now and then: each part's own use, drawn toward that of all parts as "
        "if by one year (gamma-Poisson), more uneven where it comes in bursts; 95% until the next "
        "delivery."
    )
