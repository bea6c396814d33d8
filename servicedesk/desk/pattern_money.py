"""What a call costs and what doing something early costs: from records, else stated assumptions.

The company's own figures stand in its price policy (`hour_cost_minor`, `callback_cost_minor`,
`pattern_years`) and go before everything counted or assumed here.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from servicedesk.desk.office import Desk
from servicedesk.desk.pattern_facts import FleetFacts
from servicedesk.records.company import Company
from servicedesk.records.pattern_rows import CauseSeen, RenewalSeen
from servicedesk.records.store import Changed
from servicedesk.values.money import Money
from servicedesk.values.reason import Reason
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

# assumptions, no source: shown wherever a sum rests on them
HOUR_MINOR = {"USD": 6500}
CALL_MIN, DRIVE_MIN = 50, 40  # on site, and there and back
WORK_MIN = 45
YEARS = 3
FEWEST_JOBS = 5  # fewer are no middle to count with


@dataclass(frozen=True, slots=True)
class Costs:
    """Costs about one component, in minor units of the company's currency; None: not known.

    `call_minor`: a callback without parts. `do_minor`: the work at a visit one makes anyway, part
    included.
    """

    call_minor: int | None
    do_minor: int | None
    part_minor: int
    minutes: int
    reasons: tuple[Reason, ...]

    def failure_minor(self, call_share: float) -> float | None:
        """A replacement after a failure, of which `call_share` are told by a call.

        The others are met at a visit one makes anyway.
        """
        if self.call_minor is None or self.do_minor is None:
            return None
        labor = self.do_minor - self.part_minor
        called = max(self.call_minor, labor)
        return self.part_minor + call_share * called + (1 - call_share) * labor


@dataclass(frozen=True, slots=True)
class Assumptions:
    """What all savings rest on: cost of an hour and a call, years counted, and where from."""

    currency: str
    hour_minor: int | None
    call_minor: int | None
    years: int
    reasons: tuple[Reason, ...]


def assumptions_of(desk: Desk, facts: FleetFacts) -> Assumptions:
    """The company's figures, else what its records say, else what is assumed and says so."""
    with desk.store.read() as session:
        company = session.query(Company).first()
        policy = dict(company.price_policy or {}) if company else {}
    currency = desk.company.currency
    hour = _whole(policy.get("hour_cost_minor"))
    reasons: list[Reason] = []
    if hour is not None:
        reasons.append(Reason.of("company_hour", minor=hour, currency=currency))
    elif currency in HOUR_MINOR:
        hour = HOUR_MINOR[currency]
        reasons.append(Reason.of("assumed_hour", minor=hour, currency=currency))
    call = _whole(policy.get("callback_cost_minor"))
    if call is not None:
        reasons.append(Reason.of("company_call", minor=call, currency=currency))
    elif hour is not None:
        minutes, how = _call_minutes(facts.causes)
        reasons.append(how)
        call = round(hour * minutes / 60)
    else:
        reasons.append(Reason.of("no_cost_known"))
    years = _whole(policy.get("pattern_years")) or YEARS
    reasons.append(Reason.of("counted_over_years", years=years))
    return Assumptions(currency, hour, call, years, tuple(reasons))


def _whole(value: object) -> int | None:
    return value if isinstance(value, int) and not isinstance(value, bool) and value > 0 else None


def _call_minutes(causes: Sequence[CauseSeen]) -> tuple[float, Reason]:
    """Minutes of a usual callback, on site and on the road there and back."""
    seen = [c for c in causes if c.minutes and c.travel_min is not None]
    if len(seen) < FEWEST_JOBS:
        how = Reason.of("assumed_call", minutes=CALL_MIN, drive_min=DRIVE_MIN)
        return CALL_MIN + DRIVE_MIN, how
    on_site = median(c.minutes or 0 for c in seen)
    # the way back or on to the next stop is about as long as the way there
    drive = 2 * median(c.travel_min or 0 for c in seen)
    how = Reason.of("counted_call", n=len(seen), minutes=round(on_site), drive_min=round(drive))
    return on_site + drive, how


def costs_of(facts: FleetFacts, assumed: Assumptions) -> Mapping[str, Costs]:
    """Costs by component: minutes and parts as units of it were renewed before."""
    renewals: dict[str, list[RenewalSeen]] = {unit.component: [] for unit in facts.units}
    for renewal in facts.renewals:
        renewals.setdefault(renewal.component, []).append(renewal)
    return {component: _costs(seen, assumed) for component, seen in renewals.items()}


def _costs(seen: Sequence[RenewalSeen], assumed: Assumptions) -> Costs:
    minutes = [r.minutes for r in seen if r.minutes]
    prices = [r.cost_minor for r in seen if r.cost_minor is not None]
    part = round(median(prices)) if prices else 0
    if len(minutes) >= FEWEST_JOBS:
        work = round(median(minutes))
        how = Reason.of("counted_work", n=len(minutes), minutes=work)
    else:
        work = WORK_MIN
        how = Reason.of("assumed_work", minutes=work)
    price = Reason.of("part_cost", minor=part, currency=assumed.currency)
    reasons = (how, price if prices else Reason.of("part_cost_not_known"))
    do = None if assumed.hour_minor is None else round(assumed.hour_minor * work / 60) + part
    return Costs(assumed.call_minor, do, part, work, reasons)


def write_pattern_costs(
    desk: Desk,
    *,
    hour: Money | None = None,
    call: Money | None = None,
    years: int | None = None,
) -> Changed:
    """Write the company's own figures; what is None stays. Raises Trouble for one below zero."""
    given = {
        "hour_cost_minor": hour.minor if hour else None,
        "callback_cost_minor": call.minor if call else None,
        "pattern_years": years,
    }
    wanted = {name: value for name, value in given.items() if value is not None}
    if any(value <= 0 for value in wanted.values()) or (years is not None and years > 30):
        raise Trouble(
            say("That is no cost or number of years to count with."),
            do=say("Write sums above zero, and 1 to 30 years."),
            exit_code=2,
        )
    if any(money and money.currency != desk.company.currency for money in (hour, call)):
        raise ValueError("the sum is not in the company's currency")
    with desk.store.change(desk.who, say("Wrote what an hour and a callback cost")) as work:
        company = work.session.query(Company).one()
        company.price_policy = {**(company.price_policy or {}), **wanted}
    return work.changed
