"""Writes every record in open formats: the data is never locked in."""

import csv
import json
from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import select

from servicedesk.records.base import Kind, Record
from servicedesk.records.content import FolderContent
from servicedesk.records.errors import file_trouble
from servicedesk.records.health import kept_content
from servicedesk.records.store import Store
from servicedesk.records.tables import models
from servicedesk.values.progress import Progress, quiet
from servicedesk.words import say

DESCRIBED = ["table", "column", "type", "points to", "empty allowed", "meaning", "table holds"]


def export(store: Store, folder: Path, progress: Progress = quiet) -> list[Path]:
    """Every record as CSV, one file a table, one that describes each column, and kept papers.

    Secrets stay in the house. Cells that a spreadsheet would run are made harmless. Returns the
    paths of the CSV files. Raises Trouble where `folder` cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise file_trouble(error, folder) from error
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
        for _what, sha256 in kept_content(session):
            try:
                FolderContent(folder / "files").put(store.content.get(sha256))
            except KeyError:
                continue  # the check of the store names what is missing
    described = folder / "columns.csv"
    _write_csv(described, DESCRIBED, _descriptions(tables))
    return [*written, described]


def _write_csv(path: Path, names: list[str], rows: Any) -> None:
    part = path.with_suffix(".part")
    try:
        with part.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(names)
            writer.writerows([cell(value) for value in row] for row in rows)
        part.replace(path)
    except OSError as error:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise file_trouble(error, path) from error


def cell(value: object) -> object:
    """A column value as the text of a cell: JSON for lists, ISO 8601 for instants.

    Text that a spreadsheet would take for a formula gets an apostrophe before it.
    """
    if isinstance(value, dict | list):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, str) and value[:1] in {"=", "+", "-", "@", "\t", "\r"}:
        return "'" + value
    return value


def _descriptions(tables: tuple[type[Record], ...]) -> Iterator[tuple[str, ...]]:
    for model in tables:
        about = (model.__doc__ or "").splitlines()[0]
        for column in model.__table__.columns:
            points = ", ".join(key.target_fullname for key in column.foreign_keys)
            empty = say("yes") if column.nullable else say("no")
            table = model.__tablename__
            yield (table, column.name, str(column.type), points, empty, _meaning(column), about)


def _meaning(column: Any) -> str:
    """What the value means and in which unit; names follow one scheme in all tables."""
    name = column.name
    whole = {
        "id": say("the key of the row; never given out twice"),
        "uid": say("a name of the record that holds outside this store too"),
        "revision": say("how often the row was changed"),
        "number": say("the number people say aloud"),
        "own_number": say("the number in the company's own list"),
        "kind_of": say("which kind"),
        "state": say("how it stands"),
        "sha256": say("SHA-256 of the bytes, which lie under files/ by that name"),
    }
    ends = {
        "_id": say("the key of the row it belongs to"),
        "_at": say("an instant, UTC"),
        "_on": say("a calendar day"),
        "_from": say("the first day"),
        "_until": say("the day after the last one"),
        "_from_min": say("minutes after local midnight, the beginning"),
        "_until_min": say("minutes after local midnight, the end"),
        "_at_min": say("minutes after local midnight"),
        "_min": say("minutes; of a day: after local midnight"),
        "_minor": say("money in the smallest unit of the company's currency"),
        "_deg": say("degrees, WGS 84"),
        "_gal": say("US gallons"),
        "_gpd": say("US gallons a day"),
        "_kmh": say("kilometers an hour"),
        "_days": say("days"),
        "_months": say("months"),
        "_hours": say("hours"),
    }
    fitting = [end for end in ends if name.endswith(end)]
    words = whole.get(name) or (ends[max(fitting, key=len)] if fitting else name.replace("_", " "))
    if column.info.get("personal"):
        words = say("{meaning} (about a person)", meaning=words)
    return words
