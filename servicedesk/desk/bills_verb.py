"""`servicedesk bills` with its options; what it needs is loaded when it is asked."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any

from servicedesk.desk.verb_options import Tell, add_place, day_of
from servicedesk.words import say


def add_bills_verb(
    verbs: Any,
    *,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> None:
    """The verb and its options."""
    verb = verbs.add_parser("bills", help=say("what is to be billed, was billed, is paid"))
    add_place(verb)
    verb.add_argument("--state", choices=("to-bill", "billed", "paid", "waived"),
                      help=say("only lines that stand so"))  # fmt: skip
    verb.add_argument("--out", metavar="FILE", type=Path, help=say("the list as .csv or .xlsx"))
    does = verb.add_mutually_exclusive_group()
    does.add_argument("--billed", metavar="KEY", nargs="+", help=say("these lines are billed"))
    does.add_argument("--paid", metavar="KEY", nargs="+", help=say("these lines are paid"))
    does.add_argument("--waive", metavar="KEY", nargs="+", help=say("these lines are not billed"))
    does.add_argument("--amount", metavar=("KEY", "AMOUNT"), nargs=2,
                      help=say("what a line comes to, by hand"))  # fmt: skip
    does.add_argument("--back", metavar="FILE", type=Path,
                      help=say("what a list that came back says otherwise"))  # fmt: skip
    does.add_argument("--trip-charge", metavar="AMOUNT",
                      help=say("the company's charge for a trip in vain, 0 for none"))  # fmt: skip
    does.add_argument("--since", metavar="DAY", type=day_of,
                      help=say("from which day on bills are watched here"))  # fmt: skip
    verb.add_argument("--number", metavar="NUMBER", default="", help=say("number of the bill"))
    verb.add_argument("--on", metavar="DAY", type=day_of, help=say("when (default: today)"))
    verb.add_argument("--why", default="", help=say("why it is waived"))
    verb.add_argument("--write", action="store_true",
                      help=say("with --back: write the differences"))  # fmt: skip
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))

    def run(chosen: argparse.Namespace) -> int:
        from servicedesk.desk.bills_cli import bills_from_shell

        return bills_from_shell(chosen, tell=tell, print_json=print_json)

    verb.set_defaults(do=run)
