"""Days on which a system had no contract."""

from collections.abc import Iterable
from datetime import date

from servicedesk.values.span import Span


def contract_gaps(spans: Iterable[Span], *, until_on: date) -> tuple[Span, ...]:
    """The days between the first contract and `until_on` (excluded) that none covers.

    In date order; overlapping contracts leave no gap. Without any contract there is no gap.
    """
    gaps: list[Span] = []
    covered: date | None = None
    for span in sorted(spans, key=lambda s: s.from_on):
        if covered is not None and covered < min(span.from_on, until_on):
            gaps.append(Span(covered, min(span.from_on, until_on)))
        if span.until_on is None:
            return tuple(gaps)
        covered = span.until_on if covered is None else max(covered, span.until_on)
    if covered is not None and covered < until_on:
        gaps.append(Span(covered, until_on))
    return tuple(gaps)


def overlaps(spans: Iterable[Span]) -> tuple[tuple[Span, Span], ...]:
    """Pairs of contracts that share days, in date order; a system has one at a time."""
    order = sorted(spans, key=lambda s: (s.from_on, s.until_on or date.max))
    return tuple(
        (first, second)
        for n, first in enumerate(order)
        for second in order[n + 1 :]
        if first.meets(second)
    )
