"""Days on which a site cannot be visited, and what they leave of a window."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.duties.months import add_years
from servicedesk.values.span import Span

_DAY = timedelta(days=1)
# no site in use is closed for longer; a search for an open day ends here
_FARTHEST_DAYS = 800


@dataclass(frozen=True, slots=True)
class ClosedDays:
    """A span on which nobody can get in: once, or the same days of every year (a winter)."""

    span: Span
    every_year: bool = False

    def __post_init__(self) -> None:
        if self.every_year:
            until = self.span.until_on
            if until is None or until >= add_years(self.span.from_on, 1):
                raise ValueError(f"{self.span} cannot come round every year")

    def spans_from(self, first: date, last: date) -> Iterator[Span]:
        """Its spans that meet the days `first` to `last` (included)."""
        asked = Span(first, last + _DAY)
        if not self.every_year:
            if self.span.meets(asked):
                yield self.span
            return
        for year in range(first.year - 1, last.year + 1):
            shift = year - self.span.from_on.year
            until = self.span.until_on
            # __post_init__ saw to an end
            end = None if until is None else add_years(until, shift)
            turn = Span(add_years(self.span.from_on, shift), end)
            if turn.meets(asked):
                yield turn


def usable_spans(first: date, last: date, closed: Iterable[ClosedDays]) -> tuple[Span, ...]:
    """What the closed days leave of the days `first` to `last` (included), in date order."""
    shut = sorted(
        (span for one in closed for span in one.spans_from(first, last)), key=lambda s: s.from_on
    )
    left: list[Span] = []
    free_from = first
    for span in shut:
        if span.from_on > free_from:
            left.append(Span(free_from, span.from_on))
        if span.until_on is None:
            return tuple(left)
        free_from = max(free_from, span.until_on)
    if free_from <= last:
        left.append(Span(free_from, last + _DAY))
    return tuple(left)


def open_day_before(day: date, closed: tuple[ClosedDays, ...]) -> date | None:
    """The last day before `day` on which the site is open."""
    left = usable_spans(day - timedelta(days=_FARTHEST_DAYS), day - _DAY, closed)
    return left[-1].last_on if left else None


def open_day_after(day: date, closed: tuple[ClosedDays, ...]) -> date | None:
    """The first day after `day` on which the site is open."""
    left = usable_spans(day + _DAY, day + timedelta(days=_FARTHEST_DAYS), closed)
    return left[0].from_on if left else None
