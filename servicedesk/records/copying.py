"""Whole stores: backup, restore, the move between databases, the check, the export."""

import csv
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, func, insert, select

from servicedesk.records import search
from servicedesk.records.attachments import Attachment
from servicedesk.records.base import Kind, Record, table_of
from servicedesk.records.changes import Change
from servicedesk.records.database import copy_sqlite, is_url, look_at_file
from servicedesk.records.errors import sqlite_trouble, store_trouble, translated
from servicedesk.records.loading import reset_sequences
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.store import Store, create_store, open_store
from servicedesk.records.tables import models
from servicedesk.values.progress import Progress, quiet
from servicedesk.words import say

BATCH = 2000


@dataclass(frozen=True, slots=True)
class Health:
    """What the check of a store found: row counts and, if any, what is wrong in words."""

    rows: dict[str, int]
    faults: tuple[str, ...]


def check(store: Store) -> Health:
    """Look the whole store over: the file itself, references, kept papers."""
    faults: list[str] = []
    if store.is_file:
        faults += _sqlite_faults(Path(store.place))
    with store.read() as session:
        rows = {m.__tablename__: session.scalar(select(func.count(m.id))) or 0 for m in models()}
        for model in (PaperSent, Attachment):
            kept = select(model.sha256).where(model.sha256.is_not(None)).distinct()
            for sha256 in session.scalars(kept):
                try:
                    store.content.get(sha256 or "")
                except KeyError:
                    faults.append(
                        say("The bytes of a {what} are missing.", what=model.__tablename__)
                    )
    return Health(rows, tuple(faults))


def _sqlite_faults(path: Path) -> list[str]:
    connection = sqlite3.connect(path)
    try:
        found = [r[0] for r in connection.execute("PRAGMA integrity_check")]
        orphans = connection.execute("PRAGMA foreign_key_check").fetchall()
    except sqlite3.Error as error:
        raise sqlite_trouble(error, str(path)) or error from error
    finally:
        connection.close()
    faults = [] if found == ["ok"] else [say("The file is damaged: {what}", what=w) for w in found]
    return faults + [
        say("A row of {table} points to nothing.", table=table) for table, *_ in orphans
    ]


def backup(store: Store, target: Path) -> None:
    """A complete copy of the store as one file. Raises Trouble if something stands there."""
    if look_at_file(target) != "nothing":
        raise store_trouble(
            say("{path} already exists and was left as it is.", path=target),
            do=say("Choose another name for the backup."),
        )
    if not target.parent.is_dir():
        raise store_trouble(
            say("The folder {folder} does not exist.", folder=target.parent),
            do=say("Make it first, or choose another place."),
        )
    if store.is_file:
        copy_sqlite(Path(store.place), target)
        copied = open_store(target)
    else:
        copied = create_store(target)
        copy_rows(store, copied)
    try:
        _copy_content(store, copied)
    finally:
        copied.close()


def restore(backup_file: Path, place: str) -> Store:
    """A new store at `place` from a backup. What stands there is never written over."""
    source = open_store(backup_file)
    try:
        if is_url(place):
            target = create_store(place)
            copy_rows(source, target)
        else:
            if look_at_file(Path(place)) != "nothing":
                raise store_trouble(
                    say("{path} already exists and was left as it is.", path=place),
                    do=say("Restore to another name, then put it in its place."),
                )
            copy_sqlite(backup_file, Path(place))
            target = open_store(place)
        _copy_content(source, target)
    finally:
        source.close()
    return target


def copy_rows(source: Store, target: Store, progress: Progress = quiet) -> None:
    """Every row of one store into an empty other one, with its keys and its history."""
    tables = models(Kind.LOGGED, Kind.LEDGER, Kind.SECRET, Kind.LOG)
    with (
        translated(target.place),
        source.database.connect() as old,
        target._writing.begin() as new,
    ):
        if new.execute(select(func.count(Change.id))).scalar():
            raise store_trouble(
                say("{place} is not empty.", place=target.name),
                do=say("Move into a new, empty store."),
            )
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
    done = 0
    rows = old.execution_options(yield_per=BATCH).execute(select(table).order_by(table.c.id))
    for some in rows.mappings().partitions(BATCH):
        new.execute(insert(table), [dict(row) for row in some])
        done += len(some)
    return done


def _copy_content(source: Store, target: Store) -> None:
    with source.read() as session:
        hashes = [
            sha256
            for model in (PaperSent, Attachment)
            for sha256 in session.scalars(select(model.sha256).distinct())
            if sha256
        ]
    for sha256 in hashes:
        target.content.put(source.content.get(sha256))


def export(store: Store, folder: Path, progress: Progress = quiet) -> list[Path]:
    """Every record as CSV, one file a table, and one that describes each column.

    Secrets stay in the house. Cells that a spreadsheet would run are made harmless.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise store_trouble(
            say("{folder} cannot be written.", folder=folder),
            do=say("Choose a folder that you may write to."),
        ) from error
    tables = models(Kind.LOGGED, Kind.LEDGER, Kind.LOG)
    tables = tuple(m for m in tables if m.__tablename__ != "change_secret")
    written = []
    with store.read() as session:
        for n, model in enumerate(tables):
            progress(n, len(tables), model.__tablename__)
            names = [c.name for c in model.__table__.columns]
            rows = session.execute(select(model.__table__).order_by(model.__table__.c.id))
            path = folder / f"{model.__tablename__}.csv"
            _write_csv(path, names, rows)
            written.append(path)
    described = folder / "columns.csv"
    _write_csv(described, ["table", "column", "type", "points to", "about"], _descriptions(tables))
    return [*written, described]


def _write_csv(path: Path, names: list[str], rows: Any) -> None:
    part = path.with_suffix(".part")
    try:
        with part.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(names)
            writer.writerows([_harmless(value) for value in row] for row in rows)
        part.replace(path)
    except OSError as error:
        raise store_trouble(
            say("{path} cannot be written.", path=path),
            do=say("Choose a folder that you may write to and that has room."),
        ) from error


def _harmless(value: object) -> object:
    """Text that a spreadsheet would take for a formula gets an apostrophe before it."""
    if isinstance(value, str) and value[:1] in {"=", "+", "-", "@", "\t", "\r"}:
        return "'" + value
    return value


def _descriptions(tables: tuple[type[Record], ...]) -> Iterator[tuple[str, ...]]:
    for model in tables:
        about = (model.__doc__ or "").splitlines()[0]
        for column in model.__table__.columns:
            points = ", ".join(key.target_fullname for key in column.foreign_keys)
            yield (model.__tablename__, column.name, str(column.type), points, about)
