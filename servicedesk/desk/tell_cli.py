"""`servicedesk tell`: whom to tell what about their visits, from the shell."""

import argparse
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from servicedesk.desk.out_cli import DONE, LOOK
from servicedesk.desk.verb_options import Tell, add_place, add_span, desk_of, span_of
from servicedesk.words import say, say_n

if TYPE_CHECKING:
    from servicedesk.desk.office import Desk
    from servicedesk.desk.tell_list import TellList


def add_tell_verb(
    verbs: Any,
    *,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> None:
    """`tell` with its options."""
    verb = verbs.add_parser("tell", help=say("whom to tell what about their visits"))
    add_place(verb)
    which = add_span(verb)
    which.add_argument("--changed", action="store_true",
                       help=say("only who was told something that is no longer so"))  # fmt: skip
    which.add_argument("--own-texts", action="store_true",
                       help=say("write the texts beside the store, to be edited"))  # fmt: skip
    verb.add_argument("--csv", metavar="FILE", type=Path, help=say("the list as CSV"))
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))
    verb.set_defaults(do=lambda chosen: tell_from_shell(chosen, tell=tell, print_json=print_json))


def tell_from_shell(
    chosen: argparse.Namespace, *, tell: Tell, print_json: Callable[[Any], None]
) -> int:
    """The list in lines, as CSV or JSON. Exit code 1 if somebody is still to be told."""
    from servicedesk.desk.tell_list import tell_changed, tell_csv, tell_list

    desk = desk_of(chosen)
    if chosen.own_texts:
        return _own_texts(desk, tell)
    found = tell_changed(desk) if chosen.changed else tell_list(desk, *span_of(chosen, desk))
    if chosen.csv is not None:
        from servicedesk.desk.morning import write_papers
        from servicedesk.desk.sheets import Paper

        write_papers(
            [Paper(chosen.csv.name, tell_csv(found))], chosen.csv.parent, option="--csv FILE"
        )
    if chosen.json:
        print_json({"lines": [asdict(line) for line in found.lines], "still": found.n_open})
    else:
        tell(*_lines(found))
    return LOOK if found.n_open else DONE


def _lines(found: "TellList") -> list[str]:
    from servicedesk.desk.tell_list import way_text

    lines = []
    for one in found.lines:
        mark = "✓" if one.is_told else "·"
        at = {"phone": one.number, "text": one.number, "email": one.email}.get(one.way, "")
        way = f"{way_text(one.way)} {at}".strip()
        lines.append(f"{mark} {one.day_text}  {one.address}: {one.whom} ({way}) · {one.why_text}")
        if not one.is_told:
            lines += [f"    {line}" for line in one.text.split("\n")]
        if one.note:
            lines.append(f"    ! {one.note}.")
    return [*lines, say_n("{n} still to be told", "{n} still to be told", found.n_open)]


def _own_texts(desk: "Desk", tell: Tell) -> int:
    from servicedesk.desk.tell_texts import texts_folder, write_own_texts

    paths = write_own_texts(texts_folder(desk.store.place))
    tell(say("Put these in your own words:"), *(str(path) for path in paths))
    return DONE
