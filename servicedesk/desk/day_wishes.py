"""What a customer asks of the day: not these days, not before or after an hour, who must be there.

Kept on the visit as ``not_days`` (Monday is 0), ``not_on`` (days as ISO text), ``from_min``,
``until_min`` and ``with_whom``. Beside them stand the wishes of `desk.skills`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from babel.dates import get_day_names

from servicedesk.routes.problem import Stop
from servicedesk.words import say
from servicedesk.words.formats import Formats

KEYS = ("not_days", "not_on", "from_min", "until_min", "with_whom")


@dataclass(frozen=True, slots=True, kw_only=True)
class DayWishes:
    """Weekdays and days that do not suit, the minutes between which to come, who must be there."""

    not_days: frozenset[int] = frozenset()
    not_on: frozenset[date] = frozenset()
    from_min: int | None = None
    until_min: int | None = None
    with_whom: str = ""

    @property
    def is_empty(self) -> bool:
        """Is nothing asked?"""
        return self == DayWishes()

    def kept(self) -> dict[str, Any]:
        """As a visit keeps them; what is not asked for is not there."""
        found: dict[str, Any] = {}
        if self.not_days:
            found["not_days"] = sorted(self.not_days)
        if self.not_on:
            found["not_on"] = sorted(day.isoformat() for day in self.not_on)
        if self.from_min is not None:
            found["from_min"] = self.from_min
        if self.until_min is not None:
            found["until_min"] = self.until_min
        if self.with_whom:
            found["with_whom"] = self.with_whom
        return found


def day_wishes(kept: Mapping[str, Any]) -> DayWishes:
    """What a visit keeps, read; what is not of these wishes is left to others."""
    return DayWishes(
        not_days=frozenset(int(n) for n in kept.get("not_days") or ()),
        not_on=frozenset(date.fromisoformat(str(d)) for d in kept.get("not_on") or ()),
        from_min=kept.get("from_min"),
        until_min=kept.get("until_min"),
        with_whom=str(kept.get("with_whom") or ""),
    )


def joined_wishes(one: DayWishes, more: DayWishes) -> DayWishes:
    """Both: days add up, of hours and company the later wish holds."""
    return DayWishes(
        not_days=one.not_days | more.not_days,
        not_on=one.not_on | more.not_on,
        from_min=one.from_min if more.from_min is None else more.from_min,
        until_min=one.until_min if more.until_min is None else more.until_min,
        with_whom=more.with_whom or one.with_whom,
    )


def allows(kept: Mapping[str, Any], day: date) -> bool:
    """Does the day suit?"""
    wishes = day_wishes(kept)
    return day.weekday() not in wishes.not_days and day not in wishes.not_on


def within_wishes(stop: Stop, kept: Mapping[str, Any]) -> Stop:
    """The stop begun no earlier than wished and done by the end that is wished.

    Hours that the site and the wish do not share leave the site's own: nothing can be begun in no
    time at all, and the office sees both.
    """
    wishes = day_wishes(kept)
    first = max(stop.open_from_min, wishes.from_min or 0)
    last = stop.open_until_min
    if wishes.until_min is not None:
        last = min(last, max(wishes.until_min - stop.service_min, wishes.from_min or 0))
    if first > last:
        return stop
    return replace(stop, open_from_min=first, open_until_min=last)


def wish_words(wishes: DayWishes, formats: Formats) -> str:
    """In words, "" for none: "not Tue, after 3:00 pm, only with my son"."""
    names = get_day_names("abbreviated", locale=formats.locale_name)  # 0 is Monday
    parts = [say("not {day}", day=names[n]) for n in sorted(wishes.not_days)]
    parts += [say("not {day}", day=formats.weekday(day)) for day in sorted(wishes.not_on)]
    if wishes.from_min is not None:
        parts.append(say("after {time}", time=formats.time(wishes.from_min)))
    if wishes.until_min is not None:
        parts.append(say("done by {time}", time=formats.time(wishes.until_min)))
    if wishes.with_whom:
        parts.append(say("only with {whom} there", whom=wishes.with_whom))
    return ", ".join(parts)
