"""`servicedesk bring-in` with its options; the rest is loaded when it is asked for."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any

from servicedesk.desk.verb_options import add_place, place_of
from servicedesk.words import say

PrintJson = Callable[[Any], None]
Warn = Callable[[str], None]


def add_bring_in_verb(verbs: Any, *, print_json: PrintJson, warn: Warn) -> None:
    """Lists that come in."""
    verb = verbs.add_parser(
        "bring-in", help=say("bring in a list of sites, customers, contracts, past visits")
    )
    add_place(verb)
    verb.add_argument("file", type=Path, help=say("CSV, XLSX, or GPX of named places"))
    verb.add_argument("--check", action="store_true", help=say("only say what would be done"))
    verb.add_argument("--sheet", metavar="NAME", help=say("which sheet of a workbook"))
    verb.add_argument(
        "--day-first",
        action=argparse.BooleanOptionalAction,
        default=None,
        help=say("whether 3/4 is the 3rd of April"),
    )
    verb.add_argument(
        "--swap-positions",
        action=argparse.BooleanOptionalAction,
        default=None,
        help=say("exchange latitude and longitude where they look exchanged"),
    )
    verb.add_argument(
        "--west",
        action=argparse.BooleanOptionalAction,
        default=None,
        help=say("longitudes without a minus lie west"),
    )
    verb.add_argument("--area-code", metavar="DIGITS", help=say("of phone numbers without one"))
    verb.add_argument(
        "--currency", metavar="CODE", type=str.upper, help=say("of the prices, such as USD")
    )
    verb.add_argument(
        "--column",
        metavar="HEADER=MEANING",
        action="append",
        default=[],
        help=say("correct what a column means; MEANING may be “nothing”"),
    )
    verb.add_argument(
        "--overwrite", action="store_true", help=say("also cells that were edited here since")
    )
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))

    def run(chosen: argparse.Namespace) -> int:
        from servicedesk.desk.bring_in_cli import bring_in_from_shell

        warn(place_of(chosen))
        return bring_in_from_shell(chosen, print_json=print_json)

    verb.set_defaults(do=run)
