"""What the company's own history says about its fixes: how often each kind was real.

Whether a fix was real is never seen: a quiet one may be lucky, and an ordinary call may come after
a good one. So every fix counts for both, by the chance w that it was real given what followed (the
same model as in `quiet`, with ordinary calls of rate c): quiet for t days, w = p / (p + (1 - p)
s(t)); called after t days, w = p c / (p c + (1 - p) (f(t) + c s(t))), f being the density of the
trouble's next call. Then p = (a + sum of w) / (a + b + n), a and b being the assumed chance worth
ten cases, and so on until p stands still (expectation and maximization, Dempster, Laird and Rubin
1977, with the mean of the beta in place of its mode).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from servicedesk.trouble.quiet import ASSUMED, DAYS_A_YEAR, Kind, QuietModel, Rate

WORTH = 10.0
# calls that share causes, at a site where nothing is wrong: a fifth of 0.25 calls a year
ORDINARY_A_DAY = 0.05 / DAYS_A_YEAR
_STEPS = 200
_STILL = 1e-6


@dataclass(frozen=True, slots=True)
class FixSeen:
    """A fix and what followed: a call of shared causes after `days`, or none for `days`.

    `n_returns` calls in `bad_days` since the first tell of the rate, as in `QuietModel.rate_after`.
    """

    kind: Kind
    again: bool
    n_returns: int
    bad_days: float
    days: float
    called: bool


def learned(fixes: Iterable[FixSeen], ordinary_a_day: float = ORDINARY_A_DAY) -> QuietModel:
    """The quiet model of a company: assumed chances, moved by what its fixes came to."""
    base = QuietModel()
    by_kind: dict[tuple[Kind, bool], list[tuple[float, float]]] = {}
    for fix in fixes:
        rate = base.rate_after(fix.n_returns, fix.bad_days)
        pair = _likelihoods(fix, rate, ordinary_a_day)
        by_kind.setdefault((fix.kind, fix.again), []).append(pair)
    real = {
        key: _chance(assumed, by_kind.get(key, [])) if key in by_kind else assumed
        for key, assumed in ASSUMED.items()
    }
    n_seen: Mapping[tuple[Kind, bool], int] = {key: len(seen) for key, seen in by_kind.items()}
    return QuietModel(real=real, n_seen=n_seen)


def _likelihoods(fix: FixSeen, rate: Rate, ordinary: float) -> tuple[float, float]:
    """How likely what followed is if the fix was real, and if it was not (up to one factor)."""
    silence = rate.silence(fix.days)
    if not fix.called:
        return 1.0, silence
    return ordinary, rate.density(fix.days) + ordinary * silence


def _chance(assumed: float, seen: list[tuple[float, float]]) -> float:
    chance = assumed
    for _ in range(_STEPS):
        weights = sum(chance * r / (chance * r + (1 - chance) * b) for r, b in seen)
        better = (WORTH * assumed + weights) / (WORTH + len(seen))
        if abs(better - chance) < _STILL:
            break
        chance = better
    return chance
