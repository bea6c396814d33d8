"""What can be done on the page of what came back, why not, and the words of its lists."""

from functools import partial
from typing import TYPE_CHECKING

from servicedesk.desk import alerts
from servicedesk.desk.alerts import SEEN, SETTLED
from servicedesk.desk.office import Desk
from servicedesk.window.actions import Act
from servicedesk.words import say

if TYPE_CHECKING:
    from servicedesk.window.places.came_back import CameBackPlace


def came_back_acts(place: "CameBackPlace") -> tuple[Act, ...]:
    """The actions of the page, those on the chosen alert first."""
    one, every = say("The alert"), say("All alerts")
    why, settled = partial(_why_not, place), partial(_why_settled, place)
    no_check = partial(_why_no_check, place)
    return (
        Act(id="site", text=say("Open the site's file"), shortcut="F", do=place.open_site,
            group=one, when=why),
        Act(id="put_check", text=say("Put the check on the next visit"), shortcut="V",
            do=place.put_check, group=one, when=no_check),
        Act(id="plan", text=say("Plan a visit…"), shortcut="W", do=place.plan, group=one,
            when=no_check),
        Act(id="opinion", text=say("Second opinion"), shortcut="Ctrl+P", do=place.opinion,
            group=one, when=why),
        Act(id="seen", text=say("Looked at"), shortcut="L", do=place.acknowledge, group=one,
            when=partial(_why_not_seen, place)),
        Act(id="put_off", text=say("Put off…"), shortcut="P", do=place.put_off, group=one,
            when=settled),
        Act(id="settle", text=say("Settle…"), shortcut="S", do=place.settle, group=one,
            when=settled),
        Act(id="page_down", text=say("Further down in the alert"), shortcut="Ctrl+PgDown",
            do=partial(place.turn_page, 1), group=one),
        Act(id="page_up", text=say("Further up in the alert"), shortcut="Ctrl+PgUp",
            do=partial(place.turn_page, -1), group=one),
        Act(id="fewer", text=say("Fewer alerts"), shortcut="-", do=place.fewer, group=every),
        Act(id="more", text=say("More alerts"), shortcut="+", do=place.more, group=every),
    )  # fmt: skip


def _why_not(place: "CameBackPlace") -> str | None:
    return None if place.chosen is not None else say("Choose an alert in the list first.")


def _why_not_seen(place: "CameBackPlace") -> str | None:
    one = place.chosen
    if one is not None and one.state == SEEN:
        return say("Somebody has looked at it already.")
    return _why_settled(place)


def _why_settled(place: "CameBackPlace") -> str | None:
    one = place.chosen
    if one is not None and one.state == SETTLED:
        return say("It is settled; take that change back under All changes.")
    return _why_not(place)


def _why_no_check(place: "CameBackPlace") -> str | None:
    if place.page is not None and not place.page.detail.never_done:
        return say("Every check that speaks for a likely cause was made.")
    return _why_not(place)


def filters() -> tuple[tuple[str, str], ...]:
    """The lists of the page by their names, in words."""
    return (("open", say("Open")), ("off", say("Put off")), ("settled", say("Settled")))


def nothing_text(name: str) -> str:
    """What stands where a list is empty."""
    return {
        "open": say(
            "Nothing has come back. A site that calls again and again for one trouble stands here, "
            "with what was tried there and what was never tested."
        ),
        "off": say("Nothing is put off. What is put off comes back here on its day."),
        "settled": say(
            "Nothing was settled yet. What is settled stays here, with the reason and by whom."
        ),
    }[name]


def dial_and_look(desk: Desk, dial: int) -> object:
    """On the worker: turn the dial, then look again."""
    touched = alerts.set_dial(desk, dial)
    found = alerts.look_for_alerts(desk)
    return None if found.rows else touched
