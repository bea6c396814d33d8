"""The systems still exposed to a pattern, ordered by what doing something there would save."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from servicedesk.desk.pattern_factors import Compared, Members
from servicedesk.desk.pattern_facts import FleetFacts, SystemWatched
from servicedesk.desk.pattern_lives import call_share, lives_of
from servicedesk.desk.pattern_money import Assumptions, Costs
from servicedesk.trouble.exposure import AGAIN_DAYS, DAYS_PER_YEAR, UnitWatched
from servicedesk.trouble.patterns import Judged
from servicedesk.trouble.replacement import saving_now
from servicedesk.trouble.survival import Life
from servicedesk.trouble.weibull import Weibull, fit_life

# how much a system's own calls count against its group: as the alerts do
OWN_WEIGHT = 2.0
RECENT_YEARS = AGAIN_DAYS / DAYS_PER_YEAR  # own calls of so long speak for the next years


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposed:
    """A system where the pattern still stands.

    `n_calls`: its own calls of the last two years that this component or nobody knows what caused.
    `never_looked`: no check of the unit is written. `calls_avoided`: expected over the years
    counted, None where nothing is to be done but look. `saving_minor`: for joints that times the
    cost of a call less the cost of doing, for a model what replacing today saves against waiting;
    below zero where it does not pay, None where costs are not known.
    """

    system_id: int
    site_id: int
    address: str
    locality: str
    unit_id: int | None
    age_years: float | None
    n_calls: int
    never_looked: bool
    calls_avoided: float | None
    saving_minor: int | None


def exposed_of(
    facts: FleetFacts,
    compared: Compared,
    group: Members,
    judged: Judged,
    *,
    cost: Costs | None,
    assumed: Assumptions,
) -> tuple[Exposed, ...]:
    """Systems with a unit of the group in service (or in the group), best saving first."""
    if not compared.component and not group.units:
        found = [_system_only(system) for system in group.systems if system.is_there]
        return tuple(sorted(found, key=lambda one: (-one.n_calls, one.address, one.system_id)))
    there = [unit for unit in group.units if unit.is_there]
    avoided = _avoided(facts, compared, group, judged, years=assumed.years)
    savings = _savings(compared, group, avoided, cost)
    found = []
    for unit in there:
        system = facts.systems[unit.system_id]
        calls = avoided.get(unit.id)
        found.append(
            Exposed(
                system_id=system.id,
                site_id=system.site_id,
                address=system.address,
                locality=system.locality,
                unit_id=unit.id,
                age_years=unit.age,
                n_calls=own_calls(facts, unit),
                never_looked=unit.id not in facts.looked_at,
                calls_avoided=calls,
                saving_minor=savings.get(unit.id),
            )
        )
    return tuple(sorted(found, key=_order))


def _order(one: Exposed) -> tuple[float, float, int, str, int]:
    saving = one.saving_minor if one.saving_minor is not None else 0
    avoided = one.calls_avoided if one.calls_avoided is not None else 0.0
    return -saving, -avoided, -one.n_calls, one.address, one.system_id


def _savings(
    compared: Compared, group: Members, avoided: dict[int, float], cost: Costs | None
) -> dict[int, int]:
    if cost is None or cost.call_minor is None or cost.do_minor is None:
        return {}
    if compared.kind == "model":
        return _by_replacing(compared, group, cost)
    return {key: round(n * cost.call_minor - cost.do_minor) for key, n in avoided.items()}


def _system_only(system: SystemWatched) -> Exposed:
    return Exposed(
        system_id=system.id,
        site_id=system.site_id,
        address=system.address,
        locality=system.locality,
        unit_id=None,
        age_years=None,
        n_calls=len(system.calls.counted),
        never_looked=False,
        calls_avoided=None,
        saving_minor=None,
    )


def own_calls(facts: FleetFacts, unit: UnitWatched) -> int:
    """Counted calls of the last two years at the unit that it, or nobody knows what, caused."""
    since = unit.until_on - timedelta(days=AGAIN_DAYS)
    return sum(
        max(unit.from_on, since) <= call.on <= unit.until_on
        and facts.component_of_call.get(call.id, unit.component) == unit.component
        for call in facts.systems[unit.system_id].calls.counted
    )


def _avoided(
    facts: FleetFacts, compared: Compared, group: Members, judged: Judged, *, years: float
) -> dict[int, float]:
    """Calls avoided by unit, over `years`, if each were made as the others are."""
    others = [unit for g in compared.groups if g.id != group.id for unit in g.units]
    match compared.kind:
        case "model":
            return _by_lives(group, others, judged, years=years)
        case "practice" | "place":
            return _by_own_calls(facts, group, others, years=years)
    return {}


def _by_own_calls(
    facts: FleetFacts, group: Members, others: Sequence[UnitWatched], *, years: float
) -> dict[int, float]:
    """Expected calls of each unit less those of the others.

    Calls whose cause nobody found count as its own. A unit's rate is the group's times
    (2 + seen) / (2 + usual) over the last two years.
    """
    usual, elsewhere = _rate(facts, group.units), _rate(facts, others)
    found = {}
    for unit in group.units:
        watched = min(unit.years, RECENT_YEARS)
        own = (OWN_WEIGHT + own_calls(facts, unit)) / (OWN_WEIGHT + usual * watched)
        found[unit.id] = max(0.0, usual * own - elsewhere) * years
    return found


def _rate(facts: FleetFacts, units: Sequence[UnitWatched]) -> float:
    """Own calls per year over the last two years of each unit."""
    years = sum(min(unit.years, RECENT_YEARS) for unit in units)
    return sum(own_calls(facts, unit) for unit in units) / years if years > 0 else 0.0


def _by_lives(
    group: Members, others: Sequence[UnitWatched], judged: Judged, *, years: float
) -> dict[int, float]:
    """By age from the lives of this model and of the others, else from their rates."""
    share = call_share(group.units)
    mine, new = _law(lives_of(group.units)), _law(lives_of(others))
    if mine is not None and new is not None:
        fresh = new.fails_within(0.0, years)
        return {
            unit.id: max(0.0, mine.fails_within(unit.age or 0.0, years) - fresh) * share
            for unit in group.units
        }
    exposure = sum(unit.years for unit in others)
    other_rate = sum(len(unit.failures) for unit in others) / exposure if exposure > 0 else 0.0
    less = max(0.0, judged.rate.best - other_rate) * share * years
    return {unit.id: less for unit in group.units}


def _by_replacing(compared: Compared, group: Members, cost: Costs) -> dict[int, int]:
    """What replacing each unit today by one of the others saves against waiting."""
    others = [unit for g in compared.groups if g.id != group.id for unit in g.units]
    mine, new = _law(lives_of(group.units)), _law(lives_of(others))
    failure = cost.failure_minor(call_share(group.units))
    then = cost.failure_minor(call_share(others))
    if mine is None or new is None or failure is None or then is None or cost.do_minor is None:
        return {}
    after = then / new.mean
    return {
        unit.id: round(
            saving_now(mine, unit.age, planned=cost.do_minor, failure=failure, after=after)
        )
        for unit in group.units
        if unit.age is not None
    }


def _law(lives: Sequence[Life]) -> Weibull | None:
    if not lives:
        return None
    fit = fit_life(lives)
    return fit.law if not fit.shape_is_assumed else None
