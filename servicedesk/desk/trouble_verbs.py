"""`alerts`, `causes` and `patterns` with their options; the rest is loaded when asked for."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any

from servicedesk.desk.verb_options import Tell, add_place, day_of, place_of
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

PrintJson = Callable[[Any], None]
Warn = Callable[[str], None]


def add_trouble_verbs(verbs: Any, *, tell: Tell, print_json: PrintJson, warn: Warn) -> None:
    """All of them. `warn` is told the place of the store before it is read."""
    _add_alerts_verb(verbs, tell, print_json, warn)
    _add_causes_verb(verbs, tell, print_json, warn)
    _add_patterns_verb(verbs, tell, print_json, warn)


def _add_alerts_verb(verbs: Any, tell: Tell, print_json: PrintJson, warn: Warn) -> None:
    verb = verbs.add_parser(
        "alerts", help=say("say which sites call again and again for the same thing")
    )
    add_place(verb)
    verb.add_argument(
        "--calls", metavar="FILE", type=Path, help=say("past calls: site,date,symptom")
    )
    verb.add_argument("--sites", metavar="FILE", type=Path, help=say("sites: site,start_date"))
    verb.add_argument("--out", metavar="FILE", type=Path, help=say("where the alerts go (CSV)"))
    verb.add_argument(
        "--until", metavar="DAY", type=day_of, help=say("as it stood on that day; later calls wait")
    )
    verb.add_argument(
        "--dial",
        choices=["fewer", "usual", "more"],
        help=say("fewer alerts, or more (default: usual)"),
    )
    verb.add_argument(
        "--day-first",
        action=argparse.BooleanOptionalAction,
        default=None,
        help=say("whether 3/4 is the 3rd of April"),
    )
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))

    def run(chosen: argparse.Namespace) -> int:
        if chosen.calls is None and chosen.sites is None:
            _refuse_options_of_lists(chosen)
            from servicedesk.desk.alerts_store_cli import alerts_of_store

            warn(place_of(chosen))
            return alerts_of_store(chosen, print_json=print_json, tell=tell)
        from servicedesk.desk.alerts_cli import alerts_from_shell

        chosen.dial = chosen.dial or "usual"
        return alerts_from_shell(chosen, print_json=print_json, tell=tell)

    verb.set_defaults(do=run)


def _refuse_options_of_lists(chosen: argparse.Namespace) -> None:
    of_lists = (chosen.out, chosen.until, chosen.dial, chosen.day_first)
    if any(option is not None for option in of_lists):
        raise Trouble(
            say("--out, --until, --dial and --day-first go with --calls and --sites."),
            do=say("Of a store: give --today instead of --until, or --json instead of --out."),
        )


def _add_causes_verb(verbs: Any, tell: Tell, print_json: PrintJson, warn: Warn) -> None:
    verb = verbs.add_parser("causes", help=say("what a trouble may be, and what to check next"))
    add_place(verb)
    which = verb.add_mutually_exclusive_group(required=True)
    which.add_argument(
        "file", metavar="CASE", type=Path, nargs="?", help=say("a case or a list of them, JSON")
    )
    which.add_argument("--site", metavar="SITE", help=say("address, permit, number or phone"))
    verb.add_argument(
        "--system", metavar="NAME", help=say("which one, where the site has several systems")
    )
    verb.add_argument("--symptom", metavar="ID", help=say("of the site (default: the last call's)"))
    verb.add_argument("--out", metavar="FILE", type=Path, help=say("of the site, one page (PDF)"))
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))

    def run(chosen: argparse.Namespace) -> int:
        if chosen.site is not None:
            from servicedesk.desk.causes_store_cli import causes_of_site

            warn(place_of(chosen))
            return causes_of_site(chosen, print_json=print_json, tell=tell)
        from servicedesk.desk.causes_cli import causes_from_shell

        return causes_from_shell(chosen, print_json=print_json, tell=tell)

    verb.set_defaults(do=run)


def _add_patterns_verb(verbs: Any, tell: Tell, print_json: PrintJson, warn: Warn) -> None:
    verb = verbs.add_parser("patterns", help=say("what keeps failing, and is it chance?"))
    add_place(verb)
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))

    def run(chosen: argparse.Namespace) -> int:
        from servicedesk.desk.patterns_cli import patterns_from_shell

        warn(place_of(chosen))
        return patterns_from_shell(chosen, tell=tell, print_json=print_json)

    verb.set_defaults(do=run)
