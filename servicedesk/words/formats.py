"""Dates, times, numbers and money as the company writes them (CLDR data through Babel)."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from babel import Locale
from babel.dates import format_date
from babel.numbers import format_currency, format_decimal

from servicedesk.values.money import Money
from servicedesk.words.languages import say, say_n

MINUS = "\u2212"
UNKNOWN = "\u2014"


@dataclass(frozen=True, slots=True)
class Formats:
    """One company's way of writing. `locale_name` is a CLDR name such as "en_US"."""

    locale_name: str = "en_US"

    @property
    def locale(self) -> Locale:
        """The Babel locale."""
        return Locale.parse(self.locale_name)

    def day(self, day: date | None, *, near: date | None = None) -> str:
        """As "Oct 15" in the year of `near`, otherwise "Oct 15, 2027". Unknown is a dash."""
        if day is None:
            return UNKNOWN
        same_year = near is not None and day.year == near.year
        return _dated(day, "MMM d" if same_year else "MMM d, y", self.locale_name)

    def weekday(self, day: date) -> str:
        """As "Thu, Oct 15"."""
        return _dated(day, "EEE, MMM d", self.locale_name)

    def long_day(self, day: date) -> str:
        """As "Thursday, October 15, 2026"."""
        return _dated(day, "EEEE, MMMM d, y", self.locale_name)

    def month(self, day: date | None) -> str:
        """As "Aug 2025"."""
        return UNKNOWN if day is None else _dated(day, "MMM y", self.locale_name)

    def time(self, minute: int) -> str:
        """Wall time of `minute` after midnight: "7:43 am", "noon", "1:30 pm"."""
        minute %= 1440
        if minute == 720:
            return say("noon")
        hour, rest = divmod(minute, 60)
        half = say("am") if hour < 12 else say("pm")
        return f"{(hour - 1) % 12 + 1}:{rest:02d} {half}"

    def short_time(self, minute: int) -> str:
        """As "7:43", without the half of the day, for columns under an axis."""
        hour, rest = divmod(minute % 1440, 60)
        return f"{(hour - 1) % 12 + 1}:{rest:02d}"

    def minutes(self, minutes: int) -> str:
        """A length of time: "8 min", "2 h 41"."""
        if minutes < 0:
            return MINUS + self.minutes(-minutes)
        if minutes < 120:
            return say("{n} min", n=minutes)
        return say("{h} h {m:02d}", h=minutes // 60, m=minutes % 60)

    def signed_minutes(self, minutes: int) -> str:
        """As "+5 min", "−55 min"."""
        return ("+" if minutes >= 0 else "") + self.minutes(minutes)

    def days(self, days: int) -> str:
        """As "42 days", "1 day"."""
        return say_n("{n} day", "{n} days", days)

    def number(self, value: Decimal | float) -> str:
        """A number with the separators of the locale."""
        text: str = format_decimal(value, locale=self.locale_name)
        return text.replace("-", MINUS)

    def money(self, sum_: Money) -> str:
        """A sum; whole units where there are no cents."""
        value = Decimal(sum_.minor).scaleb(-minor_digits(sum_.currency))
        text: str = format_currency(
            value, sum_.currency, locale=self.locale_name, decimal_quantization=True
        )
        return text.replace("-", MINUS)


def minor_digits(currency: str) -> int:
    """Digits after the point of a currency by CLDR: 2 for USD, 0 for JPY."""
    from babel.numbers import get_currency_precision

    return int(get_currency_precision(currency))


def _dated(day: date, pattern: str, locale_name: str) -> str:
    text: str = format_date(day, pattern, locale=locale_name)
    return text
