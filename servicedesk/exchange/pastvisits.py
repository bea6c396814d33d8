"""Past visits in a row: one date column with its companions, or a column per inspection."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from servicedesk.exchange.columns import Choice, Mapping
from servicedesk.exchange.dates import DayRead, read_day
from servicedesk.exchange.sheetfile import Row
from servicedesk.exchange.understood import Outcome, PastVisit

# What offices write when nobody could do the visit; common practice, no source
_COULD_NOT = re.compile(
    r"\b(no access|locked|not home|nobody home|no one home|refused|denied|could ?n[o']t|unable|"
    r"turned away|no entry|skipped|missed|gate closed|flooded|lid buried|power off|no power|"
    r"can'?t get in|cancell?ed|resched\w*|dog loose)\b",
    re.IGNORECASE,
)
_NOT_YET = re.compile(
    r"^(n/?a|none|no|-+|–|—|tbd|due|pending|x?\?+|0|not due|future)$", re.IGNORECASE
)
_MARK = re.compile(r"[xX✓✔*•]|yes|y", re.IGNORECASE)  # a mere mark says only that it was done
_DONE = re.compile(
    r"\b(ok|okay|done|complete[d]?|pass(ed)?|good|x|yes|y|fine|inspected|serviced|all well)\b|✓|✔",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class VisitColumn:
    """A column of visit dates with what its heading says, and the columns that go with it."""

    choice: Choice
    heading: DayRead
    year: int | None
    companions: tuple[tuple[str, int], ...]


def visit_columns(mapping: Mapping, *, day_first: bool | None, today: date) -> list[VisitColumn]:
    """The date columns of a mapping from left to right.

    Outcome, kind and technician columns belong to the nearest date column left of them, or to the
    first one where none stands to the left.
    """
    dates = mapping.columns("visit_date")
    companions: dict[int, list[tuple[str, int]]] = {choice.col: [] for choice in dates}
    for field in ("visit_kind", "visit_outcome", "visit_technician"):
        for choice in mapping.columns(field):
            left = [its.col for its in dates if its.col < choice.col]
            if dates:
                companions[left[-1] if left else dates[0].col].append((field, choice.col))
    found = []
    for choice in dates:
        year = re.search(r"\b(19|20)\d\d\b", choice.heading)
        heading = read_day(choice.heading, day_first=day_first, today=today)
        found.append(
            VisitColumn(
                choice,
                heading,
                int(year.group()) if year else None,
                tuple(companions[choice.col]),
            )
        )
    return found


def visits_in(
    row: Row,
    columns: list[VisitColumn],
    *,
    day_first: bool | None,
    today: date,
    complain: Callable[[int, str], None],
) -> list[PastVisit]:
    """The visits one row tells of. `complain(col, code)` hears of cells that are none.

    Codes: "impossible" day, "no date", "future", "month only", "serial".
    """
    visits = []
    for column in columns:
        visit = _visit(row, column, day_first=day_first, today=today, complain=complain)
        if visit is not None:
            visits.append(visit)
    return visits


def _visit(
    row: Row,
    column: VisitColumn,
    *,
    day_first: bool | None,
    today: date,
    complain: Callable[[int, str], None],
) -> PastVisit | None:
    col = column.choice.col
    text = row.text(col)
    if not text or _NOT_YET.match(text):
        return None
    by_heading = False
    read = read_day(row.value(col), day_first=day_first, today=today, year=column.year)
    if read.on is None and read.either is None:
        if read.impossible:
            complain(col, "impossible")
            return None
        if column.heading.on is None:
            complain(col, "no date")
            return None
        mark = _MARK.fullmatch(text) is not None
        read = DayRead(column.heading.on, column.heading.precision, rest="" if mark else text)
        by_heading = True
    if read.on is not None and read.on > today:
        complain(col, "future")
        return None
    if read.was_serial:
        complain(col, "serial")
    if read.on is not None and read.precision == "month" and not by_heading:
        complain(col, "month only")
    beside = {field: row.text(its) for field, its in column.companions}
    words = "; ".join(part for part in (read.rest, beside.get("visit_outcome", "")) if part)
    return PastVisit(
        on=read.on,
        precision=read.precision,
        either=read.either,
        outcome=outcome_of(words, f"{words} {beside.get('visit_kind', '')}"),
        kind=beside.get("visit_kind", ""),
        text=words,
        technician=beside.get("visit_technician", ""),
        ref=row.cell(col).ref,
    )


def outcome_of(words: str, all_words: str = "") -> Outcome:
    """What the words beside a visit tell. No words: it was done, for its date stands there."""
    if _COULD_NOT.search(all_words or words):
        return Outcome.COULD_NOT
    if not words or _DONE.search(words):
        return Outcome.DONE
    return Outcome.UNKNOWN
