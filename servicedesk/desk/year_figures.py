"""Inspections of the year and the months to come as figures, in words."""

from datetime import date

from servicedesk.desk.office import Desk
from servicedesk.desk.year_inspections import InspectionCounts, YearInspections
from servicedesk.desk.year_outlook import MonthOutlook, Outlook
from servicedesk.desk.year_pumps import PumpList
from servicedesk.desk.year_words import percent, whole
from servicedesk.papers.outlook_figures import ColumnsShown, Kind, MonthColumn
from servicedesk.words import say, say_n
from servicedesk.words.formats import minor_digits


def _month(desk: Desk, month: date) -> str:
    """As "Oct"."""
    return desk.formats.month(month).split(" ", maxsplit=1)[0]


def _year(month: date, *, first: bool) -> str:
    """The year where one begins, and at the first column."""
    return str(month.year) if first or month.month == 1 else ""


def inspections_shown(desk: Desk, year: YearInspections) -> ColumnsShown:
    """Windows by the month of their last day."""
    kinds = (
        Kind(words=say("done in time"), color="moss"),
        Kind(words=say("late for want of access"), color="ochre", look="soft"),
        Kind(words=say("late by us"), color="clay", look="hatch"),
        Kind(words=say("never done"), color="clay"),
        Kind(words=say("still owed"), color="water", look="hollow"),
    )
    columns = []
    for n, (month, counts) in enumerate(year.months):
        late = counts.late + counts.missed
        columns.append(
            MonthColumn(
                label=_month(desk, month),
                year=_year(month, first=not n),
                parts=(counts.done, counts.late_no_access, counts.late_ours, counts.missed,
                       counts.owed),
                top=say("{n} late", n=late) if late else "",
                spoken=f"{desk.formats.month(month)}: {counts_words(counts)}",
            )
        )  # fmt: skip
    return ColumnsShown(kinds=kinds, columns=tuple(columns), unit=say("inspections, by last day"))


def counts_words(counts: InspectionCounts) -> str:
    """As "811 done in time, 64 late by us, 3 late for want of access, 220 still owed"."""
    parts = [
        say("{n} done in time", n=counts.done),
        say("{n} late by us", n=counts.late_ours) if counts.late_ours else "",
        say("{n} late for want of access", n=counts.late_no_access)
        if counts.late_no_access
        else "",
        say("{n} never done", n=counts.missed) if counts.missed else "",
        say("{n} still owed", n=counts.owed) if counts.owed else "",
    ]
    return ", ".join(part for part in parts if part)


def income_shown(desk: Desk, seen: Outlook) -> ColumnsShown:
    """Contract income by month: signed, and what renewals will likely bring."""
    unit = 10 ** minor_digits(seen.currency)
    columns = []
    for n, one in enumerate(seen.months):
        total = one.signed_minor + one.expected_minor
        columns.append(
            MonthColumn(
                label=_month(desk, one.month),
                year=_year(one.month, first=not n),
                parts=(one.signed_minor / unit, one.expected_minor / unit),
                low=(one.signed_minor + one.low_minor) / unit,
                high=(one.signed_minor + one.high_minor) / unit,
                top=whole(desk, total),
                spoken=say(
                    "{month}: {signed} signed, {expected} from renewals ({low} to {high})",
                    month=desk.formats.month(one.month), signed=whole(desk, one.signed_minor),
                    expected=whole(desk, one.expected_minor), low=whole(desk, one.low_minor),
                    high=whole(desk, one.high_minor),
                ),
            )
        )  # fmt: skip
    return ColumnsShown(
        kinds=(
            Kind(words=say("signed contracts"), color="moss"),
            Kind(words=say("renewals to expect"), color="water", look="hollow"),
        ),
        columns=tuple(columns),
        unit=say("income of contracts a month, {currency}", currency=seen.currency),
        range_words=say("range of the whole, four times in five"),
    )


