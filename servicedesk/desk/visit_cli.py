"""`servicedesk visit`: plan a visit from the shell. What it needs is loaded when it is asked."""

import argparse
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from servicedesk.desk.usual import VISIT_KINDS
from servicedesk.desk.verb_options import Tell, add_place, day_of, desk_of
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

if TYPE_CHECKING:
    from servicedesk.desk.office import Desk
    from servicedesk.desk.visits import NewVisit, PlannedVisit


def add_visit_verb(verbs: Any, *, tell: Tell, print_json: Callable[[Any], None]) -> None:
    """`visit` with its options."""
    verb = verbs.add_parser("visit", help=say("plan a visit to a site"))
    add_place(verb)
    verb.add_argument("site", metavar="SITE", help=say("address, permit, number or phone"))
    verb.add_argument(
        "--on", metavar="DAY", type=day_of, help=say("the day (default: none yet, it waits)")
    )
    verb.add_argument(
        "--kind",
        choices=VISIT_KINDS,
        default="inspection",
        help=say("what to do there (default: inspection)"),
    )
    verb.add_argument(
        "--technician",
        metavar="NAME",
        help=say("who comes: on a day it is held with them, else a wish"),
    )
    verb.add_argument(
        "--held-at", metavar="TIME", help=say("begins exactly then, such as 9:30; needs both above")
    )
    verb.add_argument(
        "--system",
        metavar="PERMIT",
        help=say("which system, by permit or name, if several stand there"),
    )
    verb.add_argument(
        "--apart", action="store_true", help=say("a stop of its own, not joined with others there")
    )
    verb.add_argument("--note", metavar="TEXT", default="", help=say("a line for whoever comes"))
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))

    def run(chosen: argparse.Namespace) -> int:
        return visit_from_shell(chosen, tell=tell, print_json=print_json)

    verb.set_defaults(do=run)


def visit_from_shell(
    chosen: argparse.Namespace, *, tell: Tell, print_json: Callable[[Any], None]
) -> int:
    """Plan it and say what was planned, in lines or as JSON. Exit code 0.

    Raises Trouble for what nobody knows and what cannot be, with every sentence at once.
    """
    from servicedesk.desk.checking import WrongEntry, all_at_once
    from servicedesk.desk.second_opinion import site_named
    from servicedesk.desk.visits import NewVisit, plan_visit

    desk = desk_of(chosen)
    site_id = site_named(desk, chosen.site)
    entry = NewVisit(
        site_id=site_id,
        on=chosen.on,
        kind=chosen.kind,
        system_id=_system(desk, site_id, chosen.system),
        technician_id=_technician(desk, chosen.technician),
        held_at_min=_minute(chosen.held_at),
        note=chosen.note,
        apart=chosen.apart,
    )
    try:
        planned = plan_visit(desk, entry)
    except WrongEntry as wrong:
        raise all_at_once(wrong) from wrong
    if chosen.json:
        print_json(_told(entry, planned))
    else:
        tell(*_lines(desk, entry, planned))
    return 0


def _technician(desk: "Desk", name: str | None) -> int | None:
    from servicedesk.desk.period import named_technicians

    return None if name is None else named_technicians(desk, [name])[0]


def _system(desk: "Desk", site_id: int, name: str | None) -> int | None:
    from servicedesk.desk.visits import systems_there

    if name is None:
        return None
    known = systems_there(desk, site_id)
    for system_id, words in known.items():
        if name.strip().casefold() in {one.casefold() for one in words}:
            return system_id
    names = ", ".join(words[0] for words in known.values())
    raise Trouble(
        say("No system called {name} stands there.", name=name),
        do=say("Known are: {names}.", names=names),
    )


def _minute(text: str | None) -> int | None:
    from servicedesk.desk.writeup_read import minute_of

    if text is None:
        return None
    minute = minute_of(text)
    if minute is None:
        raise Trouble(say("{text} is not a time; write it like 9:30.", text=text))
    return minute


def _lines(desk: "Desk", entry: "NewVisit", planned: "PlannedVisit") -> list[str]:
    from servicedesk.words.jobs import kind_text

    f = desk.formats
    parts = [f.weekday(entry.on) if entry.on is not None else say("no day yet")]
    if entry.technician_id is not None:
        parts.append(_name(desk, entry))
    if entry.held_at_min is not None:
        parts.append(say("held at {time}", time=f.time(entry.held_at_min)))
    head = say(
        "Planned: {what} at {address}, {when}",
        what=kind_text(entry.kind),
        address=planned.address,
        when=", ".join(parts),
    )
    lines = [head]
    if planned.joined:
        lines.append(say("It joins the stop that is planned there."))
    return [*lines, *planned.notes, say("It can be taken back in one step.")]


def _name(desk: "Desk", entry: "NewVisit") -> str:
    """Who comes, or is wished for where no day is known yet."""
    from servicedesk.desk.office import technicians_at

    people = technicians_at(desk, entry.on or desk.today)
    name = next((p.short_name for p in people if p.id == entry.technician_id), "")
    if entry.on is None:
        return say("wished for: {name}", name=name)
    return say("with {name}", name=name)


def _told(entry: "NewVisit", planned: "PlannedVisit") -> dict[str, Any]:
    return {
        "visit_id": planned.visit_id,
        "change_id": planned.changed.change_id,
        "site_id": entry.site_id,
        "address": planned.address,
        "kind": entry.kind,
        "on": entry.on,
        "technician_id": entry.technician_id,
        "held_at_min": entry.held_at_min,
        "joined": planned.joined,
        "notes": planned.notes,
    }
