"""Maintenance contracts and which systems they cover."""

from datetime import date

from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Logged, Uid, ref


class Contract(Logged):
    """A maintenance contract over a span of days."""

    __tablename__ = "contract"
    uid: Mapped[Uid]
    number: Mapped[int] = mapped_column(unique=True)  # from the counter, never reused
    own_number: Mapped[str | None] = mapped_column(index=True)
    holder_id: Mapped[int] = ref("customer")
    from_on: Mapped[date] = mapped_column(index=True)
    until_on: Mapped[date] = mapped_column(index=True)  # excluded
    stage: Mapped[str] = mapped_column(default="running")  # draft, running
    is_first_policy: Mapped[bool] = mapped_column(default=False)  # initial service policy
    visits_a_year: Mapped[int] = mapped_column(default=3)
    counting: Mapped[str] = mapped_column(
        default="fixed"
    )  # fixed in the period; rolling from the last visit
    tolerance_days: Mapped[int] = mapped_column(default=14)  # early by so much still counts
    longest_gap_months: Mapped[int | None]
    response_hours: Mapped[int | None]
    approval_limit_minor: Mapped[int | None]  # work without asking up to this
    price_minor: Mapped[int | None]  # a year
    billing: Mapped[str] = mapped_column(default="yearly")
    copy_sent_on: Mapped[date | None]  # to the authority
    follows_id: Mapped[int | None] = ref("contract", optional=True)  # renewal chain
    taken_from_id: Mapped[int | None] = ref("firm", optional=True)  # another company's before
    handed_to_id: Mapped[int | None] = ref("firm", optional=True)  # another company's after
    ended_on: Mapped[date | None]
    ended_why: Mapped[str] = mapped_column(default="")
    note: Mapped[str] = mapped_column(default="")


class ContractSystem(Logged):
    """One system that a contract covers."""

    __tablename__ = "contract_system"
    contract_id: Mapped[int] = ref("contract")
    system_id: Mapped[int] = ref("system")
