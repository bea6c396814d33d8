"""What was only patched or promised and is not yet done."""

from datetime import date
from typing import Any

from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Logged, ref


class Owed(Logged):
    """Work still owed. Shown on every later visit until settled."""

    __tablename__ = "owed"
    site_id: Mapped[int] = ref("site")
    system_id: Mapped[int | None] = ref("system", optional=True)
    unit_id: Mapped[int | None] = ref("unit", optional=True)
    visit_id: Mapped[int | None] = ref("visit", optional=True)  # where it began
    since_on: Mapped[date]
    what: Mapped[str]
    workaround: Mapped[str] = mapped_column(default="")
    needs: Mapped[str] = mapped_column(default="")
    needs_parts: Mapped[list[Any]] = mapped_column(default=list)
    by_on: Mapped[date | None]
    debtor: Mapped[str] = mapped_column(default="us")
    # us, owner, tenant, installer, supplier, hauler, electrician, authority
    waits_for: Mapped[str] = mapped_column(default="")  # approval, part, weather, other firm, day
    estimate_minor: Mapped[int | None]
    estimate_sent_on: Mapped[date | None]
    answer: Mapped[str] = mapped_column(default="")  # approved, declined
    answered_by: Mapped[str] = mapped_column(default="")
    answered_how: Mapped[str] = mapped_column(default="")
    state: Mapped[str] = mapped_column(default="open", index=True)  # open, settled, declined
    settled_on: Mapped[date | None]
    settled_visit_id: Mapped[int | None] = ref("visit", optional=True)
    minutes: Mapped[int | None]  # expected on site
