"""`another-day`, `absent` and `what-if` with their options; the rest is loaded when asked for."""

import argparse
from collections.abc import Callable
from typing import Any

from servicedesk.desk.verb_options import Tell, add_place, day_of
from servicedesk.words import say

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
PrintJson = Callable[[Any], None]


def add_hand_verbs(verbs: Any, *, tell: Tell, print_json: PrintJson) -> None:
    """All of them."""
    _add_another_day(verbs, tell, print_json)
    _add_absent(verbs, tell, print_json)
    _add_what_if(verbs, tell, print_json)


def _add_another_day(verbs: Any, tell: Tell, print_json: PrintJson) -> None:
    verb = verbs.add_parser("another-day", help=say("a customer asks for another day or hour"))
    add_place(verb)
    verb.add_argument("site", metavar="SITE", help=say("address, permit, number or phone"))
    verb.add_argument(
        "--not",
        dest="not_days",
        metavar="DAY",
        type=weekday_of,
        action="append",
        default=[],
        help=say("a day of the week that does not suit, such as tue"),
    )
    verb.add_argument(
        "--not-on",
        dest="not_on",
        metavar="DAY",
        type=day_of,
        action="append",
        default=[],
        help=say("a day that does not suit, such as 2026-10-20"),
    )
    verb.add_argument("--after", metavar="TIME", type=minute_of, help=say("come after, as 15:00"))
    verb.add_argument("--until", metavar="TIME", type=minute_of, help=say("be done by, as 12:00"))
    verb.add_argument(
        "--with",
        dest="with_whom",
        metavar="WHOM",
        default="",
        help=say("who must be there, as “my son”"),
    )
    verb.add_argument(
        "--for-good",
        action="store_true",
        help=say("keep it on the site, for every visit from now on"),
    )
    verb.add_argument("--whom", metavar="NAME", default="", help=say("who asked"))
    verb.add_argument(
        "--take",
        metavar="N",
        type=int,
        help=say("take the place with this number; 0 leaves it without a day"),
    )
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))

    def run(chosen: argparse.Namespace) -> int:
        from servicedesk.desk.another_day_cli import another_day_from_shell

        return another_day_from_shell(chosen, tell=tell, print_json=print_json)

    verb.set_defaults(do=run)


def _add_absent(verbs: Any, tell: Tell, print_json: PrintJson) -> None:
    verb = verbs.add_parser("absent", help=say("somebody is ill, away, or leaves"))
    add_place(verb)
    verb.add_argument("name", metavar="NAME", help=say("the technician"))
    verb.add_argument(
        "--from", dest="first", metavar="DAY", type=day_of, help=say("first day (default: today)")
    )
    which = verb.add_mutually_exclusive_group()
    which.add_argument(
        "--until",
        dest="last",
        metavar="DAY",
        type=day_of,
        help=say("last day (default: the first)"),
    )
    which.add_argument("--for-good", action="store_true", help=say("they leave the company"))
    verb.add_argument("--why", default="", help=say("why, for the list of days off"))
    verb.add_argument("--take", action="store_true", help=say("write it"))
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))

    def run(chosen: argparse.Namespace) -> int:
        from servicedesk.desk.absence_cli import absent_from_shell

        return absent_from_shell(chosen, tell=tell, print_json=print_json)

    verb.set_defaults(do=run)


def _add_what_if(verbs: Any, tell: Tell, print_json: PrintJson) -> None:
    verb = verbs.add_parser("what-if", help=say("a year with more sites, or a technician less"))
    add_place(verb)
    verb.add_argument("--more-sites", metavar="N", type=_count, default=0, help=say("how many"))
    verb.add_argument("--near", metavar="VILLAGE", default="", help=say("where they would lie"))
    verb.add_argument(
        "--without",
        metavar="NAME",
        action="append",
        default=[],
        help=say("a technician who would not be there; may be given again"),
    )
    verb.add_argument(
        "--years",
        metavar="N",
        type=_count,
        default=30,
        help=say("how many years are simulated (default: {n})", n=30),
    )
    verb.add_argument("--seed", metavar="N", type=int, default=1, help=say("of chance"))
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))

    def run(chosen: argparse.Namespace) -> int:
        from servicedesk.desk.what_if_cli import what_if_from_shell

        return what_if_from_shell(chosen, tell=tell, print_json=print_json)

    verb.set_defaults(do=run)


def _count(text: str) -> int:
    if not text.isdigit() or not 1 <= int(text) <= 10_000:
        raise argparse.ArgumentTypeError(
            say("{text} is not a number from 1 to 10,000", text=repr(text))
        )
    return int(text)


def weekday_of(text: str) -> int:
    """The number of a weekday, Monday is 0: "tue" or "Tuesday"."""
    found = [n for n, name in enumerate(WEEKDAYS) if text.strip().lower().startswith(name)]
    if not found:
        raise argparse.ArgumentTypeError(
            say("{text} is no day of the week; write mon, tue, ...", text=repr(text))
        )
    return found[0]


def minute_of(text: str) -> int:
    """Minutes after midnight of a time such as 15:00 or 9."""
    hour, _, rest = text.strip().partition(":")
    if hour.isdigit() and (rest.isdigit() or not rest):
        minute = int(hour) * 60 + int(rest or 0)
        if int(rest or 0) < 60 and minute <= 1440:
            return minute
    raise argparse.ArgumentTypeError(
        say("{text} is not a time; write it like 15:00", text=repr(text))
    )
