"""What the verbs of the shell share: which store, day and person, and the days to look at."""

import argparse
from collections.abc import Callable
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from servicedesk.words import say

if TYPE_CHECKING:
    from servicedesk.desk.office import Desk

Tell = Callable[..., None]
# days beyond are slips of the finger, and a contract's years must fit around each
FIRST_DAY, LAST_DAY = date(1900, 1, 1), date(2199, 12, 31)


def add_place(verb: argparse.ArgumentParser) -> None:
    """Which store, day and person: before the verb or behind it. What stands behind it wins."""
    verb.add_argument(
        "--store",
        metavar="FILE",
        default=argparse.SUPPRESS,
        help=say("the company's store (default: SERVICEDESK_STORE, else your data folder)"),
    )
    verb.add_argument(
        "--today",
        metavar="DAY",
        type=day_of,
        default=argparse.SUPPRESS,
        help=say("act as on this day, such as 2026-10-14"),
    )
    verb.add_argument("--who", metavar="NAME", default=argparse.SUPPRESS, help=say("who sits here"))


def add_span(verb: Any) -> Any:
    """`--day` or `--week`; the group, for what else excludes both."""
    which = verb.add_mutually_exclusive_group()
    which.add_argument("--day", metavar="DAY", type=day_of, help=say("this day (default: today)"))
    which.add_argument("--week", metavar="DAY", type=day_of, help=say("the week of this day"))
    return which


def day_of(text: str) -> date:
    """A day as it is typed behind an option. Raises what argparse says in its own words."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(
            say("{text} is not a day; write it like 2026-10-14", text=repr(text))
        ) from None
    if not FIRST_DAY <= day <= LAST_DAY:
        raise argparse.ArgumentTypeError(
            say("{day} is too far away; the years 1900 to 2199 are counted", day=text)
        )
    return day


def place_of(chosen: argparse.Namespace) -> str:
    """The store that the options name, else the usual one. Raises Trouble without a folder."""
    from servicedesk.desk.places_on_disk import default_store

    return str(chosen.store or default_store())


def desk_of(chosen: argparse.Namespace) -> "Desk":
    """The desk that the options name. Raises Trouble where its store cannot be opened."""
    from servicedesk.desk.office import open_desk

    return open_desk(place_of(chosen), who=chosen.who, today=chosen.today)


def span_of(chosen: argparse.Namespace, desk: "Desk") -> tuple[date, date]:
    """First day and the day after the last one."""
    if chosen.week:
        from servicedesk.desk.span_rounds import week_of

        return week_of(chosen.week)
    day = chosen.day or desk.today
    return day, day + timedelta(days=1)
