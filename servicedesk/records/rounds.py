"""One crew's day."""

from datetime import date, datetime

from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Logged, Uid, ref


class Round(Logged):
    """A date, a crew, a truck and its ordered stops (the visits that name it)."""

    __tablename__ = "round"
    uid: Mapped[Uid]
    day: Mapped[date] = mapped_column(index=True)
    lead_id: Mapped[int] = ref("technician")
    truck_id: Mapped[int | None] = ref("truck", optional=True)
    state: Mapped[str] = mapped_column(default="draft", index=True)  # draft, handed out, done
    handed_out_at: Mapped[datetime | None]
    changed_since: Mapped[bool] = mapped_column(
        default=False
    )  # the sheet they carry is no longer true
    leave_min: Mapped[int | None]
    home_min: Mapped[int | None]
    road_min: Mapped[int | None]
    break_at_min: Mapped[int | None]
    planner: Mapped[str] = mapped_column(default="")


class RoundCrew(Logged):
    """A technician who rides along; the one who leads stands on the round."""

    __tablename__ = "round_crew"
    round_id: Mapped[int] = ref("round")
    technician_id: Mapped[int] = ref("technician")
