"""`servicedesk contract` with its own verbs; what they need is loaded when one is asked."""

import argparse
from collections.abc import Callable
from typing import Any

from servicedesk.desk.verb_options import Tell, add_place, day_of
from servicedesk.words import say


def add_contract_verb(
    verbs: Any,
    *,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> None:
    """The verb, its own verbs and their options."""
    verb = verbs.add_parser("contract", help=say("contracts of a site, through their whole life"))
    inner = verb.add_subparsers(title=say("verbs"), metavar="VERB", required=True)

    def run(chosen: argparse.Namespace) -> int:
        from servicedesk.desk.contract_cli import contract_from_shell

        return contract_from_shell(chosen, tell=tell, print_json=print_json)

    for name, help_, fill in (
        ("list", say("what contracts a site has had, what was owed and done"), _no_more),
        ("new", say("write a contract"), _terms),
        ("change", say("change the terms of a draft, or what a signed one lets change"), _changing),
        ("sign", say("sign a draft"), _number),
        ("end", say("end a contract before its time"), _ending),
        ("take-over", say("write a contract taken over from another company"), _taking),
        ("hand-over", say("another company takes it over"), _handing),
        ("sell-house", say("the house was sold"), _selling),
    ):
        one = inner.add_parser(name, help=help_)
        add_place(one)
        one.add_argument("site", help=say("address, permit, number or phone of the site"))
        fill(one)
        one.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))
        one.set_defaults(do=run, contract_verb=name)


def _no_more(verb: argparse.ArgumentParser) -> None:
    """Nothing beside the site."""


def _number(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--number", metavar="N", type=int, help=say("which contract, if several"))


def _terms(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--from", dest="first", metavar="DAY", type=day_of, required=True,
                      help=say("its first day"))  # fmt: skip
    verb.add_argument("--last", metavar="DAY", type=day_of, help=say("its last day"))
    verb.add_argument("--price", metavar="AMOUNT", help=say("price a year, such as 385.00"))
    verb.add_argument("--visits", metavar="N", type=int, default=3, help=say("visits a year"))
    verb.add_argument("--rolling", action="store_true",
                      help=say("count each window from the last inspection"))  # fmt: skip
    verb.add_argument("--response-hours", metavar="N", type=int,
                      help=say("hours to answer a complaint"))  # fmt: skip
    verb.add_argument("--system", metavar="NAME", action="append", default=[],
                      help=say("label or permit, where several systems stand there"))  # fmt: skip
    verb.add_argument("--first-policy", action="store_true",
                      help=say("initial service policy of a new system"))  # fmt: skip
    verb.add_argument("--draft", action="store_true", help=say("not signed yet"))


def _changing(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--price", metavar="AMOUNT", help=say("price a year, such as 385.00"))
    verb.add_argument("--visits", metavar="N", type=int, help=say("visits a year"))
    verb.add_argument("--response-hours", metavar="N", type=int,
                      help=say("hours to answer a complaint"))  # fmt: skip
    verb.add_argument("--copy-sent", metavar="DAY", type=day_of,
                      help=say("when the copy went to the authority"))  # fmt: skip
    _number(verb)


def _taking(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--company", metavar="NAME", required=True,
                      help=say("who looked after it before"))  # fmt: skip
    _terms(verb)


def _ending(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--last", metavar="DAY", type=day_of, required=True,
                      help=say("the last day that it covers"))  # fmt: skip
    verb.add_argument("--why", default="", help=say("why it ends"))
    _number(verb)


def _handing(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--company", metavar="NAME", required=True, help=say("who takes it over"))
    _ending(verb)


def _selling(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--on", metavar="DAY", type=day_of, required=True,
                      help=say("from this day on it is the buyer's"))  # fmt: skip
    verb.add_argument("--buyer", metavar="NAME", required=True, help=say("who bought it"))
    verb.add_argument("--phone", metavar="NUMBER", action="append", default=[],
                      help=say("of the buyer"))  # fmt: skip
    verb.add_argument("--contract", choices=("moves", "ends"), default="moves",
                      help=say("whether the buyer keeps the contract"))  # fmt: skip
