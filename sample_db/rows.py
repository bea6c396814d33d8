"""Plain rows by table: every row has every column, so that they load in bulk."""

import hashlib
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from servicedesk.records.tables import models

# A fixed zone with summer time. Only a technical identifier: the island is nowhere.
TIME_ZONE = "America/New_York"

Row = dict[str, Any]


def _templates() -> dict[str, Row]:
    """Every column of every table with its default (None where there is none)."""
    found: dict[str, Row] = {}
    for model in models():
        row: Row = {}
        for column in model.__table__.columns:
            default = column.default
            value: Any = None
            if default is not None and column.name != "uid":
                arg = getattr(default, "arg", None)
                value = arg(None) if callable(arg) else arg
            row[column.name] = value
        if "revision" in row:
            row["revision"] = 1
        found[model.__tablename__] = row
    return found


class Rows:
    """The rows made so far. `add` gives out keys from one, and uids from seed, table and key."""

    def __init__(self, seed: int) -> None:
        self.seed = seed
        self.templates = _templates()
        self.tables: dict[str, list[Row]] = {name: [] for name in self.templates}

    def add(self, table: str, **values: Any) -> Row:
        """A new row with the given columns. Raises KeyError for a name that is no column."""
        template = self.templates[table]
        row = template | values
        if len(row) != len(template):
            raise KeyError(f"{table}: {sorted(set(row) - set(template))}")
        made = self.tables[table]
        row["id"] = len(made) + 1
        if "uid" in row:
            key = f"{self.seed} {table} {row['id']}".encode()
            row["uid"] = hashlib.blake2b(key, digest_size=16).hexdigest()
        made.append(row)
        return row


class Calendar:
    """The company's days and minutes as instants, and which days are worked."""

    def __init__(self, holidays: set[date]) -> None:
        self.holidays = holidays
        self._zone = ZoneInfo(TIME_ZONE)
        self._base: dict[date, datetime] = {}

    def at(self, day: date, minute: int) -> datetime:
        """The instant of a local minute of a day (offset of that day's noon), in UTC."""
        base = self._base.get(day)
        if base is None:
            noon = datetime(day.year, day.month, day.day, 12, tzinfo=self._zone)
            base = self._base[day] = noon.astimezone(UTC) - timedelta(hours=12)
        return base + timedelta(minutes=minute)

    def works(self, day: date) -> bool:
        """Whether anybody works that day."""
        return day.weekday() < 5 and day not in self.holidays

    def working(self, day: date, ahead: int = 0) -> date:
        """The first working day on or after `day`, then so many working days further."""
        while not self.works(day):
            day += timedelta(days=1)
        for _ in range(ahead):
            day += timedelta(days=1)
            while not self.works(day):
                day += timedelta(days=1)
        return day

    def working_before(self, day: date) -> date:
        """The last working day before `day`."""
        day -= timedelta(days=1)
        while not self.works(day):
            day -= timedelta(days=1)
        return day


def add_months(day: date, months: int) -> date:
    """The same day of a later month, or that month's last day where it has none."""
    month = day.year * 12 + day.month - 1 + months
    year, month = month // 12, month % 12 + 1
    last = (date(year + month // 12, month % 12 + 1, 1) - timedelta(days=1)).day
    return date(year, month, min(day.day, last))


def us_holidays(year: int) -> list[tuple[date, str]]:
    """Days on which the company does not work: the common United States holidays."""

    def nth(month: int, weekday: int, n: int) -> date:
        first = date(year, month, 1)
        return first + timedelta(days=(weekday - first.weekday()) % 7 + 7 * (n - 1))

    may = date(year, 5, 31)
    return [
        (date(year, 1, 1), "New Year's Day"),
        (may - timedelta(days=may.weekday()), "Memorial Day"),
        (date(year, 7, 4), "Independence Day"),
        (nth(9, 0, 1), "Labor Day"),
        (nth(11, 3, 4), "Thanksgiving Day"),
        (date(year, 12, 25), "Christmas Day"),
    ]
