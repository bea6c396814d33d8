"""A run of days."""

from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """Days from `from_on` up to, not including, `until_on` (None: no end)."""

    from_on: date
    until_on: date | None = None

    def __post_init__(self) -> None:
        if self.until_on is not None and self.until_on <= self.from_on:
            raise ValueError(f"{self.from_on} to {self.until_on} holds no day")

    @property
    def last_on(self) -> date | None:
        """The last day inside, as shown to people."""
        return None if self.until_on is None else self.until_on - timedelta(days=1)

    def holds(self, day: date) -> bool:
        """Is `day` one of the days?"""
        return self.from_on <= day and (self.until_on is None or day < self.until_on)

    def meets(self, other: "Span") -> bool:
        """Do both share at least one day?"""
        starts_before_end = other.until_on is None or self.from_on < other.until_on
        return starts_before_end and (self.until_on is None or other.from_on < self.until_on)

    def within(self, other: "Span") -> bool:
        """Does every day of this span lie in `other`?"""
        if self.from_on < other.from_on:
            return False
        return other.until_on is None or (
            self.until_on is not None and self.until_on <= other.until_on
        )