def hours_shown(desk: Desk, seen: Outlook) -> ColumnsShown:
    """Hours that inspections and callbacks will take, beside the hours there are."""
    kinds = (
        Kind(words=say("inspections owed"), color="water"),
        Kind(words=say("inspections of renewals"), color="water", look="hollow"),
        Kind(words=say("callbacks as usual"), color="plum", look="soft"),
        Kind(words=say("other work as usual"), color="ink2", look="hatch"),
    )
    columns = []
    for n, one in enumerate(seen.months):
        parts = (one.inspections_min, one.expected_min, one.calls_min, one.other_min)
        columns.append(
            MonthColumn(
                label=_month(desk, one.month),
                year=_year(one.month, first=not n),
                parts=tuple(minutes / 60 for minutes in parts),
                top=hours_words(desk, one),
                line=one.there_min / 60,
                spoken=say(
                    "{month}: {wanted} h of {there} h, {n} inspections owed",
                    month=desk.formats.month(one.month), wanted=round(one.wanted_min / 60),
                    there=round(one.there_min / 60), n=one.owed,
                ),
            )
        )  # fmt: skip
    return ColumnsShown(
        kinds=kinds, columns=tuple(columns), unit=say("hours a month, with the road"),
        line_words=say("hours there are"),
    )  # fmt: skip


def hours_words(desk: Desk, one: MonthOutlook) -> str:
    """As "36%": what is wanted of the hours there are; "" in a month without any."""
    return percent(desk, one.wanted_min / one.there_min, 0) if one.there_min else ""


def pumps_shown(desk: Desk, seen: Outlook) -> ColumnsShown:
    """Tanks to pump by month; what is at the limit already stands in the first."""
    pumps: PumpList = seen.pumps
    columns = []
    for n, one in enumerate(seen.months):
        lines = pumps.of_month(one.month)
        over = sum(line.is_over for line in lines)
        tanks = say_n("{n} tank", "{n} tanks", len(lines))
        columns.append(
            MonthColumn(
                label=_month(desk, one.month),
                year=_year(one.month, first=not n),
                parts=(float(over), float(len(lines) - over)),
                top=str(len(lines)) if lines else "",
                spoken=f"{desk.formats.month(one.month)}: {tanks}",
            )
        )
    return ColumnsShown(
        kinds=(
            Kind(words=say("at the limit already"), color="clay", look="hatch"),
            Kind(words=say("line reaches the limit"), color="ochre", look="soft"),
        ),
        columns=tuple(columns),
        unit=say("tanks to pump"),
    )


def outlook_lines(desk: Desk, seen: Outlook) -> tuple[str, ...]:
    """The months to come in sentences."""
    f, known = desk.formats, seen.renewing
    share = say(
        "{percent} of {n} contracts that ended were renewed ({low} to {high})",
        percent=percent(desk, known.share, 0), n=known.n, low=percent(desk, known.low, 0),
        high=percent(desk, known.high, 0),
    )  # fmt: skip
    found = [
        say_n(
            "{n} contract ends in these months and is not settled; about {expected} will be "
            "renewed ({low} to {high}).",
            "{n} contracts end in these months and are not settled; about {expected} will be "
            "renewed ({low} to {high}).",
            seen.n_ending, expected=round(seen.ending.expected), low=seen.ending.low,
            high=seen.ending.high,
        ),
        say("Counted on: {share}.", share=share),
    ]  # fmt: skip
    if seen.each_min is not None:
        found.append(
            say("An inspection takes {minutes} with its road, as in the last year.",
                minutes=f.minutes(round(seen.each_min)))
        )  # fmt: skip
    if seen.n_overdue:
        found.append(
            say_n("{n} inspection is overdue and stands in the first month.",
                  "{n} inspections are overdue and stand in the first month.", seen.n_overdue)
        )  # fmt: skip
    if seen.n_no_price:
        found.append(
            say_n("{n} signed contract has no price and brings nothing here.",
                  "{n} signed contracts have no price and bring nothing here.", seen.n_no_price)
        )  # fmt: skip
    return tuple(found)
