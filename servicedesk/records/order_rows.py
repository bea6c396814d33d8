"""Questions about parts that were ordered: what is on its way, and the papers it went out on."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from servicedesk.records.parts import Part, PartOrder
from servicedesk.records.people import Firm


@dataclass(frozen=True, slots=True)
class Coming:
    """How many of a part are on their way, and when the first of them should come."""

    quantity: int = 0
    expected_on: date | None = None


NOTHING = Coming()


def coming(session: Session) -> dict[int, Coming]:
    """What is on its way, by part."""
    query = (
        select(PartOrder.part_id, func.sum(PartOrder.quantity), func.min(PartOrder.expected_on))
        .where(PartOrder.arrived_on.is_(None), PartOrder.given_up_on.is_(None))
        .group_by(PartOrder.part_id)
    )
    return {row[0]: Coming(int(row[1]), row[2]) for row in session.execute(query)}


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderRow:
    """One line of an order, with the names of its part and supplier ("" where none is kept)."""

    id: int
    revision: int
    number: int
    part_id: int
    part_number: str
    part_name: str
    unit: str
    supplier_id: int | None
    supplier: str
    supplier_number: str
    quantity: int
    unit_cost_minor: int | None
    ordered_on: date
    expected_on: date | None
    arrived_on: date | None
    given_up_on: date | None
    note: str

    @property
    def is_open(self) -> bool:
        """Is it still on its way?"""
        return self.arrived_on is None and self.given_up_on is None


def orders(
    session: Session, *, number: int | None = None, only_open: bool = False
) -> list[OrderRow]:
    """Lines of orders, the oldest first; of one paper if its `number` is given."""
    query = (
        select(PartOrder, Part, Firm.name)
        .join(Part, Part.id == PartOrder.part_id)
        .outerjoin(Firm, Firm.id == PartOrder.supplier_id)
        .order_by(PartOrder.number, PartOrder.id)
    )
    if number is not None:
        query = query.where(PartOrder.number == number)
    if only_open:
        query = query.where(PartOrder.arrived_on.is_(None), PartOrder.given_up_on.is_(None))
    own = (
        "id", "revision", "number", "part_id", "supplier_id", "quantity", "unit_cost_minor",
        "ordered_on", "expected_on", "arrived_on", "given_up_on", "note",
    )  # fmt: skip
    return [
        OrderRow(
            **{name: getattr(order, name) for name in own},
            part_number=part.number,
            part_name=part.name,
            unit=part.unit,
            supplier=firm or "",
            supplier_number=part.supplier_number,
        )
        for order, part, firm in session.execute(query)
    ]
