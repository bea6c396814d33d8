"""`servicedesk history`: the history of a site, as a paper or as JSON."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any

from servicedesk.desk.usual import HISTORY_FOR
from servicedesk.desk.verb_options import Tell, add_place, desk_of
from servicedesk.words import say, say_n


def add_history_verb(verbs: Any, *, tell: Tell, print_json: Callable[[Any], None]) -> None:
    """`history` with its options."""
    verb = verbs.add_parser("history", help=say("everything that happened at a site, on paper"))
    add_place(verb)
    verb.add_argument("site", metavar="SITE", help=say("address, permit, number or phone"))
    verb.add_argument(
        "--out",
        metavar="FILE",
        type=Path,
        help=say("where the PDF goes (default: beside the store)"),
    )
    verb.add_argument(
        "--for",
        dest="whom",
        choices=HISTORY_FOR,
        default="us",
        help=say("owner: nothing about those who were there before"),
    )
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))

    def run(chosen: argparse.Namespace) -> int:
        return history_from_shell(chosen, tell=tell, print_json=print_json)

    verb.set_defaults(do=run)


def history_from_shell(
    chosen: argparse.Namespace, *, tell: Tell, print_json: Callable[[Any], None]
) -> int:
    """Write the paper and say where it lies; with `--json` tell all of it instead. Exit code 0.

    With `--json` a paper is only written where `--out` names its file.
    """
    from servicedesk.desk.report_mail import write_file
    from servicedesk.desk.second_opinion import site_named
    from servicedesk.desk.site_history_paper import history_paper, site_history, write_history

    desk = desk_of(chosen)
    site_id = site_named(desk, chosen.site)
    told = site_history(desk, site_id, whom=chosen.whom)
    path = chosen.out
    if path is not None:
        write_file(path, history_paper(desk, site_id, whom=chosen.whom))
    elif not chosen.json:
        folder, name = write_history(desk, site_id, whom=chosen.whom)
        path = Path(folder) / name
    if chosen.json:
        print_json({"paper": None if path is None else str(path), "history": told})
        return 0
    n = len(told.entries)
    tell(say_n("{n} thing that happened at {address}", "{n} things that happened at {address}", n,
               address=told.address), str(path))  # fmt: skip
    return 0
