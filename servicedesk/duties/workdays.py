"""Working days and working hours: the company's week, its holidays, its hours of the day."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

_DAY = timedelta(days=1)
# a calendar that finds no working day within this is written wrong
_LONGEST_REST_DAYS = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkCalendar:
    """When people work.

    `week`: weekdays on which they do (Monday 0 .. Sunday 6). `holidays`: days on which nobody
    works all the same. `from_min`/`until_min` (excluded): hours of a working day in minutes after
    local midnight.
    """

    week: frozenset[int] = frozenset({0, 1, 2, 3, 4})
    holidays: frozenset[date] = frozenset()
    from_min: int = 8 * 60
    until_min: int = 17 * 60

    def __post_init__(self) -> None:
        if not self.week or not all(0 <= day <= 6 for day in self.week):
            raise ValueError(f"{sorted(self.week)} is not a working week of weekdays 0..6")
        if not 0 <= self.from_min < self.until_min <= 1440:
            raise ValueError(f"{self.from_min}..{self.until_min} min is not within one day")

    @classmethod
    def of(
        cls,
        week: Iterable[int],
        holidays: Iterable[date] = (),
        *,
        from_min: int = 8 * 60,
        until_min: int = 17 * 60,
    ) -> "WorkCalendar":
        """From any iterables of weekdays and holidays."""
        return cls(
            week=frozenset(week),
            holidays=frozenset(holidays),
            from_min=from_min,
            until_min=until_min,
        )

    def is_working(self, day: date) -> bool:
        """Does anybody work that day?"""
        return day.weekday() in self.week and day not in self.holidays

    def working_day_from(self, day: date) -> date:
        """`day`, or the first working day after it."""
        return self._walk(day, _DAY)

    def working_day_until(self, day: date) -> date:
        """`day`, or the last working day before it."""
        return self._walk(day, -_DAY)

    def add_working_days(self, day: date, n: int) -> date:
        """The `n`th working day after `day` (before it where `n` is negative).

        The day of the event does not count, whether it is a working day or not; 0 gives `day`.
        """
        step = _DAY if n >= 0 else -_DAY
        for _ in range(abs(n)):
            day = self._walk(day + step, step)
        return day

    def working_days_between(self, start: date, end: date) -> int:
        """Working days after `start` up to and including `end`; negative if `end` is earlier."""
        if end < start:
            return -self.working_days_between(end, start)
        span = range(1, (end - start).days + 1)
        return sum(self.is_working(start + timedelta(days=n)) for n in span)

    def add_working_minutes(self, day: date, minute: int, minutes: int) -> tuple[date, int]:
        """Day and minute of the day when `minutes` of working time have run from a wall time.

        Time outside the hours of a working day does not run. A limit that falls on the very end
        of a working day stays there (5 pm, not 8 am of the next).
        """
        if minutes < 0:
            raise ValueError(f"{minutes} working minutes cannot be added")
        day, minute = self._into_hours(day, minute)
        while minutes > self.until_min - minute:
            minutes -= self.until_min - minute
            day, minute = self.working_day_from(day + _DAY), self.from_min
        return day, minute + minutes

    def _into_hours(self, day: date, minute: int) -> tuple[date, int]:
        if not self.is_working(day) or minute >= self.until_min:
            return self.working_day_from(day + _DAY), self.from_min
        return day, max(minute, self.from_min)

    def _walk(self, day: date, step: timedelta) -> date:
        for _ in range(_LONGEST_REST_DAYS):
            if self.is_working(day):
                return day
            day += step
        raise ValueError(f"no working day within {_LONGEST_REST_DAYS} days of {day}")
