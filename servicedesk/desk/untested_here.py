"""What was never tested in a trouble that is being called about again, in two lines."""

from dataclasses import dataclass

from servicedesk.desk.office import Desk
from servicedesk.desk.threads import threads_of_site
from servicedesk.desk.trouble_view import trouble_view
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class UntestedHere:
    """The part nobody ever looked at there, and the check that goes first on the visit."""

    part: str
    first: str


def untested_here(desk: Desk, site_id: int, call_id: int) -> UntestedHere | None:
    """Of the trouble that an earlier call belongs to; None where no visit tried anything yet.

    None also where nothing is left to test, or its symptom or system is not known.
    """
    thread = next((t for t in threads_of_site(desk, site_id) if t.thread.has(call_id)), None)
    if thread is None or not thread.thread.tried:
        return None
    view = trouble_view(desk, thread)
    if view is None or not view.untested or not view.owed_checks:
        return None
    check = view.owed_checks[0]
    minutes = desk.formats.minutes(max(1, round(check.minutes)))
    return UntestedHere(
        part=say("Never tested here: {part}", part=view.untested[0]),
        first=say("first on the visit: {check}, about {minutes}", check=check.name,
                  minutes=minutes),
    )  # fmt: skip
