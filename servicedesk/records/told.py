"""Who was told what."""

from datetime import date, datetime

from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Logged, personal, ref


class Told(Logged):
    """When, whom, by whom, how, what."""

    __tablename__ = "told"
    told_at: Mapped[datetime]
    whom: Mapped[str] = mapped_column(info={"personal": True})
    by_whom: Mapped[str] = mapped_column(default="")
    how: Mapped[str] = mapped_column(default="phone")
    what: Mapped[str | None] = personal()
    promised_on: Mapped[date | None]  # a day told is a promise
    site_id: Mapped[int | None] = ref("site", optional=True)
    customer_id: Mapped[int | None] = ref("customer", optional=True)
    call_id: Mapped[int | None] = ref("call", optional=True)
    visit_id: Mapped[int | None] = ref("visit", optional=True)
    owed_id: Mapped[int | None] = ref("owed", optional=True)
    alert_id: Mapped[int | None] = ref("alert", optional=True)
