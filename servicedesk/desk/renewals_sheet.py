"""The renewals sheet: the page of renewals as a workbook, and as CSV."""

from collections.abc import Callable
from datetime import date, timedelta

from servicedesk.desk.office import Desk
from servicedesk.desk.renewals import RenewalLine, RenewalPage
from servicedesk.exchange.csvtext import csv_bytes
from servicedesk.exchange.renewals_xlsx import (
    Assumed,
    RenewalBook,
    SheetColumn,
    SheetRow,
    renewals_xlsx,
)
from servicedesk.renewals.price import NOT_RENEW
from servicedesk.values.money import Money
from servicedesk.words import say, say_n
from servicedesk.words.formats import minor_digits
from servicedesk.words.reasons import reason_text, reasons_text
from servicedesk.words.renewal_reasons import decision_text


def renewals_book(desk: Desk, page: RenewalPage) -> bytes:
    """The workbook (XLSX): prices follow the cells of its assumptions."""
    return renewals_xlsx(sheet_of(desk, page))


def renewals_csv(desk: Desk, page: RenewalPage) -> bytes:
    """One row a contract, everything as a value; money in units with a point."""
    heads = [column.name for column in _columns(desk, page)]
    return csv_bytes([heads, *(_values(desk, page, line) for line in page.lines)])


def _values(desk: Desk, page: RenewalPage, line: RenewalLine) -> list[str | int | float | None]:
    row = sheet_row(desk, page, line)
    digits = minor_digits(page.currency)
    price, next_year = line.price, line.next_year

    def units(minor: int | None) -> str | None:
        return None if minor is None else f"{minor / 10**digits:.{digits}f}"

    last = price.next_minor if price and row.is_renewing else None
    cost = next_year.total_minor if next_year else None
    kept = None if last is None or cost is None else last - cost
    rise = None if price is None or last is None else round(last / price.now_minor - 1, 4)
    steps = (
        [None] * 5
        if price is None
        else [
            price.index_minor,
            price.cost_minor,
            price.cap_minor,
            price.rounding_minor,
            price.computed_minor,
        ]
    )
    return [
        row.site, row.locality, row.holder, row.number, row.ends_on.isoformat(), row.visits,
        row.calls, row.calls_expected, units(row.labor_minor), units(row.road_minor),
        units(row.parts_minor), units(row.calls_minor), units(row.office_minor), units(cost),
        units(row.this_year_minor), units(row.now_minor), units(line.kept_minor),
        *(units(step) for step in steps), units(row.hand_minor), units(last), rise, units(kept),
        row.decision, row.why, row.missing,
    ]  # fmt: skip


def sheet_of(desk: Desk, page: RenewalPage) -> RenewalBook:
    """What stands in the workbook, in words."""
    policy, money = page.pricing.policy, _money(desk, page)
    rates = page.pricing.rates
    by_code = {reason.code: reason_text(reason, desk.formats) for reason in page.pricing.reasons}

    def origin(begin: str) -> str:
        return next((text for code, text in by_code.items() if code.startswith(begin)), "")

    more = []
    if rates is not None:
        hour = origin("company_hour") or origin("assumed_hour")
        more.append(
            Assumed(name=say("An hour of work or road"), value=rates.hour_minor, origin=hour)
        )
        more.append(
            Assumed(
                name=say("Office and fees, a contract and year"),
                value=rates.office_minor or None,
                origin=origin("policy_office") or origin("policy_no_office"),
            )
        )
    return RenewalBook(
        title=span_title(desk, page.from_on, page.until_on),
        subtitle=_subtitle(desk, page, money),
        sheet_names=(say("Summary"), say("Renewals"), say("Assumptions"), say("How reckoned")),
        columns=_columns(desk, page),
        rows=[sheet_row(desk, page, line) for line in page.lines],
        index=Assumed(
            name=say("Index"),
            value=policy.index,
            origin=origin("policy_index") or origin("policy_no_index"),
        ),
        margin=Assumed(
            name=say("Margin on top of cost"), value=policy.margin, origin=origin("policy_margin")
        ),
        cap=Assumed(
            name=say("Most a price rises"), value=policy.cap, origin=origin("policy_cap")
        ),
        round_to=Assumed(
            name=say("Prices are multiples of"),
            value=policy.round_to_minor,
            origin=origin("policy_round"),
        ),
        as_of=Assumed(
            name=say("Costs are estimates of"),
            value=None,
            origin=say("typed values: they do not change with the cells above"),
        ),
        more=more,
        notes=_notes(desk, page),
        currency=page.currency,
        digits=minor_digits(page.currency),
        as_of_on=page.today,
        totals_name=say("Sum of the rows shown"),
        summary_names=(
            say("Ends in"), say("Contracts"), say("Price now"), say("Next year"), say("More"),
        ),
        page_of=say("Page {page} of {pages}", page="{page}", pages="{pages}"),
        letter=desk.company.page_size != "a4",
    )  # fmt: skip


