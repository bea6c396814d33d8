"""Keeps slow conclusions in this process until anything in the store changes.

Only a convenience: dropping everything kept changes no figure (tested).
"""

from collections.abc import Callable
from typing import TypeVar

from servicedesk.desk.office import Desk
from servicedesk.records.undo import latest_change_id, latest_touch_of

T = TypeVar("T")
MOST_KEPT = 16


def cached(desk: Desk, key: tuple[object, ...], compute: Callable[[], T]) -> T:
    """What `compute` gives, kept under `key` until the next change by anybody."""
    with desk.store.read() as session:
        stamp = latest_change_id(session)
    return _kept(desk, key, stamp, compute)


def cached_for(desk: Desk, table: str, key: tuple[object, ...], compute: Callable[[], T]) -> T:
    """As `cached`, for what follows from the rows of one table alone: kept until one changes."""
    with desk.store.read() as session:
        stamp = latest_touch_of(session, table)
    return _kept(desk, key, stamp, compute)


def _kept(desk: Desk, key: tuple[object, ...], stamp: object, compute: Callable[[], T]) -> T:
    kept = desk.store.conclusions
    found = kept.get(key)
    if found is not None and found[0] == stamp:
        value: T = found[1]
        return value
    value = compute()
    if len(kept) >= MOST_KEPT:
        kept.clear()
    kept[key] = (stamp, value)
    return value
