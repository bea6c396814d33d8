"""`deadlines` and `reports` with their options; what they need is loaded when one is asked."""

import argparse
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

from servicedesk.desk.usual import DEADLINE_KINDS, REPORT_WAYS
from servicedesk.desk.verb_options import Tell, add_place
from servicedesk.words import say


def add_deadlines_verb(
    verbs: Any,
    *,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> None:
    """The verb and its options."""
    verb = verbs.add_parser("deadlines", help=say("what is due to whom by when"))
    add_place(verb)
    verb.add_argument(
        "--kind",
        metavar="KIND",
        help=say("only one kind: {kinds}", kinds=", ".join(DEADLINE_KINDS)),
    )
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))

    def run(chosen: argparse.Namespace) -> int:
        from servicedesk.desk.deadlines_cli import deadlines_from_shell

        return deadlines_from_shell(chosen, tell=tell, print_json=print_json)

    verb.set_defaults(do=run)


def add_reports_verb(
    verbs: Any,
    *,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> None:
    """The verb and its options."""
    verb = verbs.add_parser("reports", help=say("reports that are owed, and what went to whom"))
    add_place(verb)
    verb.add_argument(
        "--month", metavar="MONTH", type=_month, help=say("the list of a month, such as 2026-09")
    )
    verb.add_argument(
        "--out", metavar="FOLDER", type=Path,
        help=say("where papers go: drafts of what is owed, or with --month the month's list"),
    )  # fmt: skip
    verb.add_argument(
        "--send", choices=REPORT_WAYS,
        help=say("number what is owed, write it into the register as sent this way"),
    )  # fmt: skip
    verb.add_argument("--signed", metavar="NAME", default="", help=say("who signs"))
    verb.add_argument(
        "--to", choices=("owner", "authority", "maker"), help=say("only to such a receiver")
    )
    verb.add_argument(
        "--confirmation", metavar="NUMBER", default="", help=say("of the authority's own form")
    )
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))

    def run(chosen: argparse.Namespace) -> int:
        from servicedesk.desk.reports_cli import reports_from_shell

        return reports_from_shell(chosen, tell=tell, print_json=print_json)

    verb.set_defaults(do=run)


def _month(text: str) -> date:
    try:
        day = date.fromisoformat(f"{text}-01")
    except ValueError:
        raise argparse.ArgumentTypeError(
            say("{text} is not a month; write it like 2026-09", text=repr(text))
        ) from None
    if not 1900 <= day.year <= 2199:
        raise argparse.ArgumentTypeError(
            say("{text} is too far away; the years 1900 to 2199 are counted", text=text)
        )
    return day
