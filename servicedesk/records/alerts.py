"""Alerts that were raised, with their evidence as of then."""

from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Logged, ref


class Alert(Logged):
    """An alert. It never silently disappears: it is dealt with, by somebody, somehow."""

    __tablename__ = "alert"
    kind_of: Mapped[str]  # repeat, pattern
    site_id: Mapped[int | None] = ref("site", optional=True)
    system_id: Mapped[int | None] = ref("system", optional=True)
    model_id: Mapped[int | None] = ref("unit_model", optional=True)
    symptom: Mapped[str] = mapped_column(default="")  # symptom id; "": several or none
    call_id: Mapped[int | None] = ref("call", optional=True)  # on which it was last raised
    raised_at: Mapped[datetime]
    since_on: Mapped[date | None]
    level: Mapped[str] = mapped_column(default="watch")  # watch, act
    evidence: Mapped[dict[str, Any]] = mapped_column(default=dict)
    state: Mapped[str] = mapped_column(default="open")  # open, seen, put off, settled
    put_off_until: Mapped[date | None]
    dealt_by: Mapped[str] = mapped_column(default="")
    dealt_at: Mapped[datetime | None]
    dealt_why: Mapped[str] = mapped_column(default="")
    judged: Mapped[str] = mapped_column(default="")  # right, wrong; "": nobody said
    # the newest call there when it was settled: one that came after it opens the alert again
    settled_call_id: Mapped[int | None] = ref("call", optional=True)
