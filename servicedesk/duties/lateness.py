"""How late something is, and whose lateness it is: ours, or want of access."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Lateness:
    """Whole days after the last day: `ours`, and those in which we had tried and got no access."""

    ours: int = 0
    no_access: int = 0

    @property
    def days(self) -> int:
        """All of it."""
        return self.ours + self.no_access


def lateness(last_on: date, *, until: date, refused_on: Iterable[date] = ()) -> Lateness:
    """Lateness of something due by the end of `last_on` that stands (or was done) on `until`.

    `refused_on`: days on which somebody was there in vain for a reason that is not ours. From
    the first of them on, days count as want of access; those before it are ours.
    Common practice, no source.
    """
    days = max(0, (until - last_on).days)
    first = min((day for day in refused_on if day <= until), default=None)
    if first is None:
        return Lateness(days, 0)
    ours = min(days, max(0, (first - last_on).days))
    return Lateness(ours, days - ours)
