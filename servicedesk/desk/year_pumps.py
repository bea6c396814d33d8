"""Pump-outs to expect, from each tank's own readings: a list for the hauler by month and area."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from servicedesk.desk.office import Desk
from servicedesk.desk.report_content import page_size, shared_of
from servicedesk.exchange.csvtext import Cell, csv_bytes
from servicedesk.papers.inspection_report import report_pdf
from servicedesk.papers.report_rows import ReportPaper, ReportRow, ReportSection
from servicedesk.records import outlook_rows as rows
from servicedesk.records.renewal_rows import price_policy
from servicedesk.renewals.sludge import (
    PumpForecast,
    Since,
    SolidsReading,
    pump_forecast,
    scatter,
    since_emptied,
)
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

# scum and sludge together are removed at 25 to 33 % of the liquid depth: trade pages (S34)
PUMP_AT_PERCENT = 30.0
# a system watched from its start on began with an empty tank; later nobody knows; no source
NEW_DAYS = 730


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpOut:
    """One tank: where, and when it will want pumping. `month` is at the soonest this one."""

    system: rows.TankSystem
    forecast: PumpForecast
    month: date
    is_over: bool  # the last reading is at the limit already


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpList:
    """Tanks to pump until a day (excluded), by month, area and address.

    `n_read` tanks have readings; of `n_unknown` of them nothing can be said yet.
    `scatter_points`: how far a reading strays from its line.
    """

    first: date
    until: date
    limit_percent: float
    is_own_limit: bool
    scatter_points: float
    n_read: int
    n_unknown: int
    lines: tuple[PumpOut, ...]

    def of_month(self, month: date) -> tuple[PumpOut, ...]:
        """Those of one month, by its first day."""
        return tuple(one for one in self.lines if one.month == month)


def pump_list(desk: Desk, *, first: date, until: date) -> PumpList:
    """Pump-outs to expect before `until`; what is over already stands in the month `first`.

    Raises Trouble for a limit of the company nobody can reckon with.
    """
    with desk.store.read() as session:
        systems = rows.tank_systems(session)
        read = rows.solids(session)
        pumped = rows.pump_outs(session)
        policy = price_policy(session)
    limit, is_own = _limit(policy)
    fillings = {
        key: _filling(read[key], pumped.get(key, []), systems[key].started_on)
        for key in sorted(read)
        if key in systems
    }
    strays = scatter(fillings.values())
    found, n_unknown = [], 0
    for key, filling in fillings.items():
        forecast = pump_forecast(filling, limit=limit, scatter_points=strays)
        is_over = bool(filling.readings) and filling.readings[-1].percent >= limit
        if forecast is None:
            n_unknown += 1
            continue
        on = desk.today if is_over else max(forecast.on, first)
        if on < until:
            found.append(
                PumpOut(system=systems[key], forecast=forecast, month=on.replace(day=1),
                        is_over=is_over)
            )  # fmt: skip
    found.sort(key=lambda one: (one.month, one.system.locality, one.system.address,
                                one.system.system_id))  # fmt: skip
    return PumpList(
        first=first, until=until, limit_percent=limit, is_own_limit=is_own,
        scatter_points=strays, n_read=len(fillings), n_unknown=n_unknown, lines=tuple(found),
    )  # fmt: skip


def _limit(policy: Mapping[str, Any]) -> tuple[float, bool]:
    own = policy.get("pump_at_percent")
    if own is None:
        return PUMP_AT_PERCENT, False
    if isinstance(own, bool) or not isinstance(own, int | float) or not 1 <= own <= 100:
        raise Trouble(
            say("The share of solids at which a tank is pumped is no percentage."),
            do=say("Correct it in Set up: a number from 1 to 100."),
        )
    return float(own), True


def _filling(read: list[tuple[date, float]], pumped: list[date], started_on: date | None) -> Since:
    readings = [SolidsReading(on, percent) for on, percent in read]
    emptied = list(pumped)
    first = min(one.on for one in readings)
    if started_on is not None and timedelta(0) <= first - started_on <= timedelta(days=NEW_DAYS):
        emptied.append(started_on)
    return since_emptied(readings, emptied)


def span_text(desk: Desk, one: PumpOut) -> str:
    """Between which months, as "Mar 2027 to Sep 2027"; an end nobody can name is left open."""
    month = desk.formats.month
    early = month(max(one.forecast.early_on, desk.today))
    if one.is_over:
        return say("at the limit already")
    if one.forecast.late_on is None:
        return say("{early} or later", early=early)
    late = month(max(one.forecast.late_on, desk.today))
    return early if early == late else say("{early} to {late}", early=early, late=late)


def pump_csv(desk: Desk, pumps: PumpList) -> bytes:
    """The list for the hauler as a text table."""
    heads = [
        say("Month"), say("Area"), say("Address"), say("Site"), say("Permit"), say("Expected"),
        say("From"), say("To"), say("Last reading, %"), say("Read on"), say("Points a year"),
        say("Readings"), say("Lids"),
    ]  # fmt: skip
    table: list[list[Cell]] = [
        [
            f"{one.month:%Y-%m}", one.system.locality, one.system.address, one.system.site_number,
            one.system.permit, max(one.forecast.on, desk.today).isoformat(),
            one.forecast.early_on.isoformat(),
            one.forecast.late_on.isoformat() if one.forecast.late_on else "",
            round(one.forecast.last.percent, 1), one.forecast.last.on.isoformat(),
            round(one.forecast.a_year, 1), one.forecast.n, one.system.lids_note,
        ]
        for one in pumps.lines
    ]  # fmt: skip
    return csv_bytes([heads, *table])


def pump_pdf(desk: Desk, pumps: PumpList) -> bytes:
    """The list for the hauler on paper: a section a month, its areas one after the other."""
    f = desk.formats
    months = sorted({one.month for one in pumps.lines})
    sections = [
        ReportSection(
            title=f.month(month),
            head=(say("Area"), say("Where"), say("Permit"), say("Expected"), say("Last reading"),
                  say("Lids")),
            widths=(0.11, 0.21, 0.17, 0.2, 0.17, 0.14),
            rows=tuple(_paper_row(desk, one) for one in pumps.of_month(month)),
        )
        for month in months
    ]  # fmt: skip
    n = len(pumps.lines)
    intro = (
        say_n("{n} tank will want pumping by {day}.", "{n} tanks will want pumping by {day}.", n,
              day=f.day(pumps.until - timedelta(days=1))),
        *basis_lines(desk, pumps),
    )  # fmt: skip
    paper = ReportPaper(
        letterhead=shared_of(desk).letterhead,
        to=(say("To the hauler"),),
        title=say("Pump-outs to expect"),
        number="",
        day=f.long_day(desk.today),
        sections=(ReportSection(title=say("What this is"), text=intro), *sections),
        foot=desk.company.name,
        invented=desk.company.invented_note,
    )
    return report_pdf(paper, page_size(desk))


def _paper_row(desk: Desk, one: PumpOut) -> ReportRow:
    f, last = desk.formats, one.forecast.last
    read = say("{percent}%, {day}", percent=f.number(round(last.percent)), day=f.day(last.on))
    return ReportRow(
        (
            one.system.locality or say("no area"),
            one.system.address,
            one.system.permit,
            span_text(desk, one),
            read,
            one.system.lids_note,
        )
    )


def basis_lines(desk: Desk, pumps: PumpList) -> tuple[str, ...]:
    """What the list rests on, in sentences."""
    f = desk.formats
    limit = f.number(round(pumps.limit_percent, 1))
    own = (
        say("Counted to {limit}% of the liquid depth, your figure.", limit=limit)
        if pumps.is_own_limit
        else say("Counted to {limit}% of the liquid depth; scum and sludge together are removed "
                 "at 25 to 33% (trade pages). Ask your permitting authority.", limit=limit)
    )  # fmt: skip
    unknown = say_n(
        "Of {n} tank with readings nothing can be said yet.",
        "Of {n} tanks with readings nothing can be said yet.",
        pumps.n_unknown,
    )
    return (
        own,
        say("Each day comes from a line through that tank's own readings since it was last "
            "emptied; the range holds it about four times in five, where a reading strays by "
            "{points} points.", points=f.number(round(pumps.scatter_points, 1))),
        *((unknown,) if pumps.n_unknown else ()),
    )  # fmt: skip
