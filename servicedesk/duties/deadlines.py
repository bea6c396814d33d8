"""What is due to whom by when: reports, contract papers, notices, samples, licenses.

A deadline from a rule that was not read in its source says so: `confirmed` is false and the
reasons hold `not_confirmed`. Nobody should take such a day for a legal one.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from servicedesk.duties.months import add_months
from servicedesk.duties.periods import first_years_end
from servicedesk.duties.workdays import WorkCalendar
from servicedesk.trade.rule_shapes import Duty, DutyKind, FirstYears, Form, Within
from servicedesk.trade.service_rules import ServiceRule
from servicedesk.values.reason import Reason

# kinds of deadline that come from no duty of a rule
LICENSE = "license"
FIRST_YEARS = "first_years"
LAB_RESULT = "lab_result"


@dataclass(frozen=True, slots=True, kw_only=True)
class Deadline:
    """One thing due: by the end of `due_on`, or at the instant `due_at` (aware UTC).

    `kind` is a `DutyKind` value or one of this file; `to` the receivers. Exactly one of `due_on`
    and `due_at` is set.
    """

    kind: str
    due_on: date | None = None
    due_at: datetime | None = None
    to: tuple[str, ...] = ()
    confirmed: bool = True
    reasons: tuple[Reason, ...] = ()

    def __post_init__(self) -> None:
        if (self.due_on is None) == (self.due_at is None):
            raise ValueError(f"{self.kind}: a deadline has a day or an instant, not both")
        if self.due_at is not None and self.due_at.tzinfo is None:
            raise ValueError(f"{self.kind}: {self.due_at} has no time zone")

    def days_left(self, today: date) -> int | None:
        """Days from `today` to the last day, negative when it is past; None for an instant."""
        return None if self.due_on is None else (self.due_on - today).days


def day_within(within: Within, on: date, calendar: WorkCalendar) -> date:
    """The last day of a deadline that starts (or, `before`, ends) with an event on `on`.

    The day of the event does not count. A month without the day gives its last day. Raises
    ValueError for hours, which end at an instant.
    """
    sign = -1 if within.before else 1
    match within.form:
        case Form.DAYS:
            return on + timedelta(days=sign * within.n)
        case Form.MONTHS:
            return add_months(on, sign * within.n)
        case Form.WORKING_DAYS:
            return calendar.add_working_days(on, sign * within.n)
        case Form.DAY_OF_NEXT_MONTH:
            next_month = add_months(on.replace(day=1), 1)
            # the 31st of a shorter month is its last day
            last = add_months(next_month, 1) - timedelta(days=1)
            return min(next_month + timedelta(days=within.n - 1), last)
        case Form.FIXED_DATE if within.on is not None:
            return within.on.next_from(on)
    raise ValueError(f"{within.form} ends at an instant, not on a day")


def report_due(rule: ServiceRule, visited_on: date, calendar: WorkCalendar) -> tuple[Deadline, ...]:
    """The deadlines of the report of a visit, one for each group of receivers.

    Empty where the rule names none; then `rule.check_reason` says whom to ask.
    """
    return _dated(rule, DutyKind.REPORT, visited_on, calendar)


def pump_out_report_due(
    rule: ServiceRule, pumped_on: date, calendar: WorkCalendar
) -> tuple[Deadline, ...]:
    """The deadlines of the report of a pump-out."""
    return _dated(rule, DutyKind.PUMP_OUT_REPORT, pumped_on, calendar)


def contract_copy_due(
    rule: ServiceRule, ends_on: date, calendar: WorkCalendar
) -> tuple[Deadline, ...]:
    """When the copy of the next contract must be there.

    `ends_on` is the day on which the running one ends, as printed on it.
    """
    return _dated(rule, DutyKind.CONTRACT_COPY, ends_on, calendar)


def duty_due(
    rule: ServiceRule, kind: DutyKind, on: date, calendar: WorkCalendar
) -> tuple[Deadline, ...]:
    """The deadlines of any duty counted in days from an event on `on` (see `DutyKind`).

    A duty in hours is left out here; `instant_due` has it.
    """
    return _dated(rule, kind, on, calendar)


def instant_due(
    rule: ServiceRule, kind: DutyKind, at: datetime, *, on: date, calendar: WorkCalendar
) -> tuple[Deadline, ...]:
    """The deadlines of a duty whose event happened at the instant `at` (aware), local day `on`.

    For over-limit results and failures: hours run on the clock and give `due_at`, every other
    form counts from the day and gives `due_on`.
    """
    found: list[Deadline] = []
    for duty in rule.duties_of(kind):
        if duty.within.form is Form.HOURS:
            due_at = at + timedelta(hours=duty.within.n)
            found.append(_deadline(rule, duty, due_at=due_at))
        else:
            found.append(_deadline(rule, duty, due_on=day_within(duty.within, on, calendar)))
    return tuple(found)


def repair_begins_by(
    rule: ServiceRule, notice_on: date, earlier_notices: Iterable[date]
) -> Deadline | None:
    """By when the repair of a system declared malfunctioning begins; None without such a rule.

    The time is shorter with each notice of the months before; a notice exactly that many months
    earlier still counts.
    """
    ladder = rule.repair_ladder
    if ladder is None:
        return None
    since = add_months(notice_on, -ladder.within_months)
    earlier = sum(since <= day < notice_on for day in earlier_notices)
    days = ladder.days[min(earlier, len(ladder.days) - 1)]
    reasons: tuple[Reason, ...] = (
        Reason.of("earlier_notices", n=earlier, months=ladder.within_months, days=days),
    )
    if not rule.seen:
        reasons += (_not_confirmed(rule),)
    return Deadline(
        kind=DutyKind.REPAIR,
        due_on=notice_on + timedelta(days=days),
        confirmed=rule.seen,
        reasons=reasons,
    )


def first_service_ends(rule: ServiceRule, first_use_on: date) -> Deadline | None:
    """The day on which the first service period is over (the first day after it), if any.

    Whether the anniversary itself is still covered is a setting of the rule.
    """
    years = rule.initial_years
    if years is None:
        return None
    visits = rule.visits
    if isinstance(visits, FirstYears) and visits.years == years:
        ends_on = first_years_end(visits, first_use_on)
    else:
        ends_on = add_months(first_use_on, 12 * years)
    reasons = () if rule.confirmed else (_not_confirmed(rule),)
    return Deadline(kind=FIRST_YEARS, due_on=ends_on, confirmed=rule.confirmed, reasons=reasons)


def result_due(taken_on: date, *, expected_days: int) -> Deadline:
    """When the result of a sample is expected back from the laboratory."""
    due_on = taken_on + timedelta(days=expected_days)
    return Deadline(kind=LAB_RESULT, due_on=due_on, reasons=(Reason.of("taken", on=taken_on),))


def license_ends(expires_on: date, *, today: date, warn_days: int = 60) -> Deadline | None:
    """The last day of a license, from `warn_days` before it on; None while it is far.

    60 days: common practice, no source.
    """
    left = (expires_on - today).days
    if left > warn_days:
        return None
    code = "license_expired" if left < 0 else "license_ends"
    return Deadline(kind=LICENSE, due_on=expires_on, reasons=(Reason.of(code, days=abs(left)),))


def soonest_first(deadlines: Sequence[Deadline]) -> list[Deadline]:
    """By day, an instant on its UTC day; ties by kind and receivers."""
    return sorted(deadlines, key=_order)


def _order(deadline: Deadline) -> tuple[date, str, tuple[str, ...]]:
    on = deadline.due_on
    if on is None:
        on = date.max if deadline.due_at is None else deadline.due_at.date()
    return on, deadline.kind, deadline.to


def _dated(
    rule: ServiceRule, kind: DutyKind, on: date, calendar: WorkCalendar
) -> tuple[Deadline, ...]:
    return tuple(_each(rule, kind, on, calendar))


def _each(
    rule: ServiceRule, kind: DutyKind, on: date, calendar: WorkCalendar
) -> Iterator[Deadline]:
    for duty in rule.duties_of(kind):
        if duty.within.form is not Form.HOURS:
            yield _deadline(rule, duty, due_on=day_within(duty.within, on, calendar))


def _deadline(
    rule: ServiceRule, duty: Duty, *, due_on: date | None = None, due_at: datetime | None = None
) -> Deadline:
    confirmed = duty.confirmed and rule.seen and not rule.older_text_unknown
    reasons: tuple[Reason, ...] = (
        Reason.of("by_rule", rule=rule.id, form=duty.within.form.value, n=duty.within.n),
    )
    if not confirmed:
        reasons += (_not_confirmed(rule),)
    return Deadline(
        kind=duty.kind,
        due_on=due_on,
        due_at=due_at,
        to=duty.to,
        confirmed=confirmed,
        reasons=reasons,
    )


def _not_confirmed(rule: ServiceRule) -> Reason:
    return Reason.of("not_confirmed", rule=rule.id, jurisdiction=rule.jurisdiction)
