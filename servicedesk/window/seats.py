"""Who sits at this computer: kept for each store, asked anew where it can no longer be right."""

import hashlib
from pathlib import Path

from PySide6.QtCore import QSettings

from servicedesk.window.office import Office, SeatsSeen


def take_kept_seat(office: Office) -> None:
    """Sit down where this person sat last at this store; may run on the worker.

    Key and name must both be as they were: a store put in the place of another never lets a
    stranger sign. Nobody sits down where the kept seat has ended, or where several could be meant
    and none was chosen here yet: then the window asks.
    """
    seen = office.seats()
    if seen is None or not seen.asks:
        return
    kept = kept_seat(seen.store)
    if any((seat.id, seat.name) == kept for seat in seen.seats):
        office.sit(kept[0])
    elif kept == NOBODY and len(seen.seats) == 1:
        office.sit(seen.seats[0].id)
    else:
        office.sit(None, before=kept[1])


def begin_seated(office: Office, way: str, path: Path | None) -> object:
    """On the worker: begin with the sample or another store, and sit down there."""
    touched = office.begin(way, path)
    take_kept_seat(office)
    return touched


def sit_here(office: Office, seat_id: int) -> None:
    """On the worker: this person sits here from now on, after a restart too."""
    office.sit(seat_id)
    seen = office.seats()
    for seat in seen.seats if seen is not None else ():
        if seen is not None and seat.id == seat_id:
            keep_seat(seen, seat_id, seat.name)


NOBODY = (0, "")


def kept_seat(store: str) -> tuple[int, str]:
    """Key and name of who sat last at this store; NOBODY where none was chosen."""
    settings = QSettings()
    seat_id = settings.value(f"{_key(store)}/id", 0, type=int)
    name = settings.value(f"{_key(store)}/name", "", type=str)
    return (seat_id, name) if isinstance(seat_id, int) and isinstance(name, str) else NOBODY


def keep_seat(seen: SeatsSeen, seat_id: int, name: str) -> None:
    """Sit here again at the next start."""
    settings = QSettings()
    settings.setValue(f"{_key(seen.store)}/id", seat_id)
    settings.setValue(f"{_key(seen.store)}/name", name)


def _key(store: str) -> str:
    """A store's place may hold signs that a key of settings may not."""
    return "seat/" + hashlib.sha256(store.encode()).hexdigest()[:16]
