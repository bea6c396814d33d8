"""By when a call is answered: the contract's promise, else the rule's, else the company's."""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from servicedesk.duties.workdays import WorkCalendar
from servicedesk.values.reason import Reason


class Running(StrEnum):
    """When the hours of a promise run."""

    CLOCK = "clock"  # day and night
    WORKING = "working"  # in working hours only


@dataclass(frozen=True, slots=True, kw_only=True)
class Promises:
    """The hours promised by each side that may set them; None where a side says nothing.

    `company_h` is the company's own default. `urgent_h` shortens all of them for an urgent call.
    `running` says when contract and company hours run; the hours of a rule always run by the
    clock. `on_call`: somebody answers outside working hours.
    """

    contract_h: int | None = None
    rule_h: int | None = None
    company_h: int = 48  # common practice, no source
    urgent_h: int | None = None
    running: Running = Running.CLOCK
    on_call: bool = False

    def __post_init__(self) -> None:
        for hours in (self.contract_h, self.rule_h, self.company_h, self.urgent_h):
            if hours is not None and hours < 1:
                raise ValueError(f"{hours} hours cannot be promised")


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """The wall time by which somebody is there, and who set it.

    `by_minute` counts from local midnight of `by_on`, 0..1440 (the end of the day).
    """

    by_on: date
    by_minute: int
    hours: int
    why: tuple[Reason, ...]


def promised_by(
    called_on: date, called_minute: int, promises: Promises, calendar: WorkCalendar
) -> Promise:
    """By when the call of a wall time is answered.

    The contract's hours hold; without them the company's. The hours of a rule run beside them by
    the clock, and whichever ends first is the promise. Hours that run in working time only run
    by the clock where somebody is on call. A clock promise that would end while nobody works and
    nobody is on call is kept before: at the end of the last working hours, if that is still after
    the call; otherwise it stands, with a reason that says so. Wall hours are counted: on the two
    days a year when clocks change the promise is an hour off at most.
    """
    hours, code = _own_hours(promises)
    own = _ends(called_on, called_minute, hours, code, promises.running, promises, calendar)
    if promises.rule_h is None:
        return own
    of_rule = _ends(
        called_on, called_minute, promises.rule_h, "rule_hours", Running.CLOCK, promises, calendar
    )
    sooner = (of_rule.by_on, of_rule.by_minute) < (own.by_on, own.by_minute)
    return of_rule if sooner else own


def _own_hours(promises: Promises) -> tuple[int, str]:
    """The hours that contract or company set, and which of them."""
    hours, code = promises.company_h, "company_hours"
    if promises.contract_h is not None:
        hours, code = promises.contract_h, "contract_hours"
    if promises.urgent_h is not None and promises.urgent_h < hours:
        return promises.urgent_h, "urgent_hours"
    return hours, code


def _ends(
    on: date,
    minute: int,
    hours: int,
    code: str,
    running: Running,
    promises: Promises,
    calendar: WorkCalendar,
) -> Promise:
    why: tuple[Reason, ...] = (Reason.of(code, hours=hours),)
    if running is Running.WORKING and not promises.on_call:
        by_on, by_minute = calendar.add_working_minutes(on, minute, hours * 60)
        why += (Reason.of("in_working_hours"),)
        return Promise(by_on=by_on, by_minute=by_minute, hours=hours, why=why)
    days, by_minute = divmod(minute + hours * 60, 1440)
    by_on = on + timedelta(days=days)
    if promises.on_call or _is_staffed(by_on, by_minute, calendar):
        return Promise(by_on=by_on, by_minute=by_minute, hours=hours, why=why)
    kept_on, kept_minute = _last_staffed(by_on, by_minute, calendar)
    if (kept_on, kept_minute) > (on, minute):
        why += (Reason.of("before_closing", on=by_on, minute=by_minute),)
        return Promise(by_on=kept_on, by_minute=kept_minute, hours=hours, why=why)
    why += (Reason.of("nobody_on_call"),)
    return Promise(by_on=by_on, by_minute=by_minute, hours=hours, why=why)


def _is_staffed(day: date, minute: int, calendar: WorkCalendar) -> bool:
    return calendar.is_working(day) and calendar.from_min <= minute <= calendar.until_min


def _last_staffed(day: date, minute: int, calendar: WorkCalendar) -> tuple[date, int]:
    """The last wall time at or before a moment at which people work."""
    if not calendar.is_working(day) or minute < calendar.from_min:
        day = calendar.working_day_until(day - timedelta(days=1))
    return day, calendar.until_min
