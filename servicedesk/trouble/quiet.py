"""Quiet time: the chance that the last fix is real, given how long it has been quiet since.

Either the fix is real, and only ordinary calls come, or it is not, and calls of this trouble come
on top as a Poisson process of unknown rate. Before any quiet the fix is real with chance p. The
rate has a gamma prior, shape A and time B; while the trouble was certainly there, k calls followed
the first one in T days, so that its shape is a = A + k and its time b = B + T. A trouble still
there is then silent for t days with the chance of the gamma-Poisson mixture (Lomax survival)

    s(t) = (b / (b + t)) ** a

and by Bayes, ordinary calls being as likely either way and therefore canceling,

    holds(t) = p / (p + (1 - p) s(t)).

It reaches q once s(t) = p (1 - q) / (q (1 - p)), that is after

    t = b ((q (1 - p) / (p (1 - q))) ** (1 / a) - 1) days, none if p >= q.

Calls within `RETURN_DAYS` of one another count as one in k: a quick return tells of the visit, not
of the rate (checks/statistics.md, section 1). The few ordinary calls among the k are not taken out:
they come at about a fortieth of the rate of a trouble.

The numbers below are our judgment, no source, and come to this. A trouble calls 2 times a year,
give or take much (gamma with shape 2: 0.24 to 5.6 in 95 of 100; the simulated troubles of
checks/statistics.md call 1.5 and 3 times). No fix is believed more than 4 times in 5 before it was
quiet at all; with that, one call well mended is over after half a year, and a trouble that was
reset a second time needs two quiet years: in the order of the rule people read, "two within 6
months, three within 24 months". The chances by kind of fix are worth ten cases each and give way to
the company's own history (`quiet_learned`).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import pairwise
from math import ceil, inf
from types import MappingProxyType
from typing import Literal

from servicedesk.trouble.case import Outcome
from servicedesk.trouble.returns import RETURN_DAYS

DAYS_A_YEAR = 365.25
HOLDS = 0.9
MOST_BEFORE_QUIET = 0.8
_FAR_DAYS = 50 * 366  # beyond it no date is named

Kind = Literal[
    "cause fixed", "fixed", "workaround", "reset only", "no fault found", "nothing said", "nobody"
]
"""What the last visit came to; "nobody": none was there, or none could do anything."""

ASSUMED: Mapping[tuple[Kind, bool], float] = MappingProxyType(
    {
        ("cause fixed", False): 0.80,
        ("cause fixed", True): 0.75,
        ("fixed", False): 0.75,
        ("fixed", True): 0.60,
        ("workaround", False): 0.65,
        ("workaround", True): 0.45,
        ("reset only", False): 0.60,
        ("reset only", True): 0.40,
        ("no fault found", False): 0.60,
        ("no fault found", True): 0.40,
        ("nothing said", False): 0.60,
        ("nothing said", True): 0.40,
        ("nobody", False): 0.50,
        ("nobody", True): 0.25,
    }
)
"""Chance that a fix of this kind is real; True: the trouble had come back before."""


@dataclass(frozen=True, slots=True)
class Rate:
    """What is known of the rate of a trouble: a gamma with this shape over this many days."""

    shape: float
    days: float

    def silence(self, quiet_days: float) -> float:
        """Chance that a trouble still there makes no call for so long."""
        return float((self.days / (self.days + quiet_days)) ** self.shape)

    def density(self, quiet_days: float) -> float:
        """Density of its next call after so long, per day."""
        return self.shape / (self.days + quiet_days) * self.silence(quiet_days)


@dataclass(frozen=True, slots=True)
class QuietModel:
    """Chances before any quiet, by kind of fix and whether the trouble had come back; rate prior.

    `n_seen`: fixes of the company that speak in `real`; 0 where all is assumed.
    """

    real: Mapping[tuple[Kind, bool], float] = field(default_factory=lambda: ASSUMED)
    rate: Rate = Rate(2.0, DAYS_A_YEAR)
    n_seen: Mapping[tuple[Kind, bool], int] = field(default_factory=dict)

    def before_quiet(self, kind: Kind, *, again: bool) -> float:
        """Chance that a fix of a kind is real before any quiet, never above the most believed."""
        return min(self.real[kind, again], MOST_BEFORE_QUIET)

    def rate_after(self, n_returns: int, days: float) -> Rate:
        """The rate of a trouble that called `n_returns` times more within `days` of its first."""
        return Rate(self.rate.shape + n_returns, self.rate.days + days)


def chance_holds(before: float, rate: Rate, quiet_days: float) -> float:
    """Chance that a fix is real after so many quiet days; `before`: before any, 0 to 1."""
    if before <= 0:
        return 0.0
    return before / (before + (1 - before) * rate.silence(quiet_days))


def days_until(before: float, rate: Rate, chance: float = HOLDS) -> float:
    """Quiet days after which `chance` is reached: exact, 0 if at once, inf if never."""
    if before >= chance:
        return 0.0
    if before <= 0:
        return inf
    odds = chance * (1 - before) / (before * (1 - chance))
    power = 1 / rate.shape
    return float(rate.days * (odds**power - 1))


def passes_on(since_on: date, before: float, rate: Rate, chance: float = HOLDS) -> date | None:
    """The first day on which `chance` is reached, None if no day within fifty years."""
    days = days_until(before, rate, chance)
    if days > _FAR_DAYS:
        return None
    return since_on + timedelta(days=ceil(days - 1e-9))


def n_returns(called_on: Iterable[date]) -> int:
    """Calls after the first one, those within two weeks of the one before left out."""
    days = sorted(called_on)
    return sum(1 for one, later in pairwise(days) if (later - one).days > RETURN_DAYS)


def kind_of(outcome: Outcome, cause: str, *, lasting: bool) -> Kind:
    """The kind of fix a visit made: "cause fixed" only if a cause is named and the fix lasts."""
    match outcome:
        case "fixed" if cause and lasting:
            return "cause fixed"
        case "could not":
            return "nobody"
        case "":
            return "nothing said"
        case _:
            return outcome
