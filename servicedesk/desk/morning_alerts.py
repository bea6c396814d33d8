"""What the morning says of trouble that comes back."""

from collections.abc import Iterable

from servicedesk.desk.alert_lines import AlertLine, alert_lines
from servicedesk.desk.office import Desk
from servicedesk.words import say, say_n

OPEN, ACT = "open", "act"


def alerts_to_act_on(desk: Desk) -> tuple[AlertLine, ...]:
    """Open alerts to act on, the most pressing first."""
    return tuple(line for line in alert_lines(desk) if line.level == ACT and line.state == OPEN)


def alert_sentence(lines: Iterable[AlertLine]) -> str:
    """One sentence on all of them, the first one named with what was never tested there."""
    some = tuple(lines)
    first = some[0]
    told = say_n(
        "{n} site calls again and again: {address}, {why}.",
        "{n} sites call again and again; first {address}: {why}.",
        len(some),
        address=first.address,
        why=first.why,
    )
    if not first.untested:
        return told
    return told + " " + say("Never tested there: {part}.", part=first.untested[0])
