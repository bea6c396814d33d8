"""Keeps slow conclusions in this process until anything in the store changes.

Only a convenience: dropping everything kept changes no figure (tested). The slowest are also kept
in files, from one session to the next (`desk.conclusion_files`).
"""

from collections.abc import Callable, Iterable
from typing import TypeVar

from servicedesk.desk.conclusion_files import NOTHING, files_of, seal_of
from servicedesk.desk.office import Desk
from servicedesk.records.change_marks import latest_mark
from servicedesk.records.undo import latest_change_id, latest_touch_of

T = TypeVar("T")
MOST_KEPT = 16


def cached(desk: Desk, key: tuple[object, ...], compute: Callable[[], T]) -> T:
    """What `compute` gives, kept under `key` until the next change by anybody."""
    with desk.store.read() as session:
        stamp = latest_change_id(session)
    return _kept(desk, key, stamp, compute)


def cached_for(
    desk: Desk, tables: tuple[str, ...], key: tuple[object, ...], compute: Callable[[], T]
) -> T:
    """As `cached`, for what follows from the rows of these tables alone: kept until one changes."""
    with desk.store.read() as session:
        stamp = tuple(latest_touch_of(session, table) for table in tables)
    return _kept(desk, key, stamp, compute)


def _kept(desk: Desk, key: tuple[object, ...], stamp: object, compute: Callable[[], T]) -> T:
    kept = desk.store.conclusions
    found = kept.get(key)
    if found is not None and found[0] == stamp:
        value: T = found[1]
        return value
    value = compute()
    kept.pop(key, None)  # what was computed last stands last
    while len(kept) >= MOST_KEPT:
        kept.pop(next(iter(kept)), None)
    kept[key] = (stamp, value)
    return value


def remembered(
    desk: Desk, key: tuple[object, ...], compute: Callable[[], T], holds: Iterable[type]
) -> T:
    """As `cached`, and the latest one also beside the store for the next session.

    One file is kept for each first part of a key. `holds`: every class of ours within the value.
    """
    return cached(desk, key, lambda: _from_file(desk, key, compute, holds))


def _from_file(
    desk: Desk, key: tuple[object, ...], compute: Callable[[], T], holds: Iterable[type]
) -> T:
    files = files_of(desk.store)
    if files is None:
        return compute()
    with desk.store.read() as session:
        seal = seal_of(desk.store, key, latest_mark(session))
    name = str(key[0])
    value: T = files.read(name, seal, holds)
    if value is NOTHING:
        value = compute()
        files.write(name, seal, value)
    return value
