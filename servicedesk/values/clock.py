"""What time it is. One clock is handed to `desk`; nothing else asks."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo


def _utc_now() -> datetime:
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Clock:
    """Now, and which day that is at the company.

    `today` may be set by hand (``--today``): the day is then fixed, instants keep the real time
    of day on that day, so that two runs differ in nothing but the time printed.
    """

    zone: ZoneInfo
    fixed_day: date | None = None
    now_utc: Callable[[], datetime] = _utc_now

    def now(self) -> datetime:
        """This instant, aware, in UTC."""
        instant = self.now_utc()
        if self.fixed_day is None:
            return instant
        local = instant.astimezone(self.zone)
        return datetime.combine(self.fixed_day, local.time(), self.zone).astimezone(UTC)

    def today(self) -> date:
        """The company's calendar day."""
        return self.fixed_day or self.now_utc().astimezone(self.zone).date()

    def minute_of_day(self) -> int:
        """Minutes since the company's midnight by the wall clock."""
        local = self.now().astimezone(self.zone)
        return local.hour * 60 + local.minute

    def instant(self, day: date, minute: int) -> datetime:
        """The UTC instant of a wall time: `minute` minutes after midnight of `day`."""
        wall = datetime.combine(day, time(minute // 60 % 24, minute % 60), self.zone)
        return wall.astimezone(UTC)

    def day_of(self, instant: datetime) -> date:
        """The company's calendar day of an aware instant."""
        return instant.astimezone(self.zone).date()

    def minute_of(self, instant: datetime) -> int:
        """The wall-clock minute of the day of an aware instant."""
        local = instant.astimezone(self.zone)
        return local.hour * 60 + local.minute
