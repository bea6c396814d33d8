"""The shelf as lines for the shell."""

from servicedesk.desk.office import Desk
from servicedesk.desk.shelf import ShelfLine, ShelfPage
from servicedesk.values.money import Money
from servicedesk.words import say, say_n
from servicedesk.words.reasons import reason_text


def shelf_lines(page: ShelfPage, desk: Desk) -> list[str]:
    """What to buy, what is below nothing, every part with where it lies and how long it lasts."""
    if not page.lines:
        return [say("There is no part in the catalogue yet.")]
    head = [
        say_n("{n} part", "{n} parts", len(page.lines)),
        say_n("{n} to buy", "{n} to buy", page.n_buy),
        say("for {money}", money=desk.formats.money(Money(page.cost_minor, desk.company.currency))),
    ]
    if page.n_dead:
        head.append(say_n("{n} lies dead", "{n} lie dead", page.n_dead))
    shouted = [_shout(one) for one in page.lines if one.short_at]
    return [" · ".join(head), *shouted, *(_line(one, desk) for one in page.lines)]


def _shout(one: ShelfLine) -> str:
    where = ", ".join(say("{place} {n}", place=p, n=one.lying[p]) for p in one.short_at)
    return say(
        "! Less than nothing by the book: {name} ({where}). Count it and write what is there.",
        name=one.part.name,
        where=where,
    )


def _line(one: ShelfLine, desk: Desk) -> str:
    lying = ", ".join(say("{place} {n}", place=p, n=n) for p, n in one.lying.items())
    said = [
        say("{number} {name}: {lying}", number=one.part.number, name=one.part.name,
            lying=lying or say("none")),
    ]  # fmt: skip
    if one.is_dead:
        said.append(say("lies dead"))
    elif one.runs_out_on is not None:
        day = desk.formats.day(one.runs_out_on, near=desk.today)
        said.append(say("lasts until {day}", day=day) if one.at_hand > 0 else say("has run out"))
    if one.point >= 0:
        said.append(say("order at {point} up to {level}", point=one.point, level=one.up_to))
    if one.on_order:
        said.append(_coming(one, desk))
    if one.buy:
        said.append(
            say("buy {n} from {supplier}", n=one.buy, supplier=one.part.supplier)
            if one.part.supplier
            else say("buy {n}", n=one.buy)
        )
    if one.a_year and one.part.reorder_at is not None:
        said.append(say("about {n} a year", n=desk.formats.number(round(one.a_year, 1))))
    said.append(reason_text(one.why, desk.formats))
    return "  " + " · ".join(said)


def _coming(one: ShelfLine, desk: Desk) -> str:
    if one.expected_on is None:
        return say("{n} on order", n=one.on_order)
    day = desk.formats.day(one.expected_on, near=desk.today)
    if one.expected_on < desk.today:
        return say("{n} on order, should have come on {day}", n=one.on_order, day=day)
    return say("{n} on order for {day}", n=one.on_order, day=day)
