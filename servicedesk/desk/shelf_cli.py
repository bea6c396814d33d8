"""`servicedesk load` and `servicedesk shelf`: what to put on the trucks, what lies where."""

import argparse
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from servicedesk.desk.shelf_verbs import add_shelf_more
from servicedesk.desk.verb_options import Tell, add_place, add_span, desk_of, span_of
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

if TYPE_CHECKING:
    from servicedesk.desk.office import Desk

DONE, LOOK = 0, 1


def add_load_verb(
    verbs: Any,
    *,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> None:
    """`load` with its options."""
    verb = verbs.add_parser("load", help=say("what to put on each truck for a day or week"))
    add_place(verb)
    add_span(verb)
    verb.add_argument("--technician", metavar="NAME", action="append", default=[],
                      help=say("only this one's truck; may be given again"))  # fmt: skip
    verb.add_argument("--chance", metavar="PERCENT", type=_percent, default=None,
                      help=say("of finishing all at the first visit, of the most that can be "
                               "reached (default: 95)"))  # fmt: skip
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))
    verb.set_defaults(do=lambda chosen: load_from_shell(chosen, tell=tell, print_json=print_json))


def _percent(text: str) -> float:
    try:
        percent = float(text)
    except ValueError:
        percent = -1.0
    if not 0 <= percent <= 100:
        raise argparse.ArgumentTypeError(
            say("{text} is not a chance from 0 to 100", text=repr(text))
        )
    return percent / 100


def load_from_shell(
    chosen: argparse.Namespace, *, tell: Tell, print_json: Callable[[Any], None]
) -> int:
    """The pick lists in lines or as JSON. Exit code 1 where something must be bought first.

    Raises Trouble where no truck has a planned visit in these days.
    """
    from servicedesk.desk.load import SERVICE, truck_loads
    from servicedesk.desk.span_rounds import leads_named

    desk = desk_of(chosen)
    first, until = span_of(chosen, desk)
    leads = leads_named(desk, chosen.technician, first) if chosen.technician else None
    service = SERVICE if chosen.chance is None else chosen.chance
    loads = truck_loads(desk, first, until, lead_ids=leads, service=service)
    if not loads:
        raise Trouble(
            say("No truck has a planned visit in these days."),
            do=say("Plan them first: servicedesk morning, or servicedesk plan --take"),
            exit_code=LOOK,
        )
    if chosen.json:
        print_json({"loads": loads})
    else:
        from servicedesk.desk.load_text import load_lines

        tell(*[line for load in loads for line in (*load_lines(load, desk), "")][:-1])
    return LOOK if any(pick.buy for load in loads for pick in load.picks) else DONE


def add_shelf_verb(
    verbs: Any,
    *,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> None:
    """`shelf` with its options."""
    verb = verbs.add_parser("shelf", help=say("what lies where, what runs out, what to buy"))
    add_place(verb)
    verb.add_argument("--figures", action="store_true",
                      help=say("finished at the first visit, and what parts cost"))  # fmt: skip
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))
    verb.set_defaults(do=lambda chosen: shelf_from_shell(chosen, tell=tell, print_json=print_json))
    add_shelf_more(
        verb.add_subparsers(title=say("verbs"), metavar="VERB", required=False),
        tell=tell,
        print_json=print_json,
    )


def shelf_from_shell(
    chosen: argparse.Namespace, *, tell: Tell, print_json: Callable[[Any], None]
) -> int:
    """The shelf in lines or as JSON. Exit code 1 where something is to buy or below nothing."""
    from servicedesk.desk.shelf import shelf

    desk = desk_of(chosen)
    if chosen.figures:
        return _figures(chosen, desk, tell=tell, print_json=print_json)
    page = shelf(desk)
    if chosen.json:
        print_json(page)
    else:
        from servicedesk.desk.shelf_text import shelf_lines

        tell(*shelf_lines(page, desk))
    return LOOK if page.n_buy or page.n_short else DONE


def _figures(
    chosen: argparse.Namespace,
    desk: "Desk",
    *,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> int:
    from servicedesk.desk.shelf_figures import figure_lines, shelf_figures

    figures = shelf_figures(desk)
    if chosen.json:
        print_json(figures)
    else:
        tell(*figure_lines(figures, desk))
    return DONE
