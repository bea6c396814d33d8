"""At which age does it pay to replace a unit that still works?"""

import math
from dataclasses import dataclass

from servicedesk.trouble.weibull import LifeFit, Weibull
from servicedesk.values.reason import Reason

LEAST_SAVING = 0.05  # below: the advice is not worth the trouble (common practice, no source)
FLAT = 1.02  # ages whose cost is within 2 % of the least are as good


@dataclass(frozen=True, slots=True)
class BestAge:
    """Replace at `age` (years): `from_age` to `until_age` cost nearly the same.

    `cost_rate`: per unit and year then; `run_to_failure`: per unit and year without it.
    """

    age: float
    from_age: float
    until_age: float
    cost_rate: float
    run_to_failure: float

    @property
    def saving(self) -> float:
        """Share of the cost that it saves, 0..1."""
        return 1 - self.cost_rate / self.run_to_failure


@dataclass(frozen=True, slots=True)
class Advice:
    """The best age, or why none is given."""

    best: BestAge | None
    why_not: Reason | None


def cost_rate(law: Weibull, age: float, *, planned: float, failure: float) -> float:
    """Long-run cost per year of a unit that is replaced at `age` or when it fails.

    (planned S(T) + failure (1 - S(T))) / integral of S from 0 to T. Source: Barlow and Proschan
    1965, from memory; check life-07.
    """
    working = law.survival(age)
    return (planned * working + failure * (1 - working)) / law.mean_until(age)


def best_age(law: Weibull, *, planned: float, failure: float) -> BestAge | None:
    """The age of least long-run cost; None where cost falls with every year one waits."""
    from scipy.optimize import brentq, minimize_scalar

    if law.shape <= 1 or failure <= planned:
        return None

    def cost(log_age: float) -> float:
        return cost_rate(law, math.exp(log_age), planned=planned, failure=failure)

    middle, reach = math.log(law.scale), 8 / law.shape
    bounds = (middle - reach, middle + math.log(3) / law.shape + 0.5)
    found = minimize_scalar(cost, bounds=bounds, method="bounded", options={"xatol": 1e-10})
    log_age, least = float(found.x), float(found.fun)
    run_to_failure = failure / law.mean
    if least >= run_to_failure:
        return None

    def over(log_age: float) -> float:
        return cost(log_age) - FLAT * least

    low = brentq(over, bounds[0], log_age) if over(bounds[0]) > 0 else bounds[0]
    high = brentq(over, log_age, bounds[1]) if over(bounds[1]) > 0 else bounds[1]
    return BestAge(math.exp(log_age), math.exp(low), math.exp(high), least, run_to_failure)


def advise(fit: LifeFit, *, planned: float, failure: float) -> Advice:
    """The best age, unless there is nothing to gain or wearing out is not shown.

    `planned`: what a replacement at a visit one makes anyway costs; `failure`: what one after a
    call costs, in the same unit of money. Raises ValueError unless both are above zero.
    """
    if planned <= 0 or failure <= 0:
        raise ValueError("both costs are above zero")
    if fit.law is None or fit.shape_is_assumed:
        return Advice(None, Reason.of("few_failures_for_life", n=fit.n_failed))
    if not fit.wears_out:
        low, high = fit.shape.low, fit.shape.high
        return Advice(None, Reason.of("wear_out_not_shown", low=low, high=high))
    if failure <= planned:
        return Advice(None, Reason.of("failure_costs_no_more"))
    best = best_age(fit.law, planned=planned, failure=failure)
    if best is None or best.saving < LEAST_SAVING:
        return Advice(None, Reason.of("saves_too_little", share=best.saving if best else 0.0))
    return Advice(best, None)


def saving_now(law: Weibull, age: float, *, planned: float, failure: float, after: float) -> float:
    """What replacing a unit of this age today saves against waiting until it fails.

    failure - planned - after * (mean years it would still have lasted); `after`: cost per year of
    the kind that takes its place, in the long run. Below zero where waiting is cheaper. Renewal
    argument worked out here; held by a simulation in the tests.
    """
    return failure - planned - after * law.mean_remaining(age)


def best_interval(law: Weibull, *, planned: float, repair: float) -> tuple[float, float] | None:
    """Years between planned renewals where a repair only restores working order, and cost per year.

    Closed form scale * (planned / (repair * (shape - 1)))^(1 / shape). Source: Barlow and Hunter
    1960, Operations Research 8, from memory; check life-09. None where the rate does not rise.
    """
    if law.shape <= 1:
        return None
    years = law.scale * (planned / (repair * (law.shape - 1))) ** (1 / law.shape)
    return years, (planned + repair * (years / law.scale) ** law.shape) / years
