"""Parts, where they lie, and the ledger of their moves."""

from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Kind, Logged, Record, Uid, ref


class Part(Logged):
    """An article of the company's own catalogue."""

    __tablename__ = "part"
    number: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    part_kind: Mapped[str] = mapped_column(default="")  # part kind of trade knowledge
    unit: Mapped[str] = mapped_column(default="each")
    pack: Mapped[int] = mapped_column(default=1)
    supplier_id: Mapped[int | None] = ref("firm", optional=True)
    supplier_number: Mapped[str] = mapped_column(default="")
    barcode: Mapped[str] = mapped_column(default="")
    reorder_at: Mapped[int | None]
    lead_days: Mapped[int | None]  # from order to arrival
    ended_on: Mapped[date | None]


class PartPrice(Logged):
    """Cost and price of a part from a day on: old visits keep old prices."""

    __tablename__ = "part_price"
    part_id: Mapped[int] = ref("part")
    from_on: Mapped[date]
    cost_minor: Mapped[int | None]
    price_minor: Mapped[int | None]


class StockPlace(Logged):
    """Where parts lie: the shelf or a truck."""

    __tablename__ = "stock_place"
    name: Mapped[str]
    truck_id: Mapped[int | None] = ref("truck", optional=True)
    ended_on: Mapped[date | None]


class StockMove(Record):
    """One move of one part. Append only: what was written stays, its undo is the opposite move."""

    __tablename__ = "stock_move"
    kind = Kind.LEDGER
    uid: Mapped[Uid]
    part_id: Mapped[int] = ref("part")
    why: Mapped[str]  # bought, moved, used, returned, counted, scrapped, claimed, undone
    quantity: Mapped[int]  # above zero; zero of a count that agrees with the book
    from_place_id: Mapped[int | None] = ref("stock_place", optional=True)  # None: from outside
    to_place_id: Mapped[int | None] = ref("stock_place", optional=True)  # None: gone
    visit_id: Mapped[int | None] = ref("visit", optional=True)
    unit_cost_minor: Mapped[int | None]
    moved_on: Mapped[date] = mapped_column(index=True)
    written_at: Mapped[datetime]
    reverses_id: Mapped[int | None] = ref("stock_move", optional=True)
    note: Mapped[str] = mapped_column(default="")
    details: Mapped[dict[str, Any]] = mapped_column(default=dict)


class PartOrder(Logged):
    """So many of one part, ordered; lines with the same number went out on one paper."""

    __tablename__ = "part_order"
    uid: Mapped[Uid]
    number: Mapped[int] = mapped_column(index=True)  # of the paper, from the counter
    part_id: Mapped[int] = ref("part")
    supplier_id: Mapped[int | None] = ref("firm", optional=True)
    quantity: Mapped[int]
    unit_cost_minor: Mapped[int | None]  # as expected when ordered
    ordered_on: Mapped[date]
    expected_on: Mapped[date | None]
    arrived_on: Mapped[date | None]
    given_up_on: Mapped[date | None]
    note: Mapped[str] = mapped_column(default="")
