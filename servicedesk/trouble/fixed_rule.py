"""The rule in a sentence: two of a symptom within 6 months: watch; three within 24 months: act.

Common practice, no source for the two numbers. It is the form in which every alert is explained,
and decides where odds cannot be computed.
"""

from collections.abc import Sequence
from datetime import date
from typing import Literal

from dateutil.relativedelta import relativedelta

Level = Literal["watch", "act"]
WATCH_CALLS, WATCH_MONTHS = 2, 6
ACT_CALLS, ACT_MONTHS = 3, 24


def level_by_rule(days: Sequence[date]) -> Level | None:
    """What the rule says on the last of `days`: callbacks of one place and symptom, in order."""
    if _within(days, ACT_CALLS, ACT_MONTHS):
        return "act"
    return "watch" if _within(days, WATCH_CALLS, WATCH_MONTHS) else None


def told_days(days: Sequence[date]) -> tuple[date, ...]:
    """The callbacks that an explanation counts: those of the last 24 months before the last."""
    if not days:
        return ()
    since = days[-1] - relativedelta(months=ACT_MONTHS)
    return tuple(day for day in days if day >= since)


def _within(days: Sequence[date], calls: int, months: int) -> bool:
    if len(days) < calls:
        return False
    return days[-calls] >= days[-1] - relativedelta(months=months)
