"""What is to be billed, and what became of it: derived from contracts, jobs, parts and trips.

A line is derived until somebody does something with it; from then on it is stored. Nothing comes
twice: a stored line names the job, part line, visit, or contract and first day that it is for.
The books themselves are kept elsewhere: no ledger, no tax, no payments.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from servicedesk.desk.bill_rates import rates_of
from servicedesk.desk.office import Desk
from servicedesk.duties.months import add_months
from servicedesk.records import bill_rows as rows
from servicedesk.records.bill_rows import BillRow, Payer, PricedContract
from servicedesk.values.money import Money
from servicedesk.words import say
from servicedesk.words.jobs import could_not_text, job_title

TO_BILL, BILLED, PAID, WAIVED = "to bill", "billed", "paid", "waived"
STATES = (TO_BILL, BILLED, PAID, WAIVED)
# why nobody could work that was the customer's doing; the others cost no trip
AT_THEIR_DOOR = ("no access", "refused", "no power", "lid buried")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill:
    """One line. `key` names it for good, also in lists that go out and come back.

    `line_id` None: derived, not stored yet. `amount_minor` None: nobody said how much.
    `now_minor` is what it would come to now, where a stored amount differs from it.
    """

    key: str
    kind: str
    site_id: int
    address: str
    customer_id: int | None
    customer: str
    text: str
    amount_minor: int | None
    since_on: date
    state: str = TO_BILL
    bill_number: str = ""
    billed_on: date | None = None
    paid_on: date | None = None
    waived_why: str = ""
    line_id: int | None = None
    revision: int | None = None
    contract_id: int | None = None
    job_id: int | None = None
    visit_id: int | None = None
    part_line_id: int | None = None
    now_minor: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BillPage:
    """All lines, what waits first, then the latest. Sums in minor units; `limit_minor`: unpaid.

    `over`: keys of sites whose unpaid bills are over the limit. `since_on`: jobs, parts, trips
    and contract years before it are not derived.
    """

    today: date
    since_on: date
    currency: str
    lines: tuple[Bill, ...]
    limit_minor: int | None
    trip_minor: int | None
    over: tuple[int, ...]

    def of_state(self, state: str) -> tuple[Bill, ...]:
        """Lines in one state."""
        return tuple(one for one in self.lines if one.state == state)

    def sum_of(self, state: str) -> int:
        """What the lines of a state come to, those without an amount left out."""
        return sum(one.amount_minor or 0 for one in self.of_state(state))


def bills(desk: Desk) -> BillPage:
    """Every line that is to be billed or was, derived and stored."""
    with desk.store.read() as session:
        rates = rates_of(desk, session)
        since_at = desk.clock.instant(rates.since_on, 0)
        stored = rows.stored(session)
        derived = [
            *_of_contracts(desk, rows.priced_contracts(session, rates.since_on), rates.since_on),
            *_of_jobs(desk, rows.billable_jobs(session, since_at)),
            *_of_parts(desk, session, since_at),
            *_of_trips(desk, rows.jobs_of_vain_visits(session, since_at), rates.trip_minor),
        ]
        payers = rows.payers(session, (one.site_id for one in derived))
        limit = rows.unpaid_limit(session)
        unpaid = rows.unpaid_by_site(session, {one.site_id for one in stored}, desk.today)
    known = {key_of(row): row for row in stored}
    fresh = {one.key: _for_payer(one, payers.get(one.site_id, [])) for one in derived}
    lines = [_stored(row, fresh.get(key)) for key, row in known.items()]
    lines += [one for key, one in fresh.items() if key not in known]
    return BillPage(
        today=desk.today,
        since_on=rates.since_on,
        currency=desk.company.currency,
        lines=tuple(sorted(lines, key=_order)),
        limit_minor=limit,
        trip_minor=rates.trip_minor,
        over=tuple(sorted(k for k, owed in unpaid.items() if limit is not None and owed > limit)),
    )


def _order(one: Bill) -> tuple[int, int, str]:
    """By state; within it the oldest first while it waits, the latest first once it is over."""
    place = STATES.index(one.state)
    days = one.since_on.toordinal()
    return place, days if place < STATES.index(PAID) else -days, one.key


def key_of(row: BillRow) -> str:
    """The name of a stored line, the same as it had while it was derived."""
    if row.job_id is not None:
        return f"job-{row.job_id}"
    if row.part_line_id is not None:
        return f"part-{row.part_line_id}"
    if row.visit_id is not None:
        return f"trip-{row.visit_id}"
    if row.contract_id is not None:
        return contract_key(row.contract_id, row.since_on)
    return f"line-{row.id}"


def contract_key(contract_id: int, since_on: date) -> str:
    """The name of a contract year: contract and first day."""
    return f"contract-{contract_id}-{since_on.isoformat()}"


def _stored(row: BillRow, fresh: Bill | None) -> Bill:
    now = fresh.amount_minor if fresh is not None else None
    return Bill(
        key=key_of(row),
        kind=row.kind_of or _kind(row),
        site_id=row.site_id,
        address=row.address,
        customer_id=row.customer_id,
        customer=row.customer,
        text=row.text,
        amount_minor=row.amount_minor,
        since_on=row.since_on,
        state=row.state,
        bill_number=row.bill_number,
        billed_on=row.billed_on,
        paid_on=row.paid_on,
        waived_why=row.waived_why,
        line_id=row.id,
        revision=row.revision,
        contract_id=row.contract_id,
        job_id=row.job_id,
        visit_id=row.visit_id,
        part_line_id=row.part_line_id,
        now_minor=now if now is not None and now != row.amount_minor else None,
    )


def _kind(row: BillRow) -> str:
    return {"job": "job", "part": "part", "trip": "trip", "contract": "renewal"}.get(
        key_of(row).partition("-")[0], "other"
    )


def _for_payer(one: Bill, payers: Iterable[Payer]) -> Bill:
    """Whoever paid at the site on that day, the owner where nobody else does."""
    if one.customer_id is not None:
        return one
    payer = next((p for p in payers if p.holds(one.since_on)), None)
    return one if payer is None else replace(one, customer_id=payer.customer_id,
                                             customer=payer.name)  # fmt: skip


def _of_contracts(
    desk: Desk, contracts: Iterable[PricedContract], since_on: date
) -> Iterable[Bill]:
    """A line for each year of a signed contract: the first at once, later ones as they begin."""
    day = desk.formats.day
    for one in contracts:
        until = one.until_on if one.ended_on is None else min(one.until_on, one.ended_on)
        year = 0
        while (begin := add_months(one.from_on, 12 * year)) < until:
            end = add_months(one.from_on, 12 * (year + 1))
            if begin >= since_on and (year == 0 or begin <= desk.today):
                text = say("Contract {n} from {first}", n=one.number, first=day(begin))
                yield Bill(
                    key=contract_key(one.contract_id, begin), kind="renewal",
                    site_id=one.site_id, address=one.address, customer_id=one.holder_id,
                    customer=one.holder, text=text, since_on=begin,
                    amount_minor=_year_share(one, begin, end), contract_id=one.contract_id,
                )  # fmt: skip
            year += 1


def _year_share(one: PricedContract, begin: date, end: date) -> int:
    """The price a year; of a last piece shorter than a year its share by days."""
    if end <= one.until_on:
        return one.price_minor
    price = Money(one.price_minor, "XXX")
    return price.times(_share((one.until_on - begin).days, (end - begin).days)).minor


def _share(days: int, of_days: int) -> Decimal:
    return Decimal(days) / Decimal(of_days)


def _of_jobs(desk: Desk, jobs: Iterable[rows.BillableJob]) -> Iterable[Bill]:
    for one in jobs:
        yield Bill(
            key=f"job-{one.job_id}", kind="job", site_id=one.site_id, address=one.address,
            customer_id=None, customer="", text=job_title(one.kind, one.ordinal).capitalize(),
            amount_minor=one.price_minor, since_on=desk.clock.day_of(one.arrived_at),
            job_id=one.job_id, visit_id=one.visit_id,
        )  # fmt: skip


def _of_parts(desk: Desk, session: Any, since_at: datetime) -> Iterable[Bill]:
    parts = rows.billable_parts(session, since_at)
    prices = rows.part_prices(session, (one.part_id for one in parts if one.part_id))
    for one in parts:
        on = desk.clock.day_of(one.arrived_at)
        price = one.price_minor
        if price is None and one.part_id is not None:
            known = [minor for from_on, minor in prices.get(one.part_id, []) if from_on <= on]
            price = known[-1] if known else None
        text = one.text if one.quantity == 1 else f"{one.quantity} × {one.text}"
        yield Bill(
            key=f"part-{one.part_line_id}", kind="part", site_id=one.site_id, address=one.address,
            customer_id=None, customer="", text=text, since_on=on,
            amount_minor=None if price is None else price * one.quantity,
            part_line_id=one.part_line_id, visit_id=one.visit_id,
        )  # fmt: skip


def _of_trips(desk: Desk, tried: Iterable[rows.TriedJob], trip_minor: int | None) -> Iterable[Bill]:
    """Trips on which nothing at all could be done for a reason that lay with the customer."""
    if trip_minor is None:
        return
    by_visit: dict[int, list[rows.TriedJob]] = {}
    for one in tried:
        by_visit.setdefault(one.visit_id, []).append(one)
    for visit_id, jobs in by_visit.items():
        first = jobs[0]
        vain = all(j.outcome == "could not" and j.could_not in AT_THEIR_DOOR for j in jobs)
        if vain:
            why = could_not_text(first.could_not)
            yield Bill(
                key=f"trip-{visit_id}", kind="trip", site_id=first.site_id, address=first.address,
                customer_id=None, customer="", text=say("Trip in vain: {why}", why=why),
                amount_minor=trip_minor, since_on=desk.clock.day_of(first.arrived_at),
                visit_id=visit_id,
            )  # fmt: skip
