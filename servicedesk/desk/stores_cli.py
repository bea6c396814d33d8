"""`servicedesk store VERB`: new, check, backup, restore, upgrade, export from the shell."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any

from servicedesk.desk.places_on_disk import default_store
from servicedesk.words import say, say_n

DONE, STORE = 0, 3
Tell = Callable[..., None]


def add_store_verbs(kinds: Any, *, tell: Tell, warn: Callable[[str], None]) -> None:
    """Add the six verbs to the parsers `kinds`.

    `tell` writes lines for people, `warn` says if a place is not safe for a store.
    """

    def add(name: str, about: str, do: Callable[[argparse.Namespace, str, Tell], int]) -> Any:
        verb = kinds.add_parser(name, help=about)
        verb.add_argument(
            "--store",
            metavar="FILE",
            default=argparse.SUPPRESS,
            help=say("the company's store (default: SERVICEDESK_STORE, else your data folder)"),
        )

        def run(chosen: argparse.Namespace) -> int:
            place = str(chosen.store or default_store())
            warn(place)
            return do(chosen, place, tell)

        verb.set_defaults(do=run)
        return verb

    new = add("new", say("make an empty store"), _new)
    new.add_argument("--company", metavar="NAME", default="", help=say("the company's name"))
    new.add_argument(
        "--time-zone", metavar="ZONE", default="UTC", help=say("such as America/New_York")
    )
    new.add_argument(
        "--country", metavar="CODE", default="US", help=say("two letters, for phones and dates")
    )
    add("check", say("look the whole store over"), _check)
    add("backup", say("copy it to one file"), _backup).add_argument(
        "file", type=Path, help=say("the copy to make")
    )
    add("restore", say("make it from a backup"), _restore).add_argument(
        "file", type=Path, help=say("the backup; it stays as it is")
    )
    add("upgrade", say("bring an older one up to date"), _upgrade)
    add("export", say("every record as CSV"), _export).add_argument(
        "folder", type=Path, help=say("where the files go")
    )


def _new(chosen: argparse.Namespace, place: str, tell: Tell) -> int:
    from servicedesk.desk.stores import new_store

    new_store(
        place, company=chosen.company, time_zone=chosen.time_zone, country=chosen.country.upper()
    )
    tell(say("Made an empty store: {place}", place=place))
    return DONE


def _check(_chosen: argparse.Namespace, place: str, tell: Tell) -> int:
    from servicedesk.desk.stores import check_store

    health = check_store(place)
    if health.faults:
        wrong = say_n("{n} thing is wrong.", "{n} things are wrong.", len(health.faults))
        tell(*health.faults, wrong)
        return STORE
    n = sum(health.rows.values())
    tell(say("The store is sound: {n} rows in {tables} tables.", n=n, tables=len(health.rows)))
    return DONE


def _backup(chosen: argparse.Namespace, place: str, tell: Tell) -> int:
    from servicedesk.desk.stores import backup_store

    backup_store(place, chosen.file)
    tell(say("Backed up to {path}", path=chosen.file))
    return DONE


def _restore(chosen: argparse.Namespace, place: str, tell: Tell) -> int:
    from servicedesk.desk.stores import restore_store

    restore_store(chosen.file, place)
    tell(say("Restored to {place}", place=place))
    return DONE


def _upgrade(_chosen: argparse.Namespace, place: str, tell: Tell) -> int:
    from servicedesk.desk.stores import upgrade_store

    upgrade_store(place)
    tell(say("The store is up to date."))
    return DONE


def _export(chosen: argparse.Namespace, place: str, tell: Tell) -> int:
    from servicedesk.desk.stores import export_store

    written = export_store(place, chosen.folder)
    tell(say("Wrote {n} files to {folder}", n=len(written), folder=chosen.folder))
    return DONE
