"""`servicedesk deadlines`: what is due to whom by when, from the shell."""

import argparse
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from servicedesk.desk.deadlines import KINDS, DeadlineLine, deadlines, kind_name, n_of_kind
from servicedesk.desk.office import Desk
from servicedesk.desk.verb_options import Tell, desk_of
from servicedesk.words import say, say_n

DONE, LOOK = 0, 1


@dataclass(frozen=True, slots=True)
class DeadlineReport:
    """The whole answer, as `--json` prints it. Late is counted apart by whose fault it is."""

    format: int
    today: date
    n: int
    n_late: int
    n_late_not_confirmed: int
    n_by_kind: dict[str, int]
    deadlines: tuple[DeadlineLine, ...]


def deadlines_from_shell(
    chosen: argparse.Namespace,
    *,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> int:
    """The list in lines or as JSON; exit code 1 where a confirmed day is over. Raises Trouble."""
    desk = desk_of(chosen)
    found = deadlines(desk, kind=chosen.kind)
    late = [one for one in found if one.is_late]
    if chosen.json:
        print_json(
            DeadlineReport(
                format=1,
                today=desk.today,
                n=len(found),
                n_late=sum(one.is_legal for one in late),
                n_late_not_confirmed=sum(not one.is_legal for one in late),
                n_by_kind=dict(n_of_kind(found)),
                deadlines=found,
            )
        )
    else:
        tell(*deadline_lines(desk, found))
    return LOOK if any(one.is_legal for one in late) else DONE


def deadline_lines(desk: Desk, found: Sequence[DeadlineLine]) -> list[str]:
    """The list by kind, in words."""
    lines = [say_n("{n} deadline", "{n} deadlines", len(found))]
    for kind in KINDS:
        some = [one for one in found if one.kind == kind]
        if some:
            lines += ["", f"{kind_name(kind)} ({len(some)})"]
            lines += [f"  {line_text(desk, one)}" for one in some]
    return lines


def line_text(desk: Desk, one: DeadlineLine) -> str:
    """One deadline in a line: day, how long, what, where, to whom, why."""
    parts = [
        say("{what}: {left}", what=one.what, left=left_text(desk, one)),
        one.address,
        say("to {whom}", whom=", ".join(one.to)) if one.to else "",
        *one.why,
    ]
    day = one.due_on.isoformat()
    return f"{day}  " + " · ".join(part for part in parts if part)


def left_text(desk: Desk, one: DeadlineLine) -> str:
    """How many days are left, or how late it is and by whom."""
    days = desk.formats.days
    if one.ours and one.no_access:
        return say(
            "{ours} late, and {access} more for want of access",
            ours=days(one.ours),
            access=days(one.no_access),
        )
    if one.no_access:
        return say("{days} late for want of access", days=days(one.no_access))
    if one.days_left < 0:
        return say("{days} late", days=days(-one.days_left))
    if one.due_at is not None and one.days_left == 0:
        time = desk.formats.time(desk.clock.minute_of(one.due_at))
        if one.due_at < desk.clock.now():
            return say("was due at {time}", time=time)
        return say("by {time} today", time=time)
    if one.days_left == 0:
        return say("today is the last day")
    return say("{days} left", days=days(one.days_left))
