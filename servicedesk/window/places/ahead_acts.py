"""What can be done on the page of the weeks ahead, with its keys."""

from functools import partial
from typing import TYPE_CHECKING

from servicedesk.window.actions import Act
from servicedesk.window.places import ahead_why as why
from servicedesk.window.widgets.ahead_windows import FILTERS
from servicedesk.words import say

if TYPE_CHECKING:
    from servicedesk.window.places.ahead import AheadPlace


def ahead_acts(place: "AheadPlace") -> tuple[Act, ...]:
    """The table for keys, menus and the page of keys."""
    return (*_weeks(place), *_draft(place), *_windows(place))


def _weeks(place: "AheadPlace") -> tuple[Act, ...]:
    group = say("The weeks")
    return (
        Act(id="fill", text=say("Fill the weeks"), do=place.ask_fill, shortcut="F", group=group,
            icon="again", when=partial(why.why_not_fill, place)),
        Act(id="off", text=say("Days off…"), do=place.open_days_off, shortcut="D", group=group,
            icon="today"),
        Act(id="what_if", text=say("What if…"), do=partial(place.shell.go, "what_if"), shortcut="W",
            group=group, icon="ask"),
        Act(id="as_is", text=say("Take it as it is"), do=place.end_as_is, shortcut="A",
            group=group, icon="check", when=partial(why.why_not_as_is, place)),
        Act(id="stop", text=say("Stop, change nothing"), do=place.stop_fill, shortcut="X",
            group=group, icon="cross", when=partial(why.why_not_stop, place)),
        Act(id="close", text=say("Close what is asked"), do=place.close_asked, shortcut="Esc",
            group=group, when=partial(why.why_not_close, place)),
    )  # fmt: skip


def _draft(place: "AheadPlace") -> tuple[Act, ...]:
    group = say("The draft")
    return (
        Act(id="take", text=say("Take the draft"), do=place.take_draft, shortcut="Ctrl+Return",
            group=group, icon="check", when=partial(why.why_not_take, place)),
        Act(id="leave", text=say("Leave the draft"), do=place.leave_draft, shortcut="L",
            group=group, when=partial(why.why_no_draft, place)),
    )  # fmt: skip


def _windows(place: "AheadPlace") -> tuple[Act, ...]:
    group = say("Windows still open")
    names = {
        "no_day": say("Those without a day"),
        "all": say("All that are open"),
        "closing": say("Those that close soon"),
        "late": say("Those that are late"),
    }
    shown = tuple(
        Act(id=f"show_{name}", text=names[name], do=partial(place.show_windows, name),
            shortcut=str(n), group=group, when=partial(why.why_no_page, place))
        for n, name in enumerate(FILTERS, start=1)
    )  # fmt: skip
    return (
        *shown,
        Act(id="place", text=say("Take this place"), do=place.take_place, group=group,
            icon="check", when=partial(why.why_not_place, place)),
        Act(id="site", text=say("Open the site"), do=place.open_site, shortcut="O", group=group,
            icon="sites", when=partial(why.why_no_row, place)),
    )  # fmt: skip
