"""What each contract of a site owed and what was done: one function matches, nothing twice."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from servicedesk.desk.office import Desk
from servicedesk.desk.windows import ContractWindows, windows_through_time
from servicedesk.duties.gaps import contract_gaps
from servicedesk.duties.terms import DueWindow, WindowState
from servicedesk.records.planning_rows import InspectionRow
from servicedesk.values.reason import Reason
from servicedesk.values.span import Span


@dataclass(frozen=True, slots=True)
class Tried:
    """An inspection that was tried and could not be done: it fills no window."""

    on: date
    job_id: int
    could_not: str


@dataclass(frozen=True, slots=True)
class Extra:
    """An inspection that was done and counts for no window, and why."""

    on: date
    job_id: int
    why: Reason


@dataclass(frozen=True, slots=True)
class Outside:
    """An inspection that was done on a day without a contract."""

    on: date
    job_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """One contract over one system: its windows, what was tried in vain, what counted for none.

    `until_on` is excluded; a contract that ended early ends here too.
    """

    contract_id: int
    number: int
    system_id: int
    from_on: date
    until_on: date
    windows: tuple[DueWindow, ...]
    tried: tuple[Tried, ...] = ()
    extra: tuple[Extra, ...] = ()

    @property
    def n_owed(self) -> int:
        """Inspections that contract and rule ask for over the whole period."""
        return len(self.windows)

    @property
    def n_done(self) -> int:
        """Windows that an inspection filled, in time or late."""
        return sum(one.is_filled for one in self.windows)

    @property
    def n_done_late(self) -> int:
        """Those of them filled after their last day."""
        return sum(one.state is WindowState.DONE_LATE for one in self.windows)

    @property
    def n_late(self) -> int:
        """Windows past their last day that can still be filled."""
        return sum(one.state is WindowState.LATE for one in self.windows)

    @property
    def n_missed(self) -> int:
        """Windows that nothing can fill any more."""
        return sum(one.state is WindowState.MISSED for one in self.windows)


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemYears:
    """One system through all its contracts, and the days in between that none covered."""

    system_id: int
    periods: tuple[Period, ...]
    gaps: tuple[Span, ...]
    outside: tuple[Outside, ...]


def years_of(desk: Desk, site_id: int) -> tuple[SystemYears, ...]:
    """The contracts of each system at a site, in the order of their days."""
    found, inspections = windows_through_time(desk, site_id)
    by_system: dict[int, list[ContractWindows]] = {}
    for one in found:
        by_system.setdefault(one.contract.system_id, []).append(one)
    return tuple(
        _years(desk, key, some, [row for row in inspections if row.system_id == key])
        for key, some in by_system.items()
    )


def _years(
    desk: Desk, system_id: int, some: list[ContractWindows], inspections: list[InspectionRow]
) -> SystemYears:
    rows = {row.job_id: row for row in inspections}
    periods = tuple(_period(one, rows) for one in some)
    spans = [Span(one.from_on, one.until_on) for one in periods if one.until_on > one.from_on]
    counted = {window.filled_by for one in periods for window in one.windows}
    told = {extra.job_id for one in periods for extra in one.extra}
    outside = tuple(
        Outside(row.on, row.job_id)
        for row in inspections
        if row.outcome == "done"
        and row.on is not None
        and row.on <= desk.today
        and row.visit_state != "planned"
        and row.job_id not in counted
        and row.job_id not in told
        and not any(span.holds(row.on) for span in spans)
    )
    return SystemYears(
        system_id=system_id,
        periods=periods,
        gaps=contract_gaps(spans, until_on=desk.today),
        outside=outside,
    )


def _period(one: ContractWindows, rows: dict[int, InspectionRow]) -> Period:
    contract = one.contract
    ended = contract.ended_on
    until = contract.until_on if ended is None else min(ended, contract.until_on)
    ids = [job_id for window in one.matched.windows for job_id in window.attempts]
    return Period(
        contract_id=contract.contract_id,
        number=contract.contract_number,
        system_id=contract.system_id,
        from_on=contract.from_on,
        until_on=until,
        # a contract that never began owes nothing
        windows=one.matched.windows if until > contract.from_on else (),
        tried=tuple(_tried(rows, ids)),
        extra=tuple(
            Extra(on, job_id, why)
            for job_id, why in one.matched.counted_for_none
            if (on := rows[job_id].on) is not None and contract.from_on <= on < until
        ),
    )


def _tried(rows: dict[int, InspectionRow], ids: Iterable[int]) -> Iterable[Tried]:
    for job_id in ids:
        row = rows[job_id]
        if row.on is not None:
            yield Tried(row.on, job_id, row.could_not)
