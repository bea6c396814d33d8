"""Contracts that end within a span: what each cost and kept, the next price and what to do.

Slow work: the window runs it off its own thread, with progress and a way to stop.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.office import Desk
from servicedesk.desk.renew_notes import decided_of
from servicedesk.desk.renewal_facts import DoneWork, Facts, Gap, gather, gather_running
from servicedesk.desk.renewal_policy import Pricing, pricing_of
from servicedesk.desk.windows import current_windows
from servicedesk.records.renewal_rows import EndingRow
from servicedesk.renewals.cost import (
    CALLBACK,
    Cost,
    Expected,
    cost_next_year,
    cost_this_year,
    expected_calls,
)
from servicedesk.renewals.outlook import Renewing, renewing
from servicedesk.renewals.price import (
    CALL_FIRST,
    NOT_RENEW,
    RAISE,
    RENEWED,
    Price,
    Standing,
    decision,
    next_price,
)
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.reason import Reason
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

SETTLED = (RENEWED, NOT_RENEW)
FULL_YEAR = 0.99  # of a year: a day or two missing is nothing to speak of


@dataclass(frozen=True, slots=True, kw_only=True)
class RenewalLine:
    """One contract that ends. Money in minor units, years as `Facts` counts them.

    `ends_on` is the last day. `kept_minor` is the price now less what the last year cost.
    Of what is not known there is None, and `missing` says what. `decision` is what a person
    decided (`is_decided`), else what we propose (`proposed`) and `why`.
    """

    contract_id: int
    revision: int
    number: int
    own_number: str | None
    site_id: int | None
    address: str
    locality: str
    n_sites: int
    holder_id: int
    holder: str
    holder_address: str | None
    from_on: date
    ends_on: date
    visits_a_year: int
    visits_done: int | None
    visits_owed: int | None
    n_calls: int
    years: float
    expected: Expected | None
    this_year: Cost | None
    next_year: Cost | None
    kept_minor: int | None
    price: Price | None
    decision: str
    why: Reason | None
    proposed: str
    is_decided: bool
    missing: tuple[Reason, ...]
    follower_id: int | None
    follower_stage: str
    follower_price: int | None  # in minor units, written by hand


@dataclass(frozen=True, slots=True, kw_only=True)
class RenewalTotals:
    """Sums over the lines, in minor units.

    `next_minor` leaves out what is not renewed; `if_raised_minor` is what the lines to raise would
    bring more. `renewing` is how many contracts of the last years were renewed.
    """

    n: int
    n_by_decision: Mapping[str, int]
    now_minor: int
    next_minor: int
    kept_minor: int
    n_losing: int
    lost_minor: int
    if_raised_minor: int
    renewing: Renewing


@dataclass(frozen=True, slots=True, kw_only=True)
class RenewalPage:
    """The whole answer. `from_on` and `until_on` (excluded) bound the day the next term begins."""

    from_on: date
    until_on: date
    today: date
    year_from: date
    watched_from: date
    currency: str
    pricing: Pricing
    lines: tuple[RenewalLine, ...]
    totals: RenewalTotals
    notes: tuple[Reason, ...]


def renewals(
    desk: Desk,
    *,
    until: date,
    since: date | None = None,
    work: DoneWork | None = None,
    progress: Progress = quiet,
) -> RenewalPage:
    """Contracts whose next term would begin from `since` (today) on and before `until`.

    Soonest first. `work` where it was read already. Raises Trouble for a span without days or
    figures nobody can price with, Stopped where `progress` does.
    """
    from_on = since or desk.today
    if until <= from_on:
        raise Trouble(
            say(
                "The span from {first} to {last} has no days.",
                first=desk.formats.day(from_on),
                last=desk.formats.day(until),
            ),
            do=say("Ask for a later end."),
        )
    pricing = pricing_of(desk)
    facts = gather(desk, from_on, until, progress, work=work)
    progress(4, 5, say("Pricing"))
    visits = _visits(desk)
    lines = tuple(_line(row, facts, pricing, visits) for row in facts.ending)
    progress(5, 5, "")
    return RenewalPage(
        from_on=from_on,
        until_on=until,
        today=desk.today,
        year_from=facts.year_from,
        watched_from=facts.watched_from,
        currency=pricing.currency,
        pricing=pricing,
        lines=lines,
        totals=_totals(lines, facts),
        notes=_notes(facts, pricing),
    )


@dataclass(frozen=True, slots=True)
class Kept:
    """A contract that runs, and what its price of the last year kept. Minor units."""

    contract_id: int
    site_id: int | None
    address: str
    locality: str
    price_minor: int
    kept_minor: int


def kept_of_all(desk: Desk, work: DoneWork, progress: Progress = quiet) -> tuple[Kept, ...]:
    """What every contract that runs kept, worst first; those watched for a whole year only.

    Empty where nobody knows what an hour costs. Raises Trouble, Stopped as `renewals` does.
    """
    rates = pricing_of(desk).rates
    if rates is None:
        return ()
    facts = gather_running(desk, work, progress)
    found = []
    for row in facts.ending:
        seen = facts.seen[row.id]
        kept = _kept(row, cost_this_year(seen, rates), seen.years)
        sites = facts.sites[row.id]
        place = facts.places.get(sites[0]) if sites else None
        if kept is not None and place is not None:
            found.append(
                Kept(row.id, place.id, place.address, place.locality, row.price_minor or 0, kept)
            )
    return tuple(sorted(found, key=lambda one: (one.kept_minor, one.contract_id)))


def _visits(desk: Desk) -> Mapping[int, tuple[int, int]]:
    """Inspections done and still owed by contract that runs: of the system with most owed."""
    by_system: dict[tuple[int, int], list[bool]] = {}
    for one in current_windows(desk):
        key = (one.contract_id, one.system_id)
        by_system.setdefault(key, []).append(one.window.is_filled)
    found: dict[int, tuple[int, int]] = {}
    for (contract_id, _), filled in by_system.items():
        done, owed = sum(filled), len(filled) - sum(filled)
        if contract_id not in found or owed > found[contract_id][1]:
            found[contract_id] = (done, owed)
    return found


def _line(
    row: EndingRow, facts: Facts, pricing: Pricing, visits: Mapping[int, tuple[int, int]]
) -> RenewalLine:
    seen, calls, rates = facts.seen[row.id], facts.calls, pricing.rates
    sites = facts.sites[row.id]
    place = facts.places.get(sites[0]) if sites else None
    follower = facts.followers.get(row.id)
    expected = this_year = next_year = price = None
    if calls is not None:
        expected = expected_calls(seen.n_calls, seen.years, shape=calls.shape, rate=calls.rate)
    if rates is not None:
        this_year = cost_this_year(seen, rates)
    if rates is not None and expected is not None:
        next_year = cost_next_year(seen, expected, rates, facts.usual)
    cost_minor = next_year.total_minor if next_year else None
    if row.price_minor:
        drafted = follower is not None and follower.price_minor
        hand = follower.price_minor if follower is not None and drafted else None
        price = next_price(row.price_minor, cost_minor, pricing.policy, hand_minor=hand)
    done, owed = visits.get(row.id, (None, None))
    code, why = _decision(row, facts, price, cost_minor, owed or 0)
    by_hand = decided_of(follower.note) if follower and code not in SETTLED else ""
    return RenewalLine(
        contract_id=row.id,
        revision=row.revision,
        number=row.number,
        own_number=row.own_number,
        site_id=place.id if place else None,
        address=place.address if place else "",
        locality=place.locality if place else "",
        n_sites=len(sites),
        holder_id=row.holder_id,
        holder=row.holder,
        holder_address=row.holder_address,
        from_on=row.from_on,
        ends_on=row.until_on - timedelta(days=1),
        visits_a_year=row.visits_a_year,
        visits_done=done,
        visits_owed=owed,
        n_calls=sum(v.kind == CALLBACK and v.is_recent for v in seen.visits),
        years=seen.years,
        expected=expected,
        this_year=this_year,
        next_year=next_year,
        kept_minor=_kept(row, this_year, seen.years),
        price=price,
        decision=by_hand or code,
        why=why,
        proposed=code,
        is_decided=bool(by_hand),
        missing=_missing(facts.gaps[row.id], seen.years, row, cost_minor),
        follower_id=follower.id if follower else None,
        follower_stage=follower.stage if follower else "",
        follower_price=(follower.price_minor or None) if follower else None,
    )


def _kept(row: EndingRow, cost: Cost | None, years: float) -> int | None:
    """What the last year kept; nothing is said of a contract watched for less than a year."""
    if cost is None or row.price_minor is None or years < FULL_YEAR:
        return None
    return row.price_minor - cost.total_minor


def _decision(
    row: EndingRow, facts: Facts, price: Price | None, cost_minor: int | None, owed: int
) -> tuple[str, Reason | None]:
    follower = facts.followers.get(row.id)
    places = [facts.places[s] for s in facts.sites[row.id] if s in facts.places]
    gone = bool(places) and all(
        p.ended_on is not None and p.ended_on <= row.until_on for p in places
    )
    standing = Standing(
        is_renewed=follower is not None and follower.stage == "running",
        is_ending=row.ended_on is not None or gone,
        on_hold=any(p.on_hold for p in places),
        open_calls=sum(facts.open_calls.get(p.id, 0) for p in places),
        visits_owed=owed,
    )
    if price is not None:
        return decision(price, cost_minor, standing)
    if standing.is_renewed:
        return RENEWED, Reason.of("renewal_renewed")
    if standing.is_ending:
        return NOT_RENEW, Reason.of("renewal_ending")
    return CALL_FIRST, Reason.of("renewal_no_price")


def _missing(gap: Gap, years: float, row: EndingRow, cost_minor: int | None) -> tuple[Reason, ...]:
    found: list[Reason] = []
    if not row.price_minor:
        found.append(Reason.of("renewal_no_price"))
    if cost_minor is None:
        found.append(Reason.of("renewal_no_cost"))
    if years < FULL_YEAR:
        found.append(Reason.of("renewal_short_watch", months=int(years * 12)))
    counted = (
        ("renewal_no_minutes", gap.visits_without_minutes),
        ("renewal_no_road", gap.visits_without_road),
        ("renewal_no_part_cost", gap.parts_without_cost),
    )
    return (*found, *(Reason.of(code, n=n) for code, n in counted if n))


def _totals(lines: Sequence[RenewalLine], facts: Facts) -> RenewalTotals:
    by_decision: dict[str, int] = {}
    for line in lines:
        by_decision[line.decision] = by_decision.get(line.decision, 0) + 1
    kept = [line.kept_minor for line in lines if line.kept_minor is not None]
    priced = [(line, line.price) for line in lines if line.price is not None]
    return RenewalTotals(
        n=len(lines),
        n_by_decision=by_decision,
        now_minor=sum(price.now_minor for _, price in priced),
        next_minor=sum(price.next_minor for line, price in priced if line.decision != NOT_RENEW),
        kept_minor=sum(kept),
        n_losing=sum(minor < 0 for minor in kept),
        lost_minor=sum(minor for minor in kept if minor < 0),
        if_raised_minor=sum(
            price.next_minor - price.now_minor for line, price in priced if line.decision == RAISE
        ),
        renewing=renewing(facts.renewed, facts.lost),
    )


def _notes(facts: Facts, pricing: Pricing) -> tuple[Reason, ...]:
    found = [*pricing.reasons]
    if facts.calls is not None:
        found.append(Reason.of("renewal_fleet_calls", calls=facts.calls.mean))
    found.append(Reason.of("renewal_road_shared"))
    if pricing.rates is not None:
        found.append(Reason.of("renewal_no_truck"))
    return tuple(found)
