"""Looks a whole store over: the file itself, references, the log, kept papers."""

import hashlib
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import exists, func, select
from sqlalchemy.orm import Session, aliased

from servicedesk.records.attachments import Attachment
from servicedesk.records.base import Kind
from servicedesk.records.changes import ChangeItem
from servicedesk.records.errors import sqlite_trouble
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.store import Store
from servicedesk.records.tables import models
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class Health:
    """What the check of a store found: row counts and, if any, what is wrong in words."""

    rows: dict[str, int]
    faults: tuple[str, ...]


def check(store: Store) -> Health:
    """Look the whole store over. Changes nothing."""
    faults = _file_faults(Path(store.place)) if store.is_file else []
    with store.read() as session:
        rows = {m.__tablename__: session.scalar(select(func.count(m.id))) or 0 for m in models()}
        faults += _orphans(session, rows)
        faults += _log_faults(session)
        for what, sha256 in kept_content(session):
            try:
                whole = hashlib.sha256(store.content.get(sha256)).hexdigest() == sha256
            except KeyError:
                faults.append(say("The bytes of one {what} are missing.", what=what))
            else:
                if not whole:
                    faults.append(say("The bytes of one {what} were altered.", what=what))
    return Health(rows, tuple(faults))


def kept_content(session: Session) -> Iterator[tuple[str, str]]:
    """What is kept by its hash: the kind of record in words, and the SHA-256."""
    for model in (PaperSent, Attachment):
        column = model.__table__.c.sha256
        for sha256 in session.scalars(select(column).where(column.is_not(None)).distinct()):
            yield model.__tablename__.replace("_", " "), sha256


def _file_faults(path: Path) -> list[str]:
    try:
        with closing(sqlite3.connect(path)) as connection:
            found = [r[0] for r in connection.execute("PRAGMA integrity_check")]
    except sqlite3.Error as error:
        raise sqlite_trouble(error, str(path)) or error from error
    return [] if found == ["ok"] else [say("The file is damaged: {what}", what=w) for w in found]


def _orphans(session: Session, rows: dict[str, int]) -> list[str]:
    faults = []
    for model in models():
        if not rows[model.__tablename__]:
            continue
        for column in model.__table__.columns:
            for key in column.foreign_keys:
                target = key.column.table.alias()
                lost = select(func.count()).where(
                    column.is_not(None), ~exists().where(target.c.id == column)
                )
                n = session.scalar(lost.select_from(model.__table__)) or 0
                if n:
                    faults.append(
                        say(
                            "{n} of {table} point to a {target} that is not there.",
                            n=n,
                            table=model.__tablename__.replace("_", " "),
                            target=key.column.table.name.replace("_", " "),
                        )
                    )
    return faults


def _log_faults(session: Session) -> list[str]:
    """A row that the log made and never removed must be there, and the other way round."""
    faults = []
    logged = set(session.scalars(select(ChangeItem.table_name).distinct()))
    for model in models(Kind.LOGGED, Kind.SECRET, Kind.LEDGER):
        table = model.__tablename__
        if table not in logged:
            continue
        later = aliased(ChangeItem)
        last = select(ChangeItem.row_id).where(
            ChangeItem.table_name == table,
            ~exists().where(
                later.table_name == table,
                later.row_id == ChangeItem.row_id,
                later.id > ChangeItem.id,
            ),
        )
        there = select(model.id)
        lost = last.where(ChangeItem.op != "removed", ChangeItem.row_id.not_in(there))
        risen = last.where(ChangeItem.op == "removed", ChangeItem.row_id.in_(there))
        wrong = (session.scalar(query.limit(1)) is not None for query in (lost, risen))
        if any(wrong):
            faults.append(say("The rows of {table} are not what the log says.", table=table))
    return faults
