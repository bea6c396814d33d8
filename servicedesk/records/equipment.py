"""What hangs in which tank, since when, and how it was wired."""

from datetime import date
from typing import Any

from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Logged, ref


class UnitModel(Logged):
    """A model in the company's own catalogue."""

    __tablename__ = "unit_model"
    component: Mapped[str]  # component id of trade knowledge
    name: Mapped[str]
    maker: Mapped[str] = mapped_column(default="")
    note: Mapped[str] = mapped_column(default="")


class Unit(Logged):
    """One installed thing. The chain of predecessors is the replacement history."""

    __tablename__ = "unit"
    system_id: Mapped[int] = ref("system")
    component: Mapped[str]  # component id of trade knowledge
    model_id: Mapped[int | None] = ref("unit_model", optional=True)
    serial: Mapped[str] = mapped_column(default="")
    state: Mapped[str] = mapped_column(default="in service")  # in service, patched, failed, removed
    installed_on: Mapped[date | None]
    installed_by: Mapped[str] = mapped_column(default="")
    removed_on: Mapped[date | None]
    removed_why: Mapped[str] = mapped_column(default="")
    warranty_until: Mapped[date | None]
    predecessor_id: Mapped[int | None] = ref("unit", optional=True)
    attributes: Mapped[dict[str, Any]] = mapped_column(
        default=dict
    )  # splice: in tank, box; sealing ...


class WireNote(Logged):
    """How something was wired, as somebody found it. Notes are no proof: test before touching."""

    __tablename__ = "wire_note"
    system_id: Mapped[int] = ref("system")
    circuit: Mapped[str]
    conductor: Mapped[str]  # color
    does: Mapped[str]
    spliced_at: Mapped[str] = mapped_column(default="")
    verified_on: Mapped[date | None]
    note: Mapped[str] = mapped_column(default="")
