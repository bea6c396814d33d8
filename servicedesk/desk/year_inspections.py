"""Inspections of a year: done and owed, and whether what is late is ours or want of access."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from servicedesk.desk.deadlines_rest import NOT_OURS
from servicedesk.desk.office import Desk
from servicedesk.desk.windows import SiteWindow, windows_closing
from servicedesk.duties.lateness import Lateness, lateness
from servicedesk.duties.terms import DueWindow, WindowState
from servicedesk.records import deadline_rows as rows


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionCounts:
    """Windows by how they stand, each once.

    `late`: done late, late still, or missed; late by us, or for want of access alone.
    """

    done: int = 0
    late_ours: int = 0
    late_no_access: int = 0
    missed_ours: int = 0
    missed_no_access: int = 0
    owed: int = 0

    @property
    def all(self) -> int:
        """All windows."""
        return self.done + self.late + self.missed + self.owed

    @property
    def late(self) -> int:
        """Done late, or late still."""
        return self.late_ours + self.late_no_access

    @property
    def missed(self) -> int:
        """Never done."""
        return self.missed_ours + self.missed_no_access


@dataclass(frozen=True, slots=True, kw_only=True)
class LateInspection:
    """A window that was not filled in time. `late`: days, ours and those of want of access."""

    site_id: int
    address: str
    locality: str
    contract_number: int
    ordinal: int
    closes_on: date
    done_on: date | None
    is_missed: bool
    late: Lateness


@dataclass(frozen=True, slots=True, kw_only=True)
class YearInspections:
    """A span of whole months: counts of each (by its first day) and of all, and what was late."""

    first: date
    until: date
    months: tuple[tuple[date, InspectionCounts], ...]
    total: InspectionCounts
    late: tuple[LateInspection, ...]


def year_inspections(desk: Desk, *, first: date, until: date) -> YearInspections:
    """Inspections whose last day lies in the span (both first days of a month), as of today."""
    windows = windows_closing(desk, first=first, until=until)
    with desk.store.read() as session:
        tried = rows.attempts(session, (a for one in windows for a in one.window.attempts))
        names = rows.site_names(session, {one.site_id for one in windows})
    refused = {
        key: desk.clock.day_of(one.arrived_at)
        for key, one in tried.items()
        if one.arrived_at is not None and one.could_not in NOT_OURS
    }
    parted = [(one, _late(one.window, refused, desk.today)) for one in windows]
    months = []
    month = first
    while month < until:
        after = date(month.year + month.month // 12, month.month % 12 + 1, 1)
        some = [(w, late) for w, late in parted if month <= w.window.closes_on < after]
        months.append((month, _counts(some)))
        month = after
    late = [
        LateInspection(
            site_id=one.site_id,
            address=names[one.site_id].address,
            locality=names[one.site_id].locality,
            contract_number=one.contract_number,
            ordinal=one.window.ordinal,
            closes_on=one.window.closes_on,
            done_on=one.window.done_on,
            is_missed=one.window.state is WindowState.MISSED,
            late=days,
        )
        for one, days in parted
        if days.days and one.site_id in names
    ]
    late.sort(key=lambda one: (-one.late.ours, -one.late.no_access, one.closes_on, one.site_id))
    return YearInspections(
        first=first, until=until, months=tuple(months), total=_counts(parted), late=tuple(late)
    )


def _late(window: DueWindow, refused: dict[int, date], today: date) -> Lateness:
    """Days after the last day: until it was done, could count no more, or today."""
    if window.is_filled:
        end = window.done_on or window.closes_on
    elif window.state is WindowState.MISSED:
        end = min(today, window.book_closes_on)
    else:
        end = today
    tries = [refused[key] for key in window.attempts if key in refused]
    return lateness(window.closes_on, until=end, refused_on=tries)


def _counts(parted: Iterable[tuple[SiteWindow, Lateness]]) -> InspectionCounts:
    n = dict.fromkeys(InspectionCounts.__dataclass_fields__, 0)
    for one, late in parted:
        state = one.window.state
        whose = "ours" if late.ours or not late.no_access else "no_access"
        if state is WindowState.MISSED:
            n[f"missed_{whose}"] += 1
        elif late.days:
            n[f"late_{whose}"] += 1
        elif one.window.is_filled:
            n["done"] += 1
        else:
            n["owed"] += 1
    return InspectionCounts(**n)
