"""Puts the sample into a new store."""

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from sample_db.make import make
from sample_db.osm import write_osm
from sample_db.state import Truth
from servicedesk.records.store import create_store


@dataclass(frozen=True, slots=True)
class Summary:
    """What was made."""

    place: str
    counts: dict[str, int]  # rows by table
    truth: Truth


def make_sample(
    place: str | Path,
    *,
    size: str,
    seed: int,
    today: date,
    roads: Path | None = None,
    note: str = "",
) -> Summary:
    """Create a store at `place` (a path or a database URL) and fill it with the sample.

    One change of kind *load*. With `roads`, the island's road extract is written there. Raises
    Trouble where something stands at `place` already; KeyError for an unknown size.
    """
    rows, truth, world = make(size, seed, today, note=note)
    morning = datetime(today.year, today.month, today.day, 11, tzinfo=UTC)
    store = create_store(place, now=lambda: morning)
    try:
        store.load("sample", f"Invented sample, size {size}, seed {seed}, {today}", rows)
    finally:
        store.close()
    if roads is not None:
        write_osm(world, roads)
    return Summary(str(place), {t: len(r) for t, r in rows.items()}, truth)


def compact(path: Path) -> None:
    """Make a store file as small as it goes: small pages, no journal beside it.

    For a file that is kept beside the source and only read; the program opens it as any other.
    """
    with closing(sqlite3.connect(path)) as store:
        for line in ("PRAGMA journal_mode = DELETE", "PRAGMA page_size = 1024", "VACUUM"):
            store.execute(line)
