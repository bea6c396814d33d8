"""How a contract and a rule cut time into periods, before any inspection is looked at."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from servicedesk.duties.months import add_months, add_years
from servicedesk.duties.terms import Terms
from servicedesk.trade.rule_shapes import AsPermit, EveryMonths, FirstYears, PerYear, PlainVisits
from servicedesk.values.reason import Reason

_DAY = timedelta(days=1)
# a window no longer than this is hard to keep; common practice, no source
LEAST_OPEN_DAYS = 28


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """What the rule says of one stretch of time, reduced to one plain shape."""

    visits: PlainVisits | None
    confirmed: bool
    why: tuple[Reason, ...]

    @property
    def times_a_year(self) -> int:
        """Inspections the rule wants in a full year; 0 where it sets no number."""
        match self.visits:
            case EveryMonths(months=months):
                return -(-12 // months) if months <= 12 else 0
            case PerYear(times=times):
                return times
        return 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """The part of the contract in which one inspection belongs; `until_on` is excluded.

    `times` inspections a year are owed in its year, `rule_last_on` and `rule_first_on` are ends
    that the calendar sets, whatever was done before.
    """

    number: int
    year_no: int
    ordinal: int
    from_on: date
    until_on: date
    year_until_on: date
    book_closes_on: date
    times: int
    duty: Duty
    rule_first_on: date | None = None
    rule_last_on: date | None = None


def after(anchor: date, steps: int, times: int) -> date:
    """`anchor` plus `steps` times a `times`-th of a year, always counted from the anchor.

    In whole months where twelve can be shared (12, 6, 4, 3, 2 or 1), otherwise in days of the
    year counted from the anchor.
    """
    if 12 % times == 0:
        return add_months(anchor, steps * (12 // times))
    years, rest = divmod(steps, times)
    start = add_years(anchor, years)
    days = (add_years(anchor, years + 1) - start).days
    return start + timedelta(days=round(days * rest / times))


def periods_of(terms: Terms, *, today: date) -> list[Period]:
    """The periods of a contract in date order.

    A contract without an end is followed to the end of the contract year after today's.
    """
    plain = list(_cut(terms, today))
    if terms.rule is None or not any(isinstance(p.duty.visits, PerYear) for p in plain):
        return plain
    starts = Counter(period.from_on.year for period in plain)
    rank: Counter[int] = Counter()
    dated: list[Period] = []
    for period in plain:
        year = period.from_on.year
        dated.append(_with_calendar_ends(period, rank[year], starts[year]))
        rank[year] += 1
    return dated


def _cut(terms: Terms, today: date) -> Iterator[Period]:
    number, year_no = 0, 0
    anchor = start = terms.span.from_on
    end = terms.span.until_on
    changes = terms.rule is not None and isinstance(terms.rule.visits, FirstYears)
    duty = _NO_DUTY
    horizon = end or max(today, start) + timedelta(days=366)
    while start < horizon:
        year_no += 1
        next_year = add_years(anchor, year_no)
        if changes or year_no == 1:
            duty = duty_on(terms, start)
        times = max(terms.visits_a_year, duty.times_a_year)
        year_until = next_year if end is None else min(next_year, end)
        first = (year_no - 1) * times
        book = year_until + timedelta(days=terms.tolerance_days)
        for turn in range(times):
            from_on = after(anchor, first + turn, times)
            if from_on >= year_until:
                break
            until_on = after(anchor, first + turn + 1, times)
            yield Period(
                number=number,
                year_no=year_no,
                ordinal=turn + 1,
                from_on=from_on,
                until_on=min(until_on, year_until),
                year_until_on=year_until,
                book_closes_on=book if end is None or terms.runs_on else min(book, end),
                times=times,
                duty=duty_on(terms, from_on) if changes and turn else duty,
            )
            number += 1
        start = next_year


def duty_on(terms: Terms, day: date) -> Duty:
    """What the rule of `terms` asks for on `day`, in one plain shape, and why that one."""
    rule = terms.rule
    if rule is None or rule.visits is None:
        return _NO_DUTY
    why: list[Reason] = []
    visits: PlainVisits | None
    if isinstance(rule.visits, FirstYears):
        visits, reason = _of_first_years(rule.visits, terms.first_use_on, day)
        why.append(reason)
    else:
        visits = rule.visits
    if isinstance(visits, AsPermit):
        if terms.permit_visits is None:
            why.append(Reason.of("ask_permit", rule=rule.id))
            visits = None
        else:
            visits = terms.permit_visits
            why.append(Reason.of("as_permit", rule=rule.id))
    if isinstance(visits, PerYear) and not visits.counted_as_said:
        why.append(Reason.of("period_not_said", rule=rule.id))
    if visits is not None and not rule.confirmed:
        why.append(Reason.of("not_confirmed", rule=rule.id, jurisdiction=rule.jurisdiction))
    return Duty(visits=visits, confirmed=rule.confirmed, why=tuple(why))


_NO_DUTY = Duty(visits=None, confirmed=True, why=())


def first_years_end(rule: FirstYears, first_use_on: date) -> date:
    """The first day on which the rule of the first years no longer holds."""
    anniversary = add_years(first_use_on, rule.years)
    return anniversary + _DAY if rule.last_day_included else anniversary


def _of_first_years(
    rule: FirstYears, first_use_on: date | None, day: date
) -> tuple[PlainVisits | None, Reason]:
    if first_use_on is None:
        # the stricter part is taken until somebody enters the day
        return rule.first, Reason.of("first_use_not_known", years=rule.years)
    end = first_years_end(rule, first_use_on)
    if day < end:
        return rule.first, Reason.of("first_years", years=rule.years, until_on=end)
    return rule.after, Reason.of("after_first_years", years=rule.years, since_on=end)


def _with_calendar_ends(period: Period, rank: int, starts: int) -> Period:
    """`period` with the ends that a calendar-year rule sets.

    `rank` of `starts` periods begin before it in the same calendar year. Where the contract
    promises more than the rule wants, only the first ones of a year are bound.
    """
    visits = period.duty.visits
    if not isinstance(visits, PerYear) or rank >= visits.times:
        return period
    if visits.report_by is not None:
        return _with_report_end(period, visits)
    bound = min(starts, visits.times)
    apart = (visits.apart_months or 0) * (bound - 1 - rank)
    last_on = add_months(date(period.from_on.year, 12, 31), -apart)
    return _in_calendar_year(period, last_on)


def _with_report_end(period: Period, visits: PerYear) -> Period:
    if visits.report_by is None:
        return period
    # a date that falls right after the start belongs to the report of the year before
    report_on = visits.report_by.next_from(period.from_on + timedelta(days=LEAST_OPEN_DAYS))
    if report_on > period.until_on:
        return period
    first_on = date(report_on.year, 1, 1) if period.times == 1 else None
    return replace(_in_calendar_year(period, report_on), rule_first_on=first_on)


def _in_calendar_year(period: Period, last_on: date) -> Period:
    """`period` ending by `last_on`; what is done in the next year is one of that year."""
    new_year = date(last_on.year + 1, 1, 1)
    book = min(period.book_closes_on, new_year)
    return replace(period, rule_last_on=last_on, book_closes_on=book)
