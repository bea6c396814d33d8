"""The arithmetic of belief: chances of hypotheses that exclude one another, and what a look tells.

Hypotheses may be single causes (`trouble.causes`) or whole states of several causes at once
(`trouble.noisy_or`); findings are independent once the hypothesis is known.
"""

from collections.abc import Sequence
from math import exp, inf, log, log2


def share_out(log_weights: Sequence[float]) -> list[float]:
    """Chances that add to 1 from logarithms of weights (−inf: ruled out). [] for none.

    Raises ValueError where every hypothesis is ruled out: the findings exclude one another.
    """
    if not log_weights:
        return []
    top = max(log_weights)
    if top == -inf:
        raise ValueError("every hypothesis is ruled out")
    weights = [exp(one - top) for one in log_weights]
    total = sum(weights)
    return [one / total for one in weights]


def posterior(priors: Sequence[float], *likelihoods: Sequence[float]) -> list[float]:
    """Chances of the hypotheses after findings; `likelihoods`: per finding, one number for each.

    Bayes' rule with findings independent given the hypothesis (naive Bayes when a hypothesis is
    one cause). A likelihood of 0 rules a hypothesis out.
    """
    logs = [
        sum((log(factor) if factor > 0 else -inf) for factor in factors)
        for factors in zip(priors, *likelihoods, strict=True)
    ]
    return share_out(logs)


def entropy_bits(chances: Sequence[float]) -> float:
    """How open a question is, in bits: 0 when one answer is certain."""
    return -sum(p * log2(p) for p in chances if p > 0)


def expected_bits(chances: Sequence[float], rows: Sequence[Sequence[float]]) -> float:
    """How many bits a look is expected to tell about the hypotheses (their mutual information).

    `rows`: for each result of the look its chance under each hypothesis. Never below 0.
    """
    told = 0.0
    for row in rows:
        joint = [p * q for p, q in zip(chances, row, strict=True)]
        result = sum(joint)
        if result <= 0:
            continue
        told += sum(
            j * log2(q / result) for j, q in zip(joint, row, strict=True) if j > 0 and q > 0
        )
    return max(0.0, told)


def settling_order(chances: Sequence[float], minutes: Sequence[float]) -> list[int]:
    """Order in which checks find one fault with the least time, if each settles one cause.

    Smallest minutes per chance first (Kadane and Simon 1977); what settles nothing comes last.
    Equal ones keep their places.
    """
    cost = [m / p if p > 0 else inf for p, m in zip(chances, minutes, strict=True)]
    return sorted(range(len(cost)), key=lambda at: cost[at])
