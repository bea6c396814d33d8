"""What the fleet says about the models and practices at one system: patterns it is exposed to."""

from collections.abc import Mapping
from typing import Any

from servicedesk.desk.office import Desk
from servicedesk.words import say

CLEAR = "clearly above"


def fleet_evidence(desk: Desk, system_id: int) -> tuple[Mapping[str, Any], ...]:
    """The patterns that stand out and whose unit still hangs at this system, the clear ones first.

    Each with `title`, `component`, `times` (as often as all others) with its range `low`..`high`,
    and `flag`. An association, no proof of a cause. Slow the first time after a change (seconds).
    """
    # heavy: scipy; only who asks waits for it
    from servicedesk.desk.patterns import patterns

    found = [
        {
            "factor": pattern.factor_id,
            "group": pattern.group_id,
            "component": pattern.component,
            "title": pattern.title,
            "times": round(pattern.row.times.best, 2),
            "low": round(pattern.row.times.low, 2),
            "high": round(pattern.row.times.high, 2),
            "flag": pattern.row.flag,
        }
        for pattern in patterns(desk).patterns
        if pattern.row.times is not None
        and any(one.system_id == system_id for one in pattern.exposed)
    ]
    return tuple(sorted(found, key=lambda one: (one["flag"] != CLEAR, -float(str(one["low"])))))


def fleet_text(one: Mapping[str, Any]) -> str:
    """As "Air pump: M-40: 2.4 times as often as all others (1.7 to 3.4)"."""
    return say(
        "{title}: {times} times as often as all others ({low} to {high})",
        title=one["title"],
        times=f"{float(one['times']):.1f}",
        low=f"{float(one['low']):.1f}",
        high=f"{float(one['high']):.1f}",
    )
