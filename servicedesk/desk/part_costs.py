"""What parts cost by system and by contract, at the cost of the day they were taken.

For renewals and for Shelf: the ledger's cost where the use was written there, else the catalogue's
of that day.
"""

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from servicedesk.desk.office import Desk
from servicedesk.records import part_cost_rows
from servicedesk.records.part_cost_rows import TakenRow

Steps = Mapping[int, Sequence[tuple[date, int | None, int | None]]]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsCost:
    """Parts taken for one system under one contract (None: not known, or under none).

    `cost_minor` in the company's currency; `unknown`: pieces without a known cost, not in it.
    `billed_cost_minor`: that part of the cost which was billable.
    """

    system_id: int | None
    contract_id: int | None
    pieces: int
    cost_minor: int
    billed_cost_minor: int
    unknown: int


def parts_costs(desk: Desk, since: date, until: date) -> tuple[PartsCost, ...]:
    """Costs of parts taken at done visits from `since` until `until` (excluded), dearest first."""
    with desk.store.read() as session:
        rows = part_cost_rows.taken(session, since, until)
        steps = part_cost_rows.price_steps(session)
    return costs_of(rows, steps)


def costs_of(rows: Iterable[TakenRow], steps: Steps) -> tuple[PartsCost, ...]:
    """The same from rows that were read: sums by system and contract."""
    found: dict[tuple[int | None, int | None], list[int]] = {}
    for row in rows:
        sums = found.setdefault((row.system_id, row.contract_id), [0, 0, 0, 0])
        each = row.move_cost_minor
        if each is None:
            each = cost_on(steps, row.part_id, row.on)
        sums[0] += row.quantity
        if each is None:
            sums[3] += row.quantity
            continue
        sums[1] += each * row.quantity
        if row.billing == "billable":
            sums[2] += each * row.quantity
    costs = [
        PartsCost(
            system_id=key[0],
            contract_id=key[1],
            pieces=sums[0],
            cost_minor=sums[1],
            billed_cost_minor=sums[2],
            unknown=sums[3],
        )
        for key, sums in found.items()
    ]
    return tuple(sorted(costs, key=lambda one: (-one.cost_minor, one.system_id or 0)))


def cost_on(steps: Steps, part_id: int | None, day: date) -> int | None:
    """The cost of a part on a day, None where none was known then."""
    own = [step for step in steps.get(part_id or 0, ()) if step[1] is not None]
    at = bisect_right([step[0] for step in own], day)
    return own[at - 1][1] if at else None
