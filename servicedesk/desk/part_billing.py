"""Who bears a part used at a visit, and whether its owner has to be asked first. A pure rule.

The warranty of a unit goes before what a person set on the job, and that before the contract. Which
kinds of work a maintenance contract covers is common practice, no source.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from servicedesk.values.reason import Reason

CONTRACT, WARRANTY, BILLABLE = "contract", "warranty", "billable"
BILLINGS = (CONTRACT, WARRANTY, BILLABLE)
COVERED_JOBS = ("inspection", "callback", "owed")


@dataclass(frozen=True, slots=True, kw_only=True)
class PartFacts:
    """What decides of one part line.

    `warranty_until` (excluded) is that of the unit the part goes into or takes the place of;
    `contract`: the number of the contract that covers the system that day, None without one;
    `limit_minor`: what may be done under it without asking; `value_minor`: price of the line.
    """

    day: date
    job_kind: str
    job_billing: str = ""
    warranty_until: date | None = None
    contract: int | None = None
    limit_minor: int | None = None
    value_minor: int | None = None
    currency: str = "USD"


@dataclass(frozen=True, slots=True)
class Billing:
    """Who bears it (one of BILLINGS), and why."""

    billing: str
    why: Reason


def billing_of(facts: PartFacts) -> Billing:
    """Who bears a part: its maker or supplier, the contract, or the one who pays."""
    if facts.warranty_until is not None and facts.day < facts.warranty_until:
        return Billing(WARRANTY, Reason.of("part_under_warranty", until=facts.warranty_until))
    if facts.job_billing in BILLINGS:
        return Billing(facts.job_billing, Reason.of("part_as_the_job"))
    if facts.contract is None:
        return Billing(BILLABLE, Reason.of("part_without_contract"))
    if facts.job_kind not in COVERED_JOBS:
        return Billing(BILLABLE, Reason.of("part_job_not_covered", kind=facts.job_kind))
    value, limit = facts.value_minor, facts.limit_minor
    if value is not None and limit is not None and value > limit:
        why = Reason.of("part_over_limit", minor=limit, currency=facts.currency)
        return Billing(BILLABLE, why)
    return Billing(CONTRACT, Reason.of("part_under_contract", number=facts.contract))


@dataclass(frozen=True, slots=True)
class Charge:
    """A part line as the limit sees it: the contract it falls under, who bears it, its price."""

    contract: int | None
    limit_minor: int | None
    billing: str
    value_minor: int | None


@dataclass(frozen=True, slots=True)
class OverLimit:
    """Parts of a visit that come to more than their contract allows without asking."""

    contract: int
    limit_minor: int
    total_minor: int


def over_limits(charges: Iterable[Charge]) -> tuple[OverLimit, ...]:
    """The contracts whose parts of one visit exceed the limit; what is under warranty left out.

    Lines without a price count as nothing: the catalogue knows none.
    """
    totals: dict[int, OverLimit] = {}
    for one in charges:
        if one.contract is None or one.limit_minor is None or one.billing == WARRANTY:
            continue
        before = totals.get(one.contract, OverLimit(one.contract, one.limit_minor, 0))
        total = before.total_minor + (one.value_minor or 0)
        totals[one.contract] = OverLimit(one.contract, one.limit_minor, total)
    return tuple(one for one in totals.values() if one.total_minor > one.limit_minor)
