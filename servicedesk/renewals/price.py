"""The price of the next year, in steps that add up, and what to do about it.

Steps: price now; the index; what is missing to cost and margin; the cap on a rise; rounding; a
price set by hand. A step that changes nothing is left out by whoever shows them, not here.
"""

from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

from servicedesk.values.money import rounded_minor
from servicedesk.values.reason import Reason

RAISE, CALL_FIRST, RENEW, AFTER_VISIT, NOT_RENEW, RENEWED = (
    "raise",
    "call_first",
    "renew",
    "after_visit",
    "not_renew",
    "renewed",
)


@dataclass(frozen=True, slots=True)
class Policy:
    """How the company prices. Shares, not percent: 0.028 is 2.8 %.

    `margin`: on top of the cost. `cap`: the most a price rises in one step, None: no cap.
    `round_to_minor`: the price is a multiple of it.
    """

    index: Decimal
    margin: Decimal
    cap: Decimal | None
    round_to_minor: int

    def __post_init__(self) -> None:
        if self.round_to_minor < 1 or self.index <= -1 or self.margin < 0:
            raise ValueError("no policy to price with")
        if self.cap is not None and self.cap < 0:
            raise ValueError("a cap on a rise cannot be below zero")


def index_share(now: Decimal, before: Decimal) -> Decimal:
    """How much a price index rose, as a share, unrounded (check values: cpi-percent, cpi-fee).

    Raises ValueError for an index of zero or less.
    """
    if now <= 0 or before <= 0:
        raise ValueError("an index is above zero")
    return now / before - 1


@dataclass(frozen=True, slots=True)
class Price:
    """The price of the next year and how it came about, in minor units.

    `now_minor` and the steps add up to `next_minor`. `computed_minor` is what it would be without
    a price set by hand; `wanted_minor` covers cost and margin, None where the cost is not known.
    """

    now_minor: int
    index_minor: int
    cost_minor: int
    cap_minor: int
    rounding_minor: int
    hand_minor: int
    computed_minor: int
    next_minor: int
    wanted_minor: int | None

    @property
    def steps(self) -> tuple[Reason, ...]:
        """The steps from the price now, those that change something, in order."""
        named = (
            ("price_index", self.index_minor),
            ("price_cost", self.cost_minor),
            ("price_cap", self.cap_minor),
            ("price_rounding", self.rounding_minor),
            ("price_hand", self.hand_minor),
        )
        return tuple(Reason.of(code, minor=minor) for code, minor in named if minor)


def next_price(
    now_minor: int, cost_minor: int | None, policy: Policy, *, hand_minor: int | None = None
) -> Price:
    """The price of the next year from this year's, what the next year will cost, and the policy.

    Every step is rounded to whole minor units, half away from zero. Rounding to the multiple never
    lifts it over the cap. Raises ValueError for a price now that is not above zero.
    """
    if now_minor <= 0:
        raise ValueError("a price of zero has nothing to grow from")
    indexed = rounded_minor(now_minor * (1 + policy.index))
    wanted = None if cost_minor is None else rounded_minor(cost_minor * (1 + policy.margin))
    covering = indexed if wanted is None else max(indexed, wanted)
    limit = None if policy.cap is None else rounded_minor(now_minor * (1 + policy.cap))
    capped = covering if limit is None else min(covering, limit)
    rounded = _to_multiple(capped, policy.round_to_minor, limit)
    final = rounded if hand_minor is None else hand_minor
    return Price(
        now_minor=now_minor,
        index_minor=indexed - now_minor,
        cost_minor=covering - indexed,
        cap_minor=capped - covering,
        rounding_minor=rounded - capped,
        hand_minor=final - rounded,
        computed_minor=rounded,
        next_minor=final,
        wanted_minor=wanted,
    )


def _to_multiple(minor: int, step: int, limit: int | None) -> int:
    rounded = rounded_minor(Decimal(minor) / step) * step
    if limit is not None and rounded > limit:
        return int((Decimal(limit) / step).to_integral_value(ROUND_FLOOR)) * step
    return rounded


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What else is known of a contract that ends."""

    is_renewed: bool = False
    is_ending: bool = False
    on_hold: bool = False
    open_calls: int = 0
    visits_owed: int = 0  # of this contract, not done yet


def decision(price: Price, cost_minor: int | None, standing: Standing) -> tuple[str, Reason | None]:
    """What to do about the contract, and the reason to show first (None: nothing out of the way).

    In this order: what is settled; who must be spoken to; a price above the index; a visit that
    should be seen first; the rest is renewed as it is.
    """
    if standing.is_renewed:
        return RENEWED, Reason.of("renewal_renewed")
    if standing.is_ending:
        return NOT_RENEW, Reason.of("renewal_ending")
    if standing.on_hold:
        return CALL_FIRST, Reason.of("renewal_on_hold")
    if standing.open_calls:
        return CALL_FIRST, Reason.of("renewal_open_calls", n=standing.open_calls)
    if cost_minor is not None and price.next_minor < cost_minor:
        return CALL_FIRST, Reason.of("renewal_below_cost", minor=cost_minor - price.next_minor)
    if price.cost_minor + price.cap_minor > 0:
        code = "renewal_capped" if price.cap_minor else "renewal_cost_grew"
        return RAISE, Reason.of(code, minor=price.cost_minor + price.cap_minor)
    if standing.visits_owed:
        return AFTER_VISIT, Reason.of("renewal_visits_owed", n=standing.visits_owed)
    return RENEW, None
