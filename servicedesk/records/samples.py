"""Samples sent to a laboratory, and who signed the report of a visit."""

from datetime import date, datetime

from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Logged, Uid, ref


class Sample(Logged):
    """One sample for one test. Without `known_at` its result is awaited."""

    __tablename__ = "sample"
    uid: Mapped[Uid]
    system_id: Mapped[int] = ref("system")
    visit_id: Mapped[int | None] = ref("visit", optional=True)
    item_id: Mapped[str]  # what it is tested for: id of the readings' samples
    taken_on: Mapped[date] = mapped_column(index=True)
    taken_by: Mapped[str] = mapped_column(default="")
    laboratory_id: Mapped[int | None] = ref("firm", optional=True)
    laboratory_number: Mapped[str] = mapped_column(default="")  # as the laboratory calls it
    expected_on: Mapped[date]
    rule_id: Mapped[str | None]
    rule_version: Mapped[str | None]
    limit_low: Mapped[str | None]  # as the rule stood on the day it was taken
    limit_high: Mapped[str | None]
    known_at: Mapped[datetime | None]
    value: Mapped[str] = mapped_column(default="")  # exact decimal text
    unit: Mapped[str] = mapped_column(default="")
    qualifier: Mapped[str] = mapped_column(default="=")
    lost_why: Mapped[str] = mapped_column(default="")  # no result will come
    note: Mapped[str] = mapped_column(default="")


class ReportSignature(Logged):
    """Somebody looked at the report of a job and signed it; who visited is another matter."""

    __tablename__ = "report_signature"
    job_id: Mapped[int] = ref("job")
    signed_by: Mapped[str]
    license: Mapped[str] = mapped_column(default="")  # by which it was signed, as of that day
    signed_at: Mapped[datetime]
