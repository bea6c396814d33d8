"""What was never tested, put on the next visit as owed work: never forgotten, undone like any."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import ceil

from servicedesk.desk.alert_lines import CheckLine, PartLine
from servicedesk.desk.office import Desk
from servicedesk.desk.owed import NewOwed, add_owed, owed_list
from servicedesk.records import owed_rows
from servicedesk.records.store import Changed
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

MOST_CHECKS = 4
MOST_PARTS = 4
LEAST_CHANCE = 0.1  # a part less likely than this is not worth a place on the truck; judgment


@dataclass(frozen=True, slots=True, kw_only=True)
class ChecksToDo:
    """Checks to make at a site, the first one first, and what to bring for what they may find."""

    site_id: int
    system_id: int | None
    checks: Sequence[CheckLine]
    to_bring: Sequence[PartLine] = ()


def put_on_next_visit(desk: Desk, wanted: ChecksToDo, *, by_on: date | None = None) -> Changed:
    """Write that these checks are owed at the site; they go with its next visit.

    `by_on`: the last day, so that a visit is planned for them. Raises Trouble where there is
    nothing to check, or where the same is owed there already.
    """
    if not wanted.checks:
        raise Trouble(
            say("Every check that speaks for a likely cause was made."),
            do=say("Open the site's file and look at what was found."),
        )
    some = list(wanted.checks[:MOST_CHECKS])
    what = checks_text(some)
    if any(o.row.site_id == wanted.site_id and o.row.what == what for o in owed_list(desk)):
        raise Trouble(
            say("That is owed there already: {what}", what=what),
            do=say("Look in Owed; give it a last day there if no visit is planned."),
        )
    parts = [p.name for p in wanted.to_bring if p.chance >= LEAST_CHANCE][:MOST_PARTS]
    return add_owed(
        desk,
        NewOwed(
            site_id=wanted.site_id,
            system_id=wanted.system_id,
            what=what,
            needs=", ".join(parts),
            minutes=max(1, ceil(sum(check.minutes for check in some))),
            by_on=by_on,
        ),
    )


def is_put(desk: Desk, site_id: int, first: CheckLine) -> bool:
    """Is it owed at the site already that this check is made first?"""
    with desk.store.read() as session:
        found = owed_rows.owed(session, site_ids=[site_id])
    alone = checks_text([first])
    return any(one.what == alone or one.what.startswith(alone + ";") for one in found)


def checks_text(checks: Sequence[CheckLine]) -> str:
    """As "test first: Open the splices and look; then: Low-air switch against a gauge"."""
    first = say("test first: {check}", check=checks[0].name)
    if len(checks) == 1:
        return first
    rest = ", ".join(check.name for check in checks[1:])
    return say("{first}; then: {rest}", first=first, rest=rest)
