"""The twelve months to come: income of contracts, inspections and hours, renewals, pump-outs."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.ahead_hours import monday_of, staff_of
from servicedesk.desk.apart import apart
from servicedesk.desk.held_work import HeldWork
from servicedesk.desk.office import Desk
from servicedesk.desk.renewal_facts import DoneWork, Facts, done_work, gather_running
from servicedesk.desk.renewals import RenewalLine, RenewalPage, renewals
from servicedesk.desk.windows import windows_closing
from servicedesk.desk.year_pumps import PumpList, pump_list
from servicedesk.duties.months import add_months
from servicedesk.duties.terms import WindowState
from servicedesk.records import outlook_rows as rows
from servicedesk.renewals.outlook import (
    Count,
    Renewing,
    Term,
    income_by_month,
    renewals_expected,
)
from servicedesk.renewals.price import NOT_RENEW, RENEWED
from servicedesk.values.progress import Progress, quiet
from servicedesk.words import say

N_MONTHS = 12
LATE_MONTHS = 12  # windows that closed longer ago and were never filled are missed, not owed


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthOutlook:
    """One month. Money in minor units, work in minutes with its road.

    `signed_minor` comes from contracts that are signed; `expected_minor` from those that will
    likely be renewed, between `low_minor` and `high_minor`. `owed` inspections are those of signed
    contracts by their last day, `owed_expected` those of renewals. `there_min` the hours there are.
    """

    month: date
    signed_minor: int
    expected_minor: int
    low_minor: int
    high_minor: int
    n_ending: int
    owed: int
    owed_expected: float
    inspections_min: float
    expected_min: float
    calls_min: float
    other_min: float
    there_min: int

    @property
    def wanted_min(self) -> float:
        """All work of the month."""
        return self.inspections_min + self.expected_min + self.calls_min + self.other_min


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """Twelve months from the running one on, and what they rest on.

    `each_min`: an inspection with its road. `n_no_price` signed contracts have no price and bring
    nothing here.
    """

    first: date
    until: date
    today: date
    currency: str
    months: tuple[MonthOutlook, ...]
    renewing: Renewing
    ending: Count
    n_ending: int
    n_no_price: int
    n_overdue: int
    each_min: float | None
    calls_a_year: float | None
    pumps: PumpList


def outlook(desk: Desk, *, work: DoneWork | None = None, progress: Progress = quiet) -> Outlook:
    """The months to come. Raises Trouble as `renewals` does, Stopped where `progress` does."""
    first = desk.today.replace(day=1)
    until = add_months(first, N_MONTHS)
    work = work or done_work(desk, progress)
    page = renewals(desk, since=desk.today, until=until, work=work, progress=progress)
    open_ = [line for line in page.lines if line.decision not in {RENEWED, NOT_RENEW}]
    facts = gather_running(desk, work)
    progress(4, 5, say("Months to come"))
    months = _months(first, until)
    owed, n_overdue = _owed(desk, first, until)
    there = _hours_there(desk, first, until)
    with desk.store.read() as session:
        terms = rows.terms(session, first, until)
    money = _money(terms, open_, page, first, until)
    load = _Load(facts, open_, page.totals.renewing, owed, months)
    progress(5, 5, "")
    return Outlook(
        first=first,
        until=until,
        today=desk.today,
        currency=page.currency,
        months=tuple(_month(month, money[month], load, there) for month in months),
        renewing=page.totals.renewing,
        ending=renewals_expected(len(open_), page.totals.renewing),
        n_ending=len(open_),
        n_no_price=sum(not term.price_minor for term in terms),
        n_overdue=n_overdue,
        each_min=load.each_min,
        calls_a_year=facts.calls.mean if facts.calls else None,
        pumps=pump_list(desk, first=first, until=until),
    )  # fmt: skip


def outlook_of(desk: Desk, work: HeldWork, *, progress: Progress = quiet) -> Outlook:
    """As `outlook`, with what was done read already. Raises as that and `apart` do."""
    return apart(desk, _outlook_of, work, progress=progress)


def _outlook_of(desk: Desk, work: HeldWork, *, progress: Progress) -> Outlook:
    return outlook(desk, work=work.open(), progress=progress)


def _month(
    month: date, money: Mapping[str, int], load: "_Load", there: Mapping[date, int]
) -> MonthOutlook:
    work, each = load.of(month), load.each_min or 0.0
    return MonthOutlook(
        month=month,
        **money,
        owed=work.owed,
        owed_expected=work.expected,
        inspections_min=work.owed * each,
        expected_min=work.expected * each,
        calls_min=load.calls_min,
        other_min=load.other_min,
        there_min=there.get(month, 0),
    )


def _months(first: date, until: date) -> list[date]:
    found, month = [], first
    while month < until:
        found.append(month)
        month = add_months(month, 1)
    return found


def _money(
    terms: Sequence[rows.TermRow],
    open_: Sequence[RenewalLine],
    page: RenewalPage,
    first: date,
    until: date,
) -> dict[date, dict[str, int]]:
    """By month: income of signed contracts, and of renewals with their range."""
    signed = income_by_month(
        [Term(one.from_on, one.until_on, one.price_minor) for one in terms if one.price_minor],
        from_on=first, until_on=until,
    )  # fmt: skip
    known = page.totals.renewing
    following = [(_next_begin(line), line) for line in open_ if line.price is not None]
    found = {}
    for month, minor in signed.items():
        after = add_months(month, 1)
        going_on = [(begin, line) for begin, line in following if begin < after]
        whole = income_by_month(
            [Term(begin, until, line.price.next_minor) for begin, line in going_on if line.price],
            from_on=month, until_on=after,
        ).get(month, 0)  # fmt: skip
        n = len(going_on)
        count = renewals_expected(n, known)
        found[month] = {
            "signed_minor": minor,
            "expected_minor": round(whole * known.share),
            "low_minor": round(whole * count.low / n) if n else 0,
            "high_minor": round(whole * count.high / n) if n else 0,
            "n_ending": sum(month <= begin < after for begin, _ in following),
        }
    return found


def _next_begin(line: RenewalLine) -> date:
    return line.ends_on + timedelta(days=1)


def _owed(desk: Desk, first: date, until: date) -> tuple[Mapping[date, int], int]:
    """Inspections of signed contracts not done yet, by the month of their last day.

    What is overdue stands in the first month; how many that are.
    """
    windows = windows_closing(desk, first=add_months(first, -LATE_MONTHS), until=until)
    found: dict[date, int] = defaultdict(int)
    n_overdue = 0
    for one in windows:
        if one.window.is_filled or one.window.state is WindowState.MISSED:
            continue
        n_overdue += one.window.closes_on < desk.today
        found[max(first, one.window.closes_on.replace(day=1))] += 1
    return found, n_overdue


def _hours_there(desk: Desk, first: date, until: date) -> dict[date, int]:
    """Working minutes of everybody by month, days off and holidays left out, from today on."""
    monday = monday_of(first)
    n_weeks = (until - monday).days // 7 + 1
    found: dict[date, int] = defaultdict(int)
    for day, lead in staff_of(desk, monday, n_weeks).shifts.values():
        if desk.today <= day < until:
            length = lead.day_until_min - lead.day_from_min - lead.break_min
            found[day.replace(day=1)] += length
    return dict(found)


class _Load:
    """Work by month at the fleet's usual times: inspections, callbacks, everything else."""

    def __init__(
        self,
        facts: Facts,
        open_: Iterable[RenewalLine],
        known: Renewing,
        owed: Mapping[date, int],
        months: Sequence[date],
    ) -> None:
        usual = facts.usual
        parts = usual.inspection_min, usual.inspection_road_min
        self.each_min = sum(p for p in parts if p is not None) if parts[0] is not None else None
        self.owed = owed
        self.share = known.share
        self.following = [(_next_begin(line), line.visits_a_year) for line in open_]
        n = len(facts.ending)
        calls = facts.calls.mean if facts.calls else 0.0
        length = (usual.callback_min or 0.0) + (usual.callback_road_min or 0.0)
        self.calls_min = n * calls * length / 12
        self.other_min = n * (usual.other_min + usual.other_road_min) / 12
        self.months = months

    def of(self, month: date) -> "_MonthLoad":
        """The work of one month. Renewed contracts owe their visits evenly over the year."""
        end = add_months(month, 1)
        days = (end - month).days
        expected = self.share * sum(
            visits / 12 * (end - max(begin, month)).days / days
            for begin, visits in self.following
            if begin < end
        )
        return _MonthLoad(self.owed.get(month, 0), expected)


@dataclass(frozen=True, slots=True)
class _MonthLoad:
    """Inspections owed of signed contracts, and of those to be renewed."""

    owed: int
    expected: float
