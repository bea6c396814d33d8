"""Alerts that were raised, with their evidence as of then."""

from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Logged, ref


class Alert(Logged):
    """An alert. It never silently disappears: it is dealt with, by somebody, somehow."""

    __tablename__ = "alert"
    kind_of: Mapped[str]  # repeat, pattern
    system_id: Mapped[int | None] = ref("system", optional=True)
    model_id: Mapped[int | None] = ref("unit_model", optional=True)
    raised_at: Mapped[datetime]
    since_on: Mapped[date | None]
    level: Mapped[str] = mapped_column(default="watch")  # watch, act
    evidence: Mapped[dict[str, Any]] = mapped_column(default=dict)
    state: Mapped[str] = mapped_column(default="open")  # open, seen, put off, settled
    put_off_until: Mapped[date | None]
    dealt_by: Mapped[str] = mapped_column(default="")
    dealt_at: Mapped[datetime | None]
    dealt_why: Mapped[str] = mapped_column(default="")
