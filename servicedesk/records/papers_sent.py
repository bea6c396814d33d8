"""What left the house: reports, letters, notices, byte for byte."""

from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Logged, Uid, personal, ref


class PaperSent(Logged):
    """A paper that was sent to somebody."""

    __tablename__ = "paper_sent"
    uid: Mapped[Uid]
    number: Mapped[int | None] = mapped_column(unique=True)  # from the counter, never reused
    kind_of: Mapped[str]  # inspection report, could not inspect, offer, notice, contract copy, ...
    sha256: Mapped[str | None] = mapped_column(index=True)  # its bytes
    visit_id: Mapped[int | None] = ref("visit", optional=True)
    job_id: Mapped[int | None] = ref("job", optional=True)
    contract_id: Mapped[int | None] = ref("contract", optional=True)
    system_id: Mapped[int | None] = ref("system", optional=True)
    to_kind: Mapped[str] = mapped_column(default="owner")  # owner, authority, maker
    to_whom: Mapped[str | None] = personal()
    how: Mapped[str] = mapped_column(default="paper")
    sent_at: Mapped[datetime]
    confirmation: Mapped[str] = mapped_column(default="")
    signed_by: Mapped[str] = mapped_column(default="")
    licenses: Mapped[list[Any]] = mapped_column(default=list)  # as of that day
    due_on: Mapped[date | None]
    corrects_id: Mapped[int | None] = ref("paper_sent", optional=True)


class BillLine(Logged):
    """Something to bill, and what became of it."""

    __tablename__ = "bill_line"
    site_id: Mapped[int] = ref("site")
    customer_id: Mapped[int | None] = ref("customer", optional=True)
    contract_id: Mapped[int | None] = ref("contract", optional=True)
    job_id: Mapped[int | None] = ref("job", optional=True)
    visit_id: Mapped[int | None] = ref("visit", optional=True)  # of a trip charge
    part_line_id: Mapped[int | None] = ref("part_line", optional=True)
    kind_of: Mapped[str] = mapped_column(default="")  # renewal, job, part, trip
    text: Mapped[str]
    amount_minor: Mapped[int]
    since_on: Mapped[date]
    state: Mapped[str] = mapped_column(default="to bill")  # to bill, billed, paid, waived
    bill_number: Mapped[str] = mapped_column(default="")
    billed_on: Mapped[date | None]
    paid_on: Mapped[date | None]
    waived_why: Mapped[str] = mapped_column(default="")
