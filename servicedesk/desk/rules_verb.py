"""`rules` with its own verbs; what they need is loaded when one is asked."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any

from servicedesk.desk.verb_options import Tell, add_place
from servicedesk.words import say


def add_rules_verb(verbs: Any, *, tell: Tell, print_json: Callable[[Any], None]) -> None:
    """The verb, its own verbs and their options."""
    verb = verbs.add_parser(
        "rules", help=say("service rules: what the authorities ask for, and your own")
    )
    inner = verb.add_subparsers(title=say("verbs"), metavar="VERB", required=True)

    def run(chosen: argparse.Namespace) -> int:
        from servicedesk.desk.rules_cli import rules_from_shell

        return rules_from_shell(chosen, tell=tell, print_json=print_json)

    for name, help_, fill in (
        ("list", say("rules in force here, with source and whether they are confirmed"), _list),
        ("write", say("write the own rules to a file to work on, or begin with a copy"), _write),
        ("check", say("look a file of rules over, write nothing"), _file),
        ("read", say("take such a file back: change what is there, add the rest"), _file),
        ("end", say("take an own rule away"), _rule),
        ("put", say("put a site's systems under a rule"), _put),
    ):
        one = inner.add_parser(name, help=help_)
        add_place(one)
        fill(one)
        one.set_defaults(do=run, rules_verb=name)


def _list(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--own", action="store_true", help=say("only the company's own"))
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))


def _file(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("file", type=Path, help=say("YAML"))


def _write(verb: argparse.ArgumentParser) -> None:
    _file(verb)
    verb.add_argument("--like", metavar="RULE", help=say("a copy of this rule of the program"))


def _rule(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("rule", help=say("id of the rule"))


def _put(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("site", help=say("address, permit, number or phone of the site"))
    _rule(verb)
    verb.add_argument("--system", metavar="PERMIT", help=say("only this one, by permit or name"))
