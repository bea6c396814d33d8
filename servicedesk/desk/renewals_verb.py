"""`renewals` with its options; what it needs is loaded when it is asked."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any

from servicedesk.desk.verb_options import Tell, add_place, day_of
from servicedesk.words import say


def add_renewals_verb(
    verbs: Any,
    *,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> None:
    """The verb and its options."""
    verb = verbs.add_parser(
        "renewals", help=say("contracts that end: what each cost, and the price of the next year")
    )
    add_place(verb)
    verb.add_argument(
        "--year", metavar="YEAR", type=_year,
        help=say("contracts whose next term begins in that year (default: next year)"),
    )  # fmt: skip
    verb.add_argument(
        "--until",
        metavar="DAY",
        type=day_of,
        help=say("only next terms that begin before that day"),
    )
    verb.add_argument(
        "--out",
        metavar="FILE",
        type=Path,
        help=say("the renewals sheet (.xlsx, .csv or .json; a folder: all three)"),
    )
    verb.add_argument(
        "--letters", metavar="FILE", type=Path,
        help=say("offers to print, in one PDF: of what is to be renewed or raised"),
    )  # fmt: skip
    verb.add_argument(
        "--wording", metavar="FILE", type=Path,
        help=say("your own wording of the letters, with fields such as {example}",
                 example="{holder}"),
    )  # fmt: skip
    _add_outlook(verb)
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))

    def run(chosen: argparse.Namespace) -> int:
        from servicedesk.desk.renewals_cli import renewals_from_shell

        return renewals_from_shell(chosen, tell=tell, print_json=print_json)

    verb.set_defaults(do=run)


def _add_outlook(verb: argparse.ArgumentParser) -> None:
    verb.add_argument(
        "--outlook", action="store_true",
        help=say("instead the twelve months to come: income, hours, renewals, pump-outs"),
    )  # fmt: skip
    verb.add_argument(
        "--pump-outs", metavar="FILE", type=Path,
        help=say("with --outlook: the list for the hauler (.pdf or .csv)"),
    )  # fmt: skip


def _year(text: str) -> int:
    if not (text.isdecimal() and 1900 <= int(text) <= 2198):
        raise argparse.ArgumentTypeError(
            say("{text} is not a year; write it like 2027", text=repr(text))
        )
    return int(text)
