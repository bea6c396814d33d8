"""What came back, for the opening page: the most pressing trouble, and the others in a line."""

from dataclasses import dataclass

from servicedesk.desk.alert_lines import AlertLine, alert_lines
from servicedesk.desk.alert_page import AlertPage, alert_page
from servicedesk.desk.alerts import OPEN
from servicedesk.desk.callbacks import open_calls
from servicedesk.desk.office import Desk

MOST_LINES = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class CameBack:
    """Open alerts: where a call waits first, then the most pressing.

    Those looked at, put off or settled are not among them.

    `first` is the first one whole. `n_open` in all, `lines` only as many as are shown.
    """

    first: AlertPage | None
    lines: tuple[AlertLine, ...]
    n_open: int


def came_back(desk: Desk) -> CameBack:
    """What stands open now."""
    waits = {call.site_id for call in open_calls(desk)}
    found = [line for line in alert_lines(desk) if line.state == OPEN]
    lines = tuple(sorted(found, key=lambda line: line.site_id not in waits))
    return CameBack(
        first=alert_page(desk, lines[0].id) if lines else None,
        lines=lines[:MOST_LINES],
        n_open=len(lines),
    )
