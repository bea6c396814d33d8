"""`plan` and `squeeze` with their options; what they need is loaded when one of them is asked."""

import argparse
from collections.abc import Callable
from typing import Any

from servicedesk.desk.usual import PLAN_SECONDS, PLAN_WEEKS, SQUEEZE_DAYS
from servicedesk.desk.verb_options import Tell, add_place, day_of
from servicedesk.words import say

MOST_WEEKS = 26
MOST_SECONDS = 3_600
MOST_DAYS = 20


def add_plan_verb(
    verbs: Any,
    *,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> None:
    """`plan` with its options."""
    verb = verbs.add_parser("plan", help=say("plan the coming weeks for all technicians"))
    add_place(verb)
    verb.add_argument("--weeks", metavar="N", type=_weeks, default=PLAN_WEEKS,
                      help=say("how many (default: {n})", n=PLAN_WEEKS))  # fmt: skip
    verb.add_argument("--from", dest="from_day", metavar="DAY", type=day_of,
                      help=say("the first day (default: tomorrow)"))  # fmt: skip
    verb.add_argument("--technician", metavar="NAME", action="append",
                      help=say("only for this one; may be given again"))  # fmt: skip
    verb.add_argument("--seconds", metavar="N", type=_seconds, default=PLAN_SECONDS,
                      help=say("how long to look (default: {n})",
                               n=round(PLAN_SECONDS)))  # fmt: skip
    verb.add_argument("--take", action="store_true", help=say("write it: these are the rounds"))
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))

    def run(chosen: argparse.Namespace) -> int:
        from servicedesk.desk.plan_cli import plan_from_shell

        return plan_from_shell(chosen, tell=tell, print_json=print_json)

    verb.set_defaults(do=run)


def _weeks(text: str) -> int:
    if not text.isdigit() or not 1 <= int(text) <= MOST_WEEKS:
        raise argparse.ArgumentTypeError(
            say(
                "{text} is not a number of weeks from 1 to {most}", text=repr(text), most=MOST_WEEKS
            )
        )
    return int(text)


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError:
        seconds = -1.0
    if not 0 < seconds <= MOST_SECONDS:
        raise argparse.ArgumentTypeError(
            say(
                "{text} is not a number of seconds up to {most}", text=repr(text), most=MOST_SECONDS
            )
        )
    return seconds


def add_squeeze_verb(
    verbs: Any,
    *,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> None:
    """`squeeze` with its options."""
    verb = verbs.add_parser("squeeze", help=say("room for one more stop in the next days"))
    add_place(verb)
    verb.add_argument("site", metavar="SITE", help=say("address, permit, number or phone"))
    days = say("working days looked at, today first (default: {n})", n=SQUEEZE_DAYS)
    verb.add_argument("--days", metavar="N", type=_days, default=SQUEEZE_DAYS, help=days)
    verb.add_argument("--take", metavar="N", type=int, help=say("take the way with this number"))
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))

    def run(chosen: argparse.Namespace) -> int:
        from servicedesk.desk.squeeze_cli import squeeze_from_shell

        return squeeze_from_shell(chosen, tell=tell, print_json=print_json)

    verb.set_defaults(do=run)


def _days(text: str) -> int:
    if not text.isdigit() or not 1 <= int(text) <= MOST_DAYS:
        raise argparse.ArgumentTypeError(
            say("{text} is not a number of days from 1 to {most}", text=repr(text), most=MOST_DAYS)
        )
    return int(text)
