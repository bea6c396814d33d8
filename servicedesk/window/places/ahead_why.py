"""Why something cannot be done now on the page of the weeks ahead, in one sentence."""

from typing import TYPE_CHECKING

from servicedesk.words import say

if TYPE_CHECKING:
    from servicedesk.window.places.ahead import AheadPlace


def why_no_page(place: "AheadPlace") -> str | None:
    """Why nothing can be shown yet."""
    return None if place.page is not None else say("The weeks are still being read.")


def why_not_fill(place: "AheadPlace") -> str | None:
    """Why the weeks cannot be filled now."""
    if place.planner.is_busy:
        return say("The weeks are being filled already.")
    if place.draft is not None:
        return say("Take or leave the draft first.")
    if place.page is not None and not place.page.people:
        return say("Nobody works in these weeks: there is no technician yet.")
    return why_no_page(place)


def why_not_as_is(place: "AheadPlace") -> str | None:
    """Why there is nothing to take as it is."""
    return None if place.planner.has_something else say("Nothing was found yet.")


def why_not_stop(place: "AheadPlace") -> str | None:
    """Why there is nothing to stop."""
    return None if place.planner.is_busy else say("Nothing is being planned.")


def why_not_close(place: "AheadPlace") -> str | None:
    """Why there is nothing to put away."""
    return None if place.strip.asking.isVisibleTo(place) else say("Nothing is asked.")


def why_no_draft(place: "AheadPlace") -> str | None:
    """Why there is no draft to leave."""
    return None if place.draft is not None else say("There is no draft: fill the weeks first.")


def why_not_take(place: "AheadPlace") -> str | None:
    """Why the draft cannot be taken."""
    if place.draft is not None and not place.draft.changes:
        return say("The draft is what stands already.")
    return why_no_draft(place)


def why_no_row(place: "AheadPlace") -> str | None:
    """Why no row can be opened."""
    return None if place.windows.view.row is not None else say("Choose a site first.")


def why_not_place(place: "AheadPlace") -> str | None:
    """Why the chosen site cannot be given its best day."""
    row = place.windows.view.row
    if row is None or place.draft is not None:
        return why_no_row(place) or say("Take or leave the draft first.")
    if row.window.has_day:
        return say("It has a day already: move it in Rounds.")
    if not row.is_known:
        return say("Its best day is still being worked out.")
    return None if row.best is not None else say("No day of its window has room.")


def none_words(name: str) -> str:
    """What stands in place of rows where a pill shows none."""
    match name:
        case "no_day":
            return say("Every site whose window is open has its day. New windows appear here.")
        case "late":
            return say("No window was missed.")
        case "closing":
            return say("No window closes in the next two weeks.")
    return say("No window is open in these weeks: contracts make them, from their visits a year.")
