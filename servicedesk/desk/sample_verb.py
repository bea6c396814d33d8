"""`servicedesk sample` with its options."""

import argparse
from pathlib import Path
from typing import Any

from servicedesk.desk.verb_options import Tell, day_of
from servicedesk.words import say


def add_sample_verb(verbs: Any, *, tell: Tell) -> None:
    """An invented company."""
    verb = verbs.add_parser("sample", help=say("make the store of an invented company"))
    verb.add_argument(
        "--size",
        choices=["small", "county", "growth"],
        default="small",
        help=say("about 420, 3,000 or 10,000 sites (default: small)"),
    )
    verb.add_argument(
        "--seed", type=_seed, default=1, help=say("equal seed and day give equal rows (default: 1)")
    )
    verb.add_argument(
        "--today",
        metavar="DAY",
        type=day_of,
        default=argparse.SUPPRESS,
        help=say("made for this day (default: today)"),
    )
    verb.add_argument(
        "--out", metavar="FILE", type=Path, required=True, help=say("the store to make")
    )

    def run(chosen: argparse.Namespace) -> int:
        from servicedesk.desk.sample import make_sample_at

        n_sites = make_sample_at(chosen.out, size=chosen.size, seed=chosen.seed, day=chosen.today)
        tell(say("Made an invented company with {n} sites in {path}.", n=n_sites, path=chosen.out))
        return 0

    verb.set_defaults(do=run)


def _seed(text: str) -> int:
    try:
        return int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(
            say("{text} is not a whole number", text=repr(text))
        ) from None
