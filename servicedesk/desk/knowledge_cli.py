"""`servicedesk knowledge`: the company's own causes, checks and parts, from and to files."""

import argparse
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

from servicedesk.desk.verb_options import add_place
from servicedesk.words import say, say_n

DONE = 0


def add_knowledge_verbs(
    kinds: Any,
    *,
    place: Callable[[argparse.Namespace], str],
    tell: Callable[..., None],
    print_json: Callable[[Any], None],
) -> None:
    """Hang check, add, list, write and read under `kinds`."""
    check = kinds.add_parser("check", help=say("look a file of own entries over, write nothing"))
    check.add_argument("file", type=Path, help=say("YAML"))
    check.set_defaults(do=lambda chosen: _check(chosen, tell))
    add = kinds.add_parser("add", help=say("write the entries of a file into the store"))
    add_place(add)
    add.add_argument("file", type=Path, help=say("YAML"))
    add.add_argument("--note", default="", help=say("where these entries come from"))
    add.set_defaults(do=lambda chosen: _add(chosen, place(chosen), tell))
    listed = kinds.add_parser("list", help=say("the company's own entries"))
    add_place(listed)
    listed.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))
    listed.set_defaults(do=lambda chosen: _list(chosen, place(chosen), tell, print_json))

    write = kinds.add_parser("write", help=say("write the own entries to a file to work on"))
    add_place(write)
    write.add_argument("file", type=Path, help=say("YAML"))
    write.set_defaults(do=lambda chosen: _write(chosen, place(chosen), tell))
    read = kinds.add_parser("read", help=say("take such a file back: change what is there, add"))
    add_place(read)
    read.add_argument("file", type=Path, help=say("YAML"))
    read.add_argument("--note", default="", help=say("where these entries come from"))
    read.set_defaults(do=lambda chosen: _read(chosen, place(chosen), tell))


def _check(chosen: argparse.Namespace, tell: Callable[..., None]) -> int:
    from servicedesk.desk.knowledge import entries_in, refuse_wrong_entries

    entries = entries_in(chosen.file)
    refuse_wrong_entries(entries)
    tell(say_n("{n} entry is well.", "{n} entries are well.", len(entries)))
    return DONE


def _add(chosen: argparse.Namespace, place: str, tell: Callable[..., None]) -> int:
    from servicedesk.desk.knowledge import add_own, entries_in
    from servicedesk.desk.office import open_desk

    desk = open_desk(place, who=chosen.who, today=chosen.today)
    entries = entries_in(chosen.file)
    add_own(desk, entries, note=chosen.note or chosen.file.name)
    tell(say_n("Added {n} entry.", "Added {n} entries.", len(entries)))
    return DONE


def _write(chosen: argparse.Namespace, place: str, tell: Callable[..., None]) -> int:
    from servicedesk.desk.office import open_desk
    from servicedesk.desk.own_file import write_own_file

    desk = open_desk(place, who=chosen.who, today=chosen.today)
    n = write_own_file(desk, chosen.file)
    tell(say_n("Wrote {n} entry to {file}.", "Wrote {n} entries to {file}.", n, file=chosen.file))
    return DONE


def _read(chosen: argparse.Namespace, place: str, tell: Callable[..., None]) -> int:
    from servicedesk.desk.knowledge import entries_in
    from servicedesk.desk.office import open_desk
    from servicedesk.desk.own_file import read_own_file

    desk = open_desk(place, who=chosen.who, today=chosen.today)
    read_own_file(desk, chosen.file, note=chosen.note)
    n = len(entries_in(chosen.file))
    tell(say_n("Took {n} entry back.", "Took {n} entries back.", n))
    return DONE


def _list(
    chosen: argparse.Namespace,
    place: str,
    tell: Callable[..., None],
    print_json: Callable[[Any], None],
) -> int:
    from servicedesk.desk.knowledge import own
    from servicedesk.desk.office import open_desk

    desk = open_desk(place, who=chosen.who, today=chosen.today)
    with closing(desk.store):
        rows = own(desk)
    if chosen.json:
        print_json(rows)
    elif rows:
        tell(*(f"{row.id}  {row.kind_of}  {row.entry_id}  {row.note}".rstrip() for row in rows))
    else:
        tell(say("No own entries yet."))
    return DONE
