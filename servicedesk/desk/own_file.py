"""Own entries as a YAML file to work on, and read back: what stands is changed, the rest added."""

import os
from collections.abc import Iterable
from pathlib import Path

import yaml

from servicedesk.desk.knowledge import OwnEntry, entries_in, own, write_own
from servicedesk.desk.office import Desk
from servicedesk.records.store import Changed
from servicedesk.trade.own import FORMAT, LISTS
from servicedesk.values.trouble import Trouble
from servicedesk.words import say


def own_as_text(entries: Iterable[OwnEntry], *, head: str = "") -> str:
    """Entries as the YAML that `entries_of_file` reads, with a line of explanation first."""
    by_kind: dict[str, list[OwnEntry]] = {}
    for one in entries:
        by_kind.setdefault(one.kind, []).append(one)
    lines = [f"# {head}"] if head else []
    lines.append(f"format: {FORMAT}")
    for name, kind in LISTS.items():
        bodies = [dict(one.body) for one in by_kind.get(kind, ())]
        if bodies:
            text = yaml.safe_dump({name: bodies}, sort_keys=False, allow_unicode=True, width=100)
            lines.append(text.rstrip())
    return "\n".join(lines) + "\n"


def write_own_file(desk: Desk, path: Path, ids: Iterable[int] | None = None) -> int:
    """Write own entries (`ids`: these; a cause takes its numbers along) to a file; how many.

    Whole or not at all. Raises Trouble where there is nothing to write or it cannot be written.
    """
    rows = own(desk)
    wanted = None if ids is None else set(ids)
    causes = {
        r.entry_id for r in rows if r.kind_of == "cause" and (wanted is None or r.id in wanted)
    }
    chosen = [
        OwnEntry(row.kind_of, row.body)
        for row in rows
        if wanted is None
        or row.id in wanted
        or (row.kind_of == "weight" and row.body.get("cause") in causes)
    ]
    if not chosen:
        raise Trouble(
            say("There are no own entries yet."), do=say("Add a cause, a check or a part first.")
        )
    head = say("Own entries of knowledge. Change them here and read the file back.")
    _write_whole(path, own_as_text(chosen, head=head))
    return len(chosen)


def read_own_file(desk: Desk, path: Path, *, note: str = "") -> Changed:
    """Take a file back: entries whose kind and id stand are written anew, others are added.

    One change. Raises Trouble for a file of another shape, WrongEntry for an entry that cannot be
    meant; then nothing is written.
    """
    entries = entries_in(path)
    if not entries:
        raise Trouble(
            say("{file} has no entries.", file=path.name),
            do=say("Write causes, checks, part_kinds, components or weights in it."),
        )
    return write_own(desk, entries, note=note or path.name)


def _write_whole(path: Path, text: str) -> None:
    beside = path.with_name(f"{path.name}.part")
    try:
        with beside.open("w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except OSError as error:
        raise Trouble(
            say("{path} cannot be written.", path=path),
            do=say("Choose a folder that is there and may be written to."),
        ) from error
