"""Threads of calls in words: how many in how long, how long it is quiet, whether the fix holds."""

from datetime import date
from typing import Protocol

from servicedesk.words.formats import Formats
from servicedesk.words.languages import say, say_n

_DAYS_A_MONTH = 30.44


class QuietTold(Protocol):
    """The quiet after the last call of a thread, as `trouble.threads` tells it."""

    @property
    def days(self) -> int | None: ...
    @property
    def fix(self) -> str: ...
    @property
    def holds(self) -> float | None: ...
    @property
    def passes_90_on(self) -> date | None: ...
    @property
    def is_over(self) -> bool: ...


def length_text(days: int) -> str:
    """A span: "12 days", from two months on "23 months", from five years on "16 years"."""
    months = round(days / _DAYS_A_MONTH)
    if months < 2:
        return say_n("{n} day", "{n} days", days)
    if months >= 60:
        return say_n("{n} year", "{n} years", months // 12)
    return say_n("{n} month", "{n} months", months)


def span_text(n_calls: int, days: int) -> str:
    """As "5 calls in 23 months", "1 call"."""
    calls = say_n("{n} call", "{n} calls", n_calls)
    if n_calls == 1:
        return calls
    if days == 0:
        return say("{calls} on one day", calls=calls)
    return say("{calls} in {span}", calls=calls, span=length_text(days))


def quiet_text(quiet: QuietTold, formats: Formats) -> str:
    """As "quiet 59 days since it was reset"."""
    if quiet.days is None:
        return say("a call is waiting")
    days = formats.days(quiet.days)
    match quiet.fix:
        case "cause fixed":
            return say("quiet {days} since the cause was mended", days=days)
        case "fixed":
            return say("quiet {days} since it was fixed", days=days)
        case "workaround":
            return say("quiet {days} since it was patched", days=days)
        case "reset only":
            return say("quiet {days} since it was reset", days=days)
        case "no fault found":
            return say("quiet {days} since no fault was found", days=days)
        case "nobody":
            return say("quiet {days} since the last call", days=days)
    return say("quiet {days} since the last visit", days=days)


def chance_text(quiet: QuietTold, formats: Formats, today: date) -> str:
    """As "45% that it holds; 90% on Feb 3, 2028 if it stays quiet"; "" while a call waits."""
    if quiet.holds is None:
        return ""
    holds = say("{n}% that it holds", n=min(99, round(100 * quiet.holds)))
    if quiet.is_over:
        day = formats.day(quiet.passes_90_on, near=today)
        return say("{holds}; over 90% since {day}", holds=holds, day=day)
    if quiet.passes_90_on is None:
        return say("{holds}; no day in sight for 90%", holds=holds)
    day = formats.day(quiet.passes_90_on, near=today)
    return say("{holds}; 90% on {day} if it stays quiet", holds=holds, day=day)
