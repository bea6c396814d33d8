"""`servicedesk absent`: somebody is away or leaves, from the shell."""

import argparse
from collections.abc import Callable
from datetime import timedelta
from typing import Any

from servicedesk.desk.absence import Absence, GoesTo, absence, take_absence
from servicedesk.desk.office import Desk, technicians_at
from servicedesk.desk.verb_options import Tell, desk_of
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

DONE, LOOK = 0, 1


def absent_from_shell(
    chosen: argparse.Namespace, *, tell: Tell, print_json: Callable[[Any], None]
) -> int:
    """What it would do in lines or as JSON, or done; exit code 1 where stops are left waiting."""
    desk = desk_of(chosen)
    first = chosen.first or desk.today
    until = None if chosen.for_good else (chosen.last or first) + timedelta(days=1)
    asked = absence(desk, technician_named(desk, chosen.name), first, until, why=chosen.why)
    if chosen.take:
        take_absence(desk, asked)
    if chosen.json:
        print_json(shown(asked))
    else:
        tell(*absence_lines(asked, desk), *([] if chosen.take else [_hint()]))
    return LOOK if asked.waiting else DONE


def technician_named(desk: Desk, name: str) -> int:
    """The key of the one technician of today that a name names. Raises Trouble else."""
    wanted = name.strip().casefold()
    people = technicians_at(desk, desk.today)
    found = [p for p in people if wanted in (p.name.casefold(), p.short_name.casefold())]
    found = found or [p for p in people if p.name.casefold().startswith(wanted)]
    if len(found) != 1:
        raise Trouble(
            say("No one technician is called “{name}”.", name=name),
            do=say("Choose one of: {names}.", names=", ".join(p.name for p in people))
            if people
            else say("Nobody works here on that day: see the technicians in Set up."),
            exit_code=2,
        )
    return found[0].id


def shown(asked: Absence) -> dict[str, Any]:
    """The answer for people and programs, without what is kept to write it."""
    return {
        "technician_id": asked.technician_id,
        "name": asked.name,
        "first": asked.first,
        "until": asked.until,
        "rounds": asked.n_rounds,
        "stops": asked.stops,
        "holds": asked.holds,
    }


def absence_lines(asked: Absence, desk: Desk) -> list[str]:
    """Every stop with where it goes, then what else hangs on who leaves."""
    f = desk.formats
    lines = [absence_title(asked, desk)]
    lines += [f"  {goes_text(one, desk)}" for one in asked.stops]
    if not asked.stops:
        lines.append(say("No stop is planned with them."))
    n = sum(one.is_to_tell for one in asked.stops)
    if n:
        lines.append(say_n("{n} customer is to be told: see the tell list",
                           "{n} customers are to be told: see the tell list", n))  # fmt: skip
    holds = asked.holds
    lines += [say("key: {label}, {address}", label=k.label, address=k.address) for k in holds.keys]
    lines += [
        say("on {truck}: {n} × {part}", truck=holds.truck, n=n, part=name)
        for name, n in holds.parts
    ]
    lines += [say("wanted at {address}", address=address) for address in holds.wanted_at]
    lines += [say("on call from {day}", day=f.weekday(first)) for first, _ in holds.on_call]
    return lines


def absence_title(asked: Absence, desk: Desk) -> str:
    """Who is away when, and how many stops that touches."""
    first = desk.formats.weekday(asked.first)
    if asked.until is None:
        head = say("{name} leaves on {day}", name=asked.name, day=first)
    elif asked.until - timedelta(days=1) == asked.first:
        head = say("{name} away on {day}", name=asked.name, day=first)
    else:
        head = say("{name} away from {day} to {last}", name=asked.name, day=first,
                   last=desk.formats.weekday(asked.until - timedelta(days=1)))  # fmt: skip
    placed, waiting = len(asked.placed), len(asked.waiting)
    return say_n("{head}: {n} stop placed, {waiting} without a day",
                 "{head}: {n} stops placed, {waiting} without a day",
                 placed, head=head, waiting=waiting)  # fmt: skip


def goes_text(one: GoesTo, desk: Desk) -> str:
    """One stop: from when to when and with whom."""
    f = desk.formats
    was = f.weekday(one.was_on)
    if one.to_day is None or one.begins is None:
        return say(
            "{address}, {was}: no place found, waits for a day", address=one.address, was=was
        )
    words = say(
        "{address}, {was}: {who}, {day}, {begins}", address=one.address, was=was,
        who=one.to_technician, day=f.weekday(one.to_day), begins=f.time(one.begins),
    )  # fmt: skip
    return words + (", " + say("to be told") if one.is_to_tell else "")


def _hint() -> str:
    return say("Nothing was written; --take writes it.")
