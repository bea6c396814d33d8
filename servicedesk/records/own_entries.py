"""The company's own causes, checks and parts, beside the fault knowledge of the program."""

from datetime import date
from typing import Any

from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Logged


class OwnEntry(Logged):
    """One entry, in the shape in which the knowledge files write it; `trade.own` reads it."""

    __tablename__ = "own_entry"
    kind_of: Mapped[str] = mapped_column(index=True)
    # component, part_kind, check, cause, weight (of a cause under a symptom)
    entry_id: Mapped[str] = mapped_column(index=True)  # of a weight: symptom and cause
    body: Mapped[dict[str, Any]] = mapped_column(default=dict)
    note: Mapped[str] = mapped_column(default="")  # where it comes from
    ended_on: Mapped[date | None]