def sheet_row(desk: Desk, page: RenewalPage, line: RenewalLine) -> SheetRow:
    """One contract as the sheet has it."""
    cost, price = line.next_year, line.price
    names = {"currency": page.currency}
    return SheetRow(
        site=line.address,
        locality=line.locality,
        holder=line.holder,
        number=line.number,
        ends_on=line.ends_on,
        visits=visits_text(line),
        calls=line.n_calls,
        calls_expected=round(line.expected.calls, 4) if line.expected else None,
        labor_minor=cost.labor_minor if cost else None,
        road_minor=cost.road_minor if cost else None,
        parts_minor=cost.parts_minor if cost else None,
        calls_minor=cost.calls_minor if cost else None,
        # what is not written is not counted: an empty cell, no zero
        office_minor=(cost.office_minor or None) if cost else None,
        this_year_minor=line.this_year.total_minor if line.this_year else None,
        now_minor=price.now_minor if price else None,
        hand_minor=line.follower_price if price else None,
        is_renewing=line.decision != NOT_RENEW,
        is_full_year=line.kept_minor is not None,
        decision=decision_text(line.decision),
        why=reason_text(line.why, desk.formats, names) if line.why else "",
        missing=reasons_text(line.missing, desk.formats, names),
    )


def visits_text(line: RenewalLine) -> str:
    """As "2 of 3": inspections done of those of the contract; nothing where it does not run."""
    if line.visits_done is None or line.visits_owed is None:
        return ""
    return say("{n} of {all}", n=line.visits_done, all=line.visits_done + line.visits_owed)


def _money(desk: Desk, page: RenewalPage) -> Callable[[int], str]:
    return lambda minor: desk.formats.money(Money(minor, page.currency))


def span_title(desk: Desk, from_on: date, until_on: date) -> str:
    """What contracts are shown, by the days on which a next one would begin (until excluded)."""
    ends = (until_on.month, until_on.day, until_on.year)
    if (from_on.month, from_on.day) == (1, 1) and ends == (1, 1, from_on.year + 1):
        return say("Renewals for {year}", year=from_on.year)
    return say(
        "Contracts that end {first} to {last}",
        first=desk.formats.day(from_on - timedelta(days=1)),
        last=desk.formats.day(until_on - timedelta(days=2)),
    )


def _subtitle(desk: Desk, page: RenewalPage, money: Callable[[int], str]) -> str:
    totals = page.totals
    parts = [
        desk.company.name,
        say_n("{n} contract ends", "{n} contracts end", totals.n),
        say("kept of their prices: {money}", money=money(totals.kept_minor)),
        say("as of {day}", day=desk.formats.day(page.today)),
        desk.company.invented_note,
    ]
    return " \u00b7 ".join(part for part in parts if part)


def _notes(desk: Desk, page: RenewalPage) -> list[str]:
    share = page.totals.renewing
    texts = [reason_text(reason, desk.formats) for reason in page.notes]
    texts.append(
        say(
            "of {n} contracts that ended since {day} about {percent}% were renewed "
            "({low} to {high}%)",
            n=share.n,
            day=desk.formats.day(page.watched_from),
            percent=round(100 * share.share),
            low=round(100 * share.low),
            high=round(100 * share.high),
        )
    )
    texts.append(
        say(
            "A yellow cell under Assumptions may be changed: prices follow. Costs, decisions and "
            "their reasons are typed values of the day they were estimated on."
        )
    )
    return texts


def _columns(desk: Desk, page: RenewalPage) -> tuple[SheetColumn, ...]:
    year, watched = desk.formats.day(page.year_from), desk.formats.day(page.watched_from)
    named = (
        (say("Site"), say("the first site of the contract")),
        (say("Place"), ""),
        (say("Customer"), say("who holds the contract")),
        (say("Contract"), say("its number")),
        (say("Ends"), say("its last day")),
        (say("Visits"), say("inspections done of those of this contract")),
        (say("Calls"), say("callbacks since {day}, those that were billed left out", day=year)),
        (say("Calls to expect"), say(
            "a year: own callbacks since {day}, drawn toward those of the fleet; calls of storms "
            "and outages left out", day=watched,
        )),
        (say("Labor"), say("next year's inspections at this contract's usual length")),
        (say("Road"), say("its fair share of the rounds, as in the last year")),
        (say("Parts"), say("a year, at cost, those that were billed or under warranty left out")),
        (say("Likely calls"), say("calls to expect at the fleet's usual length and road")),
        (say("Office"), say("the same for every contract")),
        (say("Cost next year"), say("sum of the five before")),
        (say("Cost this year"), say("what was written since {day}", day=year)),
        (say("Price now"), say("for a year")),
        (say("Kept this year"), say("price now less cost this year")),
        (say("Index"), say("price now by the index")),
        (say("To cover cost"), say("what is missing to cost next year and margin")),
        (say("Cap"), say("what the most a price rises takes away")),
        (say("Rounding"), say("to the multiple; never over the cap")),
        (say("Computed"), say("price now and the four steps")),
        (say("By hand"), say("the price of the next contract, where it is drafted or runs")),
        (say("Next year"), say("the price by hand, else the computed one")),
        (say("Change"), say("next year over price now")),
        (say("Kept next year"), say("next year less cost next year")),
        (say("Decision"), say("what to do")),
        (say("Why"), ""),
        (say("Not written"), say("what is missing and was not made up")),
    )  # fmt: skip
    return tuple(SheetColumn(name=name, about=about) for name, about in named)
