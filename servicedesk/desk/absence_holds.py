"""What else hangs on a technician who leaves: keys, the stock of the truck, sites, days on call."""

from dataclasses import dataclass
from datetime import date

from servicedesk.desk.office import Desk
from servicedesk.records import absence_rows, stock_rows
from servicedesk.records.absence_rows import KeyHeld
from servicedesk.records.company import Technician


@dataclass(frozen=True, slots=True, kw_only=True)
class Holdings:
    """Keys to hand back, parts on the usual truck with how many, addresses that want them, spans
    on call (until excluded).
    """

    keys: tuple[KeyHeld, ...] = ()
    truck: str = ""
    parts: tuple[tuple[str, int], ...] = ()
    wanted_at: tuple[str, ...] = ()
    on_call: tuple[tuple[date, date], ...] = ()


def holdings_of(desk: Desk, technician: Technician, on: date) -> Holdings:
    """Everything that somebody else must take over when they leave. Reads only."""
    with desk.store.read() as session:
        places = [
            p for p in stock_rows.places(session, desk.today)
            if p.truck_id is not None and p.truck_id == technician.truck_id
        ]  # fmt: skip
        there = {p.id for p in places}
        balances = stock_rows.balances(session)
        names = {part.id: part.name for part in stock_rows.parts(session, desk.today, ended=True)}
        return Holdings(
            keys=tuple(absence_rows.keys_held(session, technician.id)),
            truck=", ".join(p.name for p in places),
            parts=tuple(
                sorted((names.get(part, str(part)), n) for (part, at), n in balances.items()
                       if at in there)
            ),
            wanted_at=tuple(absence_rows.wanted_at(session, technician.id)),
            on_call=tuple(absence_rows.on_call_from(session, technician.id, on)),
        )  # fmt: skip
