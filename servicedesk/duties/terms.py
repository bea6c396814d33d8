"""What windows are made from: the terms of a contract, inspections done, attempts made."""

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from servicedesk.duties.closings import ClosedDays
from servicedesk.trade.rule_shapes import PlainVisits
from servicedesk.trade.service_rules import ServiceRule
from servicedesk.values.reason import Reason
from servicedesk.values.span import Span


class Counting(StrEnum):
    """How a contract counts its windows."""

    FIXED = "fixed"  # the period is cut into equal parts
    ROLLING = "rolling"  # each counts from the inspection before


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """A contract as far as its inspections go, for one system.

    `visits_a_year` the contract promises (0: none); an inspection up to `tolerance_days` before
    its window opens still counts for it; `longest_gap_months` the contract allows between two.
    `rule` is the wording in force; `permit_visits` what the system's permit says where the rule
    leaves it to the permit; `first_use_on` starts the first years of a new system;
    `last_before_on` is the last inspection before this contract; `runs_on`: another contract
    follows without a gap, so a late inspection may still count up to the tolerance after the end
    (`windows_of_chain` sets both). A window is *closing* in its
    last `closing_days` days.
    """

    span: Span
    visits_a_year: int
    counting: Counting = Counting.FIXED
    tolerance_days: int = 14
    longest_gap_months: int | None = None
    closed: tuple[ClosedDays, ...] = ()
    rule: ServiceRule | None = None
    permit_visits: PlainVisits | None = None
    first_use_on: date | None = None
    last_before_on: date | None = None
    runs_on: bool = False
    closing_days: int = 14  # common practice, no source

    def __post_init__(self) -> None:
        if not 0 <= self.visits_a_year <= 52:
            raise ValueError(f"{self.visits_a_year} visits a year is not within 0..52")
        if not 0 <= self.tolerance_days <= 366:
            raise ValueError(f"{self.tolerance_days} days of tolerance is not within 0..366")
        if self.longest_gap_months is not None and self.longest_gap_months < 1:
            raise ValueError(f"{self.longest_gap_months} months is no gap")


@dataclass(frozen=True, slots=True, order=True)
class DoneInspection:
    """An inspection that was done, on a day."""

    on: date
    job_id: int


@dataclass(frozen=True, slots=True, order=True)
class Attempt:
    """An inspection that was tried and could not be done."""

    on: date
    job_id: int


class WindowState(StrEnum):
    """How a window stands today."""

    NOT_YET = "not yet"
    OPEN = "open"
    CLOSING = "closing"
    LATE = "late"
    DONE = "done"
    DONE_LATE = "done late"
    MISSED = "missed"


@dataclass(frozen=True, slots=True, kw_only=True)
class DueWindow:
    """One inspection owed: from `opens_on` to `closes_on` (the last day, included).

    `ordinal` is first, second, third (1, 2, 3) of contract year `year_no` (from 1); `number`
    counts through the contract from 0. From `accepts_from_on` an early inspection counts; until
    `book_closes_on` (excluded) a late one does, after that the window is *missed*.
    `days_late` counts days after `closes_on`; `usable` is what closed days leave of the window.
    `confirmed` is false where a rule from memory set the window or its end.
    """

    number: int
    year_no: int
    ordinal: int
    opens_on: date
    closes_on: date
    accepts_from_on: date
    book_closes_on: date
    state: WindowState
    filled_by: int | None = None
    done_on: date | None = None
    days_late: int = 0
    attempts: tuple[int, ...] = ()
    usable: tuple[Span, ...] = ()
    why: tuple[Reason, ...] = ()
    confirmed: bool = True

    @property
    def is_filled(self) -> bool:
        """Was the inspection done, in time or late?"""
        return self.filled_by is not None

    @property
    def is_due(self) -> bool:
        """May or must it be done today?"""
        return self.state in (WindowState.OPEN, WindowState.CLOSING, WindowState.LATE)

    def days_left(self, today: date) -> int:
        """Days from `today` to the last day; 0 on it, negative after it."""
        return (self.closes_on - today).days


@dataclass(frozen=True, slots=True, kw_only=True)
class Matched:
    """All windows of one contract, and the inspections that filled none with the reason."""

    windows: tuple[DueWindow, ...]
    counted_for_none: tuple[tuple[int, Reason], ...] = field(default=())
