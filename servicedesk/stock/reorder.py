"""When to order a part and how many: order point, level to fill up to, what lies dead."""

import math
from dataclasses import dataclass

from servicedesk.stock.base_stock import base_stock
from servicedesk.stock.intermittent import Use, demand_over
from servicedesk.values.reason import Reason

YEAR_DAYS = 365.25
DEAD_YEARS = 2.0  # nothing used for so long: it lies dead (common practice, no source)


@dataclass(frozen=True, slots=True)
class Terms:
    """How a part is bought: days until it comes, days between orders, pieces in a pack."""

    lead_days: float
    review_days: float
    pack: int = 1
    service: float = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """Order when `point` or fewer are left, up to `up_to`. `why` says what it rests on."""

    point: int
    up_to: int
    a_year: float
    is_uneven: bool
    why: Reason


def order_rule(
    use: Use, terms: Terms, *, stops_a_system: bool = False, fixed_point: int | None = None
) -> Rule:
    """Order point and level of one part.

    The level covers the demand until an order placed at the next review has come; the point
    covers the demand until an order placed now has come. A part never used is not kept, or once
    where a missing one stops a system. `fixed_point`: what a
    person set stays. Raises ValueError for terms below zero.
    """
    if min(terms.lead_days, terms.review_days) < 0 or terms.pack < 1:
        raise ValueError(f"{terms} are no terms")
    lead = demand_over(use, terms.lead_days / YEAR_DAYS)
    until_next = demand_over(use, (terms.lead_days + terms.review_days) / YEAR_DAYS)
    level = base_stock(until_next, terms.service)
    point = base_stock(lead, terms.service)
    why = Reason.of("order_of_use", a_year=use.rate_a_year, years=use.years)
    if use.used == 0:
        level, point = (1, 0) if stops_a_system else (0, -1)
        why = Reason.of("order_never_used", keep=level)
    elif use.is_uneven:
        why = Reason.of("order_of_bursts", a_year=use.rate_a_year, years=use.years)
    if fixed_point is not None:
        point = fixed_point
        why = Reason.of("order_by_hand", point=fixed_point)
    return Rule(
        point=point,
        up_to=max(level, point + 1),
        a_year=use.rate_a_year if use.used else 0.0,
        is_uneven=use.is_uneven,
        why=why,
    )


def to_buy(rule: Rule, terms: Terms, *, at_hand: int, on_order: int = 0) -> int:
    """How many to order now, in whole packs; 0 while more than the order point is there."""
    there = at_hand + on_order
    if there > rule.point:
        return 0
    return math.ceil((rule.up_to - there) / terms.pack) * terms.pack


def days_left(rule: Rule, at_hand: int) -> float | None:
    """Days until it runs out at the usual pace; None where it is never used."""
    if at_hand <= 0:
        return 0.0
    return None if rule.a_year <= 0 else at_hand / rule.a_year * YEAR_DAYS


def is_dead(*, at_hand: int, years_since_use: float | None, years_kept: float) -> bool:
    """Does it lie there unused for DEAD_YEARS or more? (`years_since_use` None: never used.)"""
    unused = years_kept if years_since_use is None else years_since_use
    return at_hand > 0 and unused >= DEAD_YEARS
