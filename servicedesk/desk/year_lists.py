"""Inspections of the year and the months to come as text tables, and as a paper of figures."""

from servicedesk.desk.office import Desk
from servicedesk.desk.report_content import page_size
from servicedesk.desk.year_figures import hours_shown, income_shown, outlook_lines, pumps_shown
from servicedesk.desk.year_inspections import YearInspections
from servicedesk.desk.year_outlook import Outlook
from servicedesk.desk.year_pumps import basis_lines
from servicedesk.exchange.csvtext import Cell, csv_bytes
from servicedesk.papers.outlook_page import OutlookPaper, outlook_pdf
from servicedesk.words import say
from servicedesk.words.formats import minor_digits


def inspections_csv(year: YearInspections) -> bytes:
    """Counts by month of the last day."""
    heads = [
        say("Month"), say("Inspections"), say("Done in time"), say("Late by us"),
        say("Late for want of access"), say("Never done, ours"), say("Never done, no access"),
        say("Still owed"),
    ]  # fmt: skip
    named = [(f"{month:%Y-%m}", counts) for month, counts in year.months]
    table: list[list[Cell]] = [
        [
            name, counts.all, counts.done, counts.late_ours, counts.late_no_access,
            counts.missed_ours, counts.missed_no_access, counts.owed,
        ]
        for name, counts in (*named, (say("Sum"), year.total))
    ]  # fmt: skip
    return csv_bytes([heads, *table])


def late_csv(year: YearInspections) -> bytes:
    """Every inspection that was late, whose lateness it is in days."""
    heads = [
        say("Address"), say("Locality"), say("Contract"), say("Inspection"), say("Last day"),
        say("Done"), say("Days late by us"), say("Days for want of access"), say("Never done"),
    ]  # fmt: skip
    table: list[list[Cell]] = [
        [
            one.address, one.locality, one.contract_number, one.ordinal,
            one.closes_on.isoformat(), one.done_on.isoformat() if one.done_on else "",
            one.late.ours, one.late.no_access, say("yes") if one.is_missed else "",
        ]
        for one in year.late
    ]  # fmt: skip
    return csv_bytes([heads, *table])


def outlook_csv(seen: Outlook) -> bytes:
    """The months to come, one row each; money in units with a point, work in hours."""
    digits = minor_digits(seen.currency)

    def units(minor: int) -> str:
        return f"{minor / 10**digits:.{digits}f}"

    heads = [
        say("Month"), say("Signed contracts"), say("Renewals to expect"), say("Renewals, low"),
        say("Renewals, high"), say("Contracts ending"), say("Inspections owed"),
        say("Inspections of renewals"), say("Hours of inspections"), say("Hours of renewals"),
        say("Hours of callbacks"), say("Hours of other work"), say("Hours there are"),
        say("Tanks to pump"),
    ]  # fmt: skip
    table: list[list[Cell]] = [
        [
            f"{one.month:%Y-%m}", units(one.signed_minor), units(one.expected_minor),
            units(one.low_minor), units(one.high_minor), one.n_ending, one.owed,
            round(one.owed_expected, 1), *(
                round(minutes / 60, 1)
                for minutes in (one.inspections_min, one.expected_min, one.calls_min,
                                one.other_min, one.there_min)
            ), len(seen.pumps.of_month(one.month)),
        ]
        for one in seen.months
    ]  # fmt: skip
    return csv_bytes([heads, *table])


def outlook_paper(desk: Desk, seen: Outlook) -> bytes:
    """The figures on paper."""
    first, *rest = outlook_lines(desk, seen)
    f = desk.formats
    parts = (desk.company.name, f.long_day(desk.today), desk.company.invented_note)
    paper = OutlookPaper(
        title=say("The months to come"),
        second=say("{first} to {last}", first=f.month(seen.months[0].month),
                   last=f.month(seen.months[-1].month)),
        figures=(
            (say("Income of contracts"), income_shown(desk, seen), (first, rest[0])),
            (say("Hours wanted beside hours there are"), hours_shown(desk, seen), tuple(rest[1:])),
            (say("Tanks to pump"), pumps_shown(desk, seen), basis_lines(desk, seen.pumps)),
        ),
        foot=" \u00b7 ".join(part for part in parts if part),
    )  # fmt: skip
    return outlook_pdf(paper, page_size(desk))
