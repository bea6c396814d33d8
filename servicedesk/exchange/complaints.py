"""Faults turned into sentences: what is wrong in which cell, and how to mend it."""

from servicedesk.exchange.columns import Mapping
from servicedesk.exchange.rowreader import Fault
from servicedesk.exchange.sheetfile import column_letters
from servicedesk.exchange.understood import Complaint, Severity
from servicedesk.words import say

WARN, ASK, SKIP = Severity.WARN, Severity.ASK, Severity.SKIP


def complaint_of(row: int, fault: Fault, mapping: Mapping) -> Complaint:
    """The complaint about one fault in a row of the file."""
    what, how, severity = _sentences(fault)
    heading = next((c.heading for c in mapping.choices if c.col == fault.col), "")
    return Complaint(
        row=row,
        ref=f"{column_letters(fault.col)}{row}" if fault.col else "",
        column=heading,
        what=what,
        how=how,
        severity=severity,
    )


def _sentences(fault: Fault) -> tuple[str, str, Severity]:
    for table in (_about_rows, _about_dates, _about_contacts, _about_figures):
        found = table(fault.text).get(fault.code)
        if found:
            return found
    raise KeyError(fault.code)


Sentences = dict[str, tuple[str, str, Severity]]


def _about_rows(text: str) -> Sentences:
    return {
        "nothing": (
            say("The row has no name, address, number or permit."),
            say("Write at least a name or an address, or delete the row."),
            SKIP,
        ),
        "two addresses": (
            say("{number} already stands at another address.", number=text),
            say("Correct the number or the address, or confirm that these are two sites."),
            ASK,
        ),
        "two owners": (
            say("Row {row} has the same address and another owner.", row=text),
            say("Confirm that both systems stand at one site, or correct the address."),
            ASK,
        ),
        "differs": (
            say("Two rows about one system differ: {values}.", values=text),
            say("The first one is taken. Correct the list if the other is right."),
            WARN,
        ),
        "repeated": (
            say("The row says nothing that row {row} does not.", row=text),
            say("Nothing to do; it is counted once."),
            WARN,
        ),
        "too wide": (
            say("The row has more cells than there are headings: {text}", text=text[:60]),
            say("Perhaps a text with a comma lacks its quotation marks. Check the whole row."),
            ASK,
        ),
        "formula": (
            say("The cell begins like a formula: “{text}”.", text=text[:60]),
            say("It is kept as text and never run."),
            WARN,
        ),
        "no result": (
            say("The cell holds a formula whose result is not in the file."),
            say("It is read as empty. Open the file, save it again, or write the value."),
            WARN,
        ),
        "broken": (
            say("The cell holds the spreadsheet's own error mark."),
            say("It is read as empty. Mend the formula or write the value."),
            WARN,
        ),
    }


def _about_dates(text: str) -> Sentences:
    return {
        "impossible": (
            say("No calendar has the day {day}.", day=text),
            say("Correct the date in the list; the rest of the row is read."),
            WARN,
        ),
        "no date": (
            say("No day can be read from \u201c{text}\u201d.", text=text),
            say("Write it like 2026-03-31 or Mar 31, 2026."),
            WARN,
        ),
        "future": (
            say("The visit of {day} lies in the future.", day=text),
            say("It is not taken as a past visit. Check the year."),
            WARN,
        ),
        "month only": (
            say("\u201c{text}\u201d tells the month but not the day.", text=text),
            say("The first of the month is noted, marked as month only."),
            WARN,
        ),
        "month column": (
            say("The heading \u201c{text}\u201d tells the month but not the day.", text=text),
            say("Visits below it are noted on the first of the month, marked as month only."),
            WARN,
        ),
        "year only": (
            say("\u201c{text}\u201d tells only the year.", text=text),
            say("The beginning of the year is noted, its end where something ends."),
            WARN,
        ),
        "serial": (
            say("{number} is a date that lost its format.", number=text),
            say("It is read as the spreadsheet counts days. Check one of them."),
            WARN,
        ),
        "backwards": (
            say("The contract ends before it begins: {days}.", days=text),
            say("The end is left out. Correct one of the two."),
            WARN,
        ),
        "turned": (
            say("The column holds real dates and texts such as {text} side by side.", text=text),
            say("The real ones may have day and month exchanged. Compare some with your papers."),
            WARN,
        ),
    }


def _about_contacts(text: str) -> Sentences:
    keep = say("It is kept as typed. Correct it when you next talk to them.")
    return {
        "phone too short": (say("{phone} is too short.", phone=text), keep, WARN),
        "phone too long": (say("{phone} is too long.", phone=text), keep, WARN),
        "phone not a number": (say("{phone} is no phone number.", phone=text), keep, WARN),
        "phone not possible": (
            say("No telephone can have the number {phone}.", phone=text),
            keep,
            WARN,
        ),
        "phone no area code": (say("{phone} has no area code.", phone=text), keep, WARN),
        "no phone": (
            say("\u201c{text}\u201d is no phone number.", text=text),
            say("It is kept as a note."),
            WARN,
        ),
        "email": (
            say("\u201c{text}\u201d is no e-mail address.", text=text),
            say("It is kept as a note."),
            WARN,
        ),
        "position": (
            say("No place can be read from \u201c{text}\u201d.", text=text),
            say("The site is brought in without a position. Write it like 29.75830, -94.36940."),
            WARN,
        ),
        "place zero": (
            say("The position 0, 0 lies in the sea off Africa."),
            say("It is taken as no position."),
            WARN,
        ),
        "place far": (
            say("The position {place} lies far from the others.", place=text),
            say("Check it on the map; until then it counts as doubtful."),
            WARN,
        ),
        "place none": (
            say("There is no such place as {place}.", place=text),
            say("The site is brought in without a position."),
            WARN,
        ),
    }


def _about_figures(text: str) -> Sentences:
    return {
        "number": (
            say("\u201c{text}\u201d is no whole number that can be right.", text=text),
            say("It is kept as a note. Write a single number."),
            WARN,
        ),
        "often": (
            say("How often is \u201c{text}\u201d?", text=text),
            say("It is kept as a note. Write it like 3 a year or every 4 months."),
            ASK,
        ),
        "doubtful often": (
            say("\u201c{text}\u201d is used for two different intervals.", text=text),
            say("Check the visits a year, or write it like 2 a year."),
            ASK,
        ),
        "uneven often": (
            say("\u201c{text}\u201d does not divide the year evenly.", text=text),
            say("The whole visits a year are taken. Check the contract."),
            ASK,
        ),
        "price": (
            say("No price can be read from \u201c{text}\u201d.", text=text),
            say("It is left out. Write it like 285.00."),
            WARN,
        ),
        "foreign": (
            say("{price} is not in the company's currency.", price=text),
            say("Write it in the company's currency, or leave the price out."),
            ASK,
        ),
    }
