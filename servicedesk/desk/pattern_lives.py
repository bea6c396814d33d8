"""Curves of units still working, and the age at which replacing early pays."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from servicedesk.desk.pattern_factors import Compared
from servicedesk.desk.pattern_facts import FleetFacts
from servicedesk.desk.pattern_money import Costs
from servicedesk.trouble.exposure import UnitWatched
from servicedesk.trouble.replacement import BestAge, advise
from servicedesk.trouble.survival import Curve, Life, curve
from servicedesk.trouble.weibull import LifeFit, fit_life
from servicedesk.values.reason import Reason
from servicedesk.words.pattern_words import capital, component_text

FEWEST_FAILURES = 5  # a curve of fewer says nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeCurve:
    """Still working, by years since fitted, of one component and group (`group_id` "": all).

    `more_than`: years, where half never failed as far as one can see. `in_service`: ages in tenths
    of a year at which units still work. `fit` as far as it can be told; `best` with `why_not`.
    """

    component: str
    factor_id: str
    group_id: str
    title: str
    curve: Curve
    more_than: float | None
    in_service: tuple[float, ...]
    fit: LifeFit
    best: BestAge | None
    why_not: Reason | None


def life_curves(
    facts: FleetFacts, compared: Sequence[Compared], costs: Mapping[str, Costs]
) -> tuple[LifeCurve, ...]:
    """Curves of each component as a whole, and of its models and practices."""
    of_component: dict[str, list[UnitWatched]] = {}
    for unit in facts.units:
        of_component.setdefault(unit.component, []).append(unit)
    found = []
    for component, units in of_component.items():
        title = capital(component_text(component))
        found.append(_life_curve(component, units, costs, title=title))
    for one in compared:
        if one.kind in {"model", "practice"}:
            for group in one.groups:
                title = f"{capital(component_text(one.component))}: {group.label}"
                found.append(
                    _life_curve(
                        one.component, group.units, costs, title=title, ids=(one.id, group.id)
                    )
                )
    return tuple(one for one in found if one is not None)


def call_share(units: Sequence[UnitWatched]) -> float:
    """Share of these units' failures that somebody called about; 1 where none failed."""
    failures = [failure for unit in units for failure in unit.failures]
    return sum(f.by_call for f in failures) / len(failures) if failures else 1.0


def lives_of(units: Sequence[UnitWatched]) -> list[Life]:
    """Lives of the units whose day of installation is known and that were watched at all."""
    lives = (unit.life for unit in units)
    return [life for life in lives if life is not None and life.left > life.entered]


def _life_curve(
    component: str,
    units: Sequence[UnitWatched],
    costs: Mapping[str, Costs],
    *,
    title: str,
    ids: tuple[str, str] = ("", ""),
) -> LifeCurve | None:
    lives = lives_of(units)
    if sum(life.failed for life in lives) < FEWEST_FAILURES:
        return None
    seen = curve(lives)
    if seen is None:
        return None
    fit, cost = fit_life(lives), costs[component]
    best: BestAge | None = None
    why_not: Reason | None = Reason.of("no_cost_known")
    failure = cost.failure_minor(call_share(units))
    if cost.do_minor is not None and failure is not None:
        advice = advise(fit, planned=cost.do_minor, failure=failure)
        best, why_not = advice.best, advice.why_not
    working = {round(unit.age, 1) for unit in units if unit.is_there and unit.age is not None}
    return LifeCurve(
        component=component,
        factor_id=ids[0],
        group_id=ids[1],
        title=title,
        curve=seen,
        more_than=seen.until_age if seen.half_by is None else None,
        in_service=tuple(sorted(working)),
        fit=fit,
        best=best,
        why_not=why_not,
    )
