"""The store as a whole: new, check, backup, restore, upgrade, export."""

from dataclasses import dataclass
from pathlib import Path
from uuid import uuid4
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from servicedesk.records import copying
from servicedesk.records.company import Company
from servicedesk.records.store import create_store, open_store
from servicedesk.records.where import warnings_for
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class StoreHealth:
    """What the check found: rows by table, and what is wrong, in words."""

    rows: dict[str, int]
    faults: tuple[str, ...]


def new_store(
    place: str, *, company: str = "", time_zone: str = "UTC", country: str = "US"
) -> None:
    """Make an empty store with the company's name in it.

    Raises Trouble if something stands there, and for a time zone or country that does not exist.
    """
    _refuse_unknown_zone(time_zone)
    _refuse_unknown_country(country)
    store = create_store(place)
    try:
        # signed by the program: no person's Ctrl Z takes the company away
        with store.change(say("the program"), say("Started the store")) as work:
            work.add(Company(uid=uuid4().hex, name=company, time_zone=time_zone, country=country))
    finally:
        store.close()


def machine_zone() -> str:
    """The time zone that this machine is set to, as a first guess at the company's; else UTC."""
    from babel.localtime import get_localzone

    try:
        name = str(getattr(get_localzone(), "key", "UTC"))
        _refuse_unknown_zone(name)
    except (LookupError, Trouble):
        return "UTC"
    return name


def _refuse_unknown_zone(name: str) -> None:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise Trouble(
            say("“{name}” is no time zone; one is America/New_York.", name=name)
        ) from error


def _refuse_unknown_country(code: str) -> None:
    from babel import Locale

    if len(code) != 2 or code not in Locale("en").territories:
        raise Trouble(say("“{code}” is no country; write two letters, such as US.", code=code))


def place_warnings(place: str | Path) -> tuple[str, ...]:
    """What to say about where a store's file lies; nothing for a place on a server."""
    return () if "://" in str(place) else warnings_for(place)


def check_store(place: str) -> StoreHealth:
    """Look a whole store over."""
    store = open_store(place)
    try:
        health = copying.check(store)
    finally:
        store.close()
    return StoreHealth(health.rows, health.faults)


def backup_store(place: str, target: Path) -> None:
    """Copy a store to one new file, papers and photos beside it."""
    store = open_store(place)
    try:
        copying.backup(store, target)
    finally:
        store.close()


def restore_store(backup: Path, place: str) -> None:
    """Make a new store from a backup; what stands at `place` is never written over."""
    if not backup.exists():
        raise Trouble(
            say("There is no backup at {path}.", path=backup),
            do=say("Check the name and the folder."),
        )
    copying.restore(backup, place).close()


def upgrade_store(place: str) -> None:
    """Bring an older store up to date; its file is copied aside first."""
    open_store(place).close()


def export_store(place: str, folder: Path, progress: Progress = quiet) -> list[Path]:
    """Write every record as CSV with a description of each column."""
    store = open_store(place)
    try:
        return copying.export(store, folder, progress)
    finally:
        store.close()
