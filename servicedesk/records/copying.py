"""Whole stores: backup, restore, the move between databases."""

import tempfile
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, bindparam, insert, select, update

from servicedesk.records import search
from servicedesk.records.base import Kind, Record, table_of
from servicedesk.records.changes import Change
from servicedesk.records.content import Content, FolderContent, content_of
from servicedesk.records.database import copy_sqlite, is_url
from servicedesk.records.errors import translated
from servicedesk.records.export import export
from servicedesk.records.health import Health, check, kept_content
from servicedesk.records.loading import refuse_not_empty, reset_sequences
from servicedesk.records.store import (
    Store,
    create_store,
    open_store,
    refuse_taken,
    refuse_what_is_no_store,
)
from servicedesk.records.tables import models
from servicedesk.records.where import refuse_network_share
from servicedesk.values.progress import Progress, quiet
from servicedesk.words import say

__all__ = ["Health", "backup", "check", "copy_rows", "export", "restore"]

BATCH = 2000


def backup(store: Store, target: Path) -> None:
    """A complete copy of the store as one file. Raises Trouble if something stands there."""
    refuse_taken(target)
    if store.is_file:
        with translated(str(target)):
            copy_sqlite(Path(store.place), target)
    else:
        # made under another name: what bears the name of a backup is complete
        part = target.with_name(target.name + ".copy")
        part.unlink(missing_ok=True)
        try:
            with closing(create_store(part)) as copied:
                copy_rows(store, copied)
            part.replace(target)
        finally:
            part.unlink(missing_ok=True)
    _copy_content(store, content_of(str(target), store.database))


def restore(backup_file: Path, place: str) -> Store:
    """A new store at `place` from a backup. What stands there is never written over.

    The backup stays as it is, also if it is of an older version: its copy is brought up to date.
    """
    if not is_url(place):
        refuse_taken(Path(place))
        refuse_network_share(place)
        refuse_what_is_no_store(backup_file)
        copy_sqlite(backup_file, Path(place))
        target = open_store(place)
        _copy_content_of(backup_file, target)
        return target
    with tempfile.TemporaryDirectory() as folder:
        refuse_what_is_no_store(backup_file)
        copied = Path(folder, "copy")
        copy_sqlite(backup_file, copied)
        with closing(open_store(copied)) as source:
            target = create_store(place)
            copy_rows(source, target)
    _copy_content_of(backup_file, target)
    return target


def _copy_content_of(backup_file: Path, target: Store) -> None:
    kept = FolderContent(Path(f"{backup_file}.files"))
    with target.read() as session:
        hashes = {sha256 for _, sha256 in kept_content(session)}
    for sha256 in sorted(hashes):
        _copy_one(kept, target.content, sha256)


def copy_rows(source: Store, target: Store, progress: Progress = quiet) -> None:
    """Every row of one store into an empty other one, with its keys and its history."""
    tables = models(Kind.LOGGED, Kind.LEDGER, Kind.SECRET, Kind.LOG)
    with (
        translated(target.shown),
        source._reading.connect() as old,
        target._writing.begin() as new,
    ):
        refuse_not_empty(new, target.name)
        counts = {}
        for n, model in enumerate(tables):
            progress(n, len(tables), model.__tablename__)
            counts[model.__tablename__] = [_copy_table(old, new, model), ""]
        search.rebuild(new)
        reset_sequences(new)
        new.execute(
            insert(Change).values(
                at=target.now(),
                who="servicedesk",
                what=say("Moved the store here from {place}", place=source.name),
                kind_of="load",
                counts=counts,
            )
        )


def _copy_table(old: Connection, new: Connection, model: type[Record]) -> int:
    table = table_of(model)
    # a row may point to a younger one of its own table: such pointers are set when all are there
    own = [c.key for c in table.c for key in c.foreign_keys if key.column.table is table]
    later: list[dict[str, Any]] = []
    done = 0
    rows = old.execution_options(yield_per=BATCH).execute(select(table).order_by(table.c.id))
    for some in rows.mappings().partitions(BATCH):
        plain = [dict(row) for row in some]
        for row in plain:
            forward = {name: row[name] for name in own if (row[name] or 0) > row["id"]}
            if forward:
                later.append({"row": row["id"], **{f"new_{n}": row[n] for n in own}})
                row.update(dict.fromkeys(forward))
        new.execute(insert(table), plain)
        done += len(some)
    if later:
        set_later: dict[str, Any] = {name: bindparam(f"new_{name}") for name in own}
        new.execute(update(table).where(table.c.id == bindparam("row")).values(set_later), later)
    return done


def _copy_content(source: Store, target: Content) -> None:
    with source.read() as session:
        hashes = {sha256 for _, sha256 in kept_content(session)}
    for sha256 in sorted(hashes):
        _copy_one(source.content, target, sha256)


def _copy_one(source: Content, target: Content, sha256: str) -> None:
    # a backup does not fail for what is missing already: the check of the store names it
    with suppress(KeyError):
        target.put(source.get(sha256))
