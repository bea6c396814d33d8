"""Questions about the company's own causes, checks and parts."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.own_entries import OwnEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnRow:
    """One own entry; `body` in the shape of the knowledge files."""

    id: int
    revision: int
    kind_of: str
    entry_id: str
    body: Mapping[str, Any]
    note: str
    ended_on: date | None


def own_entries(session: Session, *, ended: bool = False) -> list[OwnRow]:
    """The entries that stand (with `ended`: all), by the order in which they were written."""
    query = select(OwnEntry).order_by(OwnEntry.id)
    if not ended:
        query = query.where(OwnEntry.ended_on.is_(None))
    names = OwnRow.__dataclass_fields__
    return [OwnRow(**{n: getattr(row, n) for n in names}) for row in session.scalars(query)]
