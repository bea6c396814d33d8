"""`servicedesk map` with its options; what it needs is loaded when it is asked."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any

from servicedesk.words import say

Tell = Callable[..., None]


def add_map_verb(verbs: Any, *, add_place: Callable[[Any], None], day: Any, tell: Tell) -> None:
    """`map` with its options."""
    verb = verbs.add_parser("map", help=say("the map of a day: sites and rounds on their roads"))
    add_place(verb)
    verb.add_argument("--day", type=day, help=say("whose rounds (default: today)"))
    verb.add_argument("--png", type=Path, metavar="FILE", help=say("write a picture"))
    verb.add_argument("--pdf", type=Path, metavar="FILE", help=say("write the page itself"))

    def run(chosen: argparse.Namespace) -> int:
        from servicedesk.desk.map_shell import map_from_shell

        return map_from_shell(chosen, tell=tell)

    verb.set_defaults(do=run)
