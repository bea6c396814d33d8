"""`servicedesk done` with its options; the rest is loaded when it is asked for."""

import argparse
from collections.abc import Callable
from typing import Any

from servicedesk.desk.verb_options import add_place, place_of
from servicedesk.words import say

PrintJson = Callable[[Any], None]
Warn = Callable[[str], None]


def add_done_verb(verbs: Any, *, print_json: PrintJson, warn: Warn) -> None:
    """A visit written up."""
    verb = verbs.add_parser("done", help=say("write up a visit"))
    add_place(verb)
    verb.add_argument("site", help=say("address, permit, number or phone of the site"))
    verb.add_argument("--in", dest="arrived", metavar="TIME", help=say("arrived at, such as 9:05"))
    verb.add_argument("--out", dest="left", metavar="TIME", help=say("left at"))
    verb.add_argument(
        "--outcome",
        choices=["done", "partly", "could-not"],
        default="done",
        help=say("how it went"),
    )
    verb.add_argument("--why", default="", help=say("why it could not be done, such as no-access"))
    verb.add_argument("--found", default="", help=say("what was found"))
    verb.add_argument("--did", default="", help=say("what was done"))
    verb.add_argument(
        "--reading",
        metavar="ITEM=VALUE",
        action="append",
        default=[],
        help=say("a reading, such as chlorine=0.5"),
    )
    verb.add_argument(
        "--part",
        action="append",
        default=[],
        help=say("a part used, such as “4 x sealed connector”"),
    )
    _units_of(verb)
    verb.add_argument(
        "--owed",
        action="append",
        default=[],
        help=say("what is still owed, such as “west head: low nozzle by Nov 30”"),
    )
    verb.add_argument(
        "--fix", choices=["fixed", "patched", "reset-only"], default="", help=say("how lasting")
    )
    _findings_of(verb)
    verb.add_argument("--told", metavar="WHOM", default="", help=say("who was told"))
    verb.add_argument(
        "--as-usual", action="store_true", help=say("every item of an inspection as usual")
    )
    verb.add_argument(
        "--all-ticked", action="store_true", help=say("the whole list before leaving is ticked")
    )
    verb.add_argument("--as-left", metavar="NOTE", default="", help=say("how it was left"))
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))

    def run(chosen: argparse.Namespace) -> int:
        from servicedesk.desk.writeup_cli import done_from_shell

        warn(place_of(chosen))
        return done_from_shell(chosen, print_json=print_json)

    verb.set_defaults(do=run)


def _units_of(verb: argparse.ArgumentParser) -> None:
    verb.add_argument(
        "--replaced",
        metavar="COMPONENT=PART",
        action="append",
        default=[],
        help=say("a unit replaced, such as “effluent-pump=P-050,serial=B2,reason=failed”"),
    )
    verb.add_argument(
        "--approved-by",
        metavar="NAME",
        default="",
        help=say("who agreed to parts over what the contract allows"),
    )
    verb.add_argument("--approval-owed", action="store_true", help=say("nobody agreed to them yet"))


def _findings_of(verb: argparse.ArgumentParser) -> None:
    verb.add_argument(
        "--check",
        metavar="ID=RESULT",
        action="append",
        default=[],
        help=say("a check made, such as splice-look=wet-or-green or pump-amps=6.9 A, normal"),
    )
    verb.add_argument("--cause", metavar="ID", default="", help=say("the cause behind the trouble"))
    verb.add_argument(
        "--known-by",
        choices=["a-direct-check", "replaced-and-gone", "seen", "presumed"],
        default="",
        help=say("how we know the cause"),
    )
    verb.add_argument(
        "--no-fault-found",
        action="store_true",
        help=say("no fault was found; checks that are still missing are written as owed"),
    )
    verb.add_argument("--could-not-look", action="store_true", help=say("nobody could look"))
