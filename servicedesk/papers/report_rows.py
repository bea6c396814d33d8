"""What a report is made of: frozen rows, every text already in the reader's words."""

from dataclasses import dataclass
from typing import Literal

Mark = Literal["", "good", "watch", "failed", "open"]


@dataclass(frozen=True, slots=True)
class Fact:
    """A label and what stands beside it: "Permit", "TC-00041"."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class ReportRow:
    """A row of a table: its cells, and how it stands (a sign before it, and words in a cell)."""

    cells: tuple[str, ...]
    mark: Mark = ""
    strong: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportSection:
    """A heading with text, or with a table.

    `widths` are the columns' shares of the page's width, one a cell; `head` their headings.
    `text` stands above the rows, `note` in small letters below them.
    """

    title: str
    text: tuple[str, ...] = ()
    head: tuple[str, ...] = ()
    widths: tuple[float, ...] = (1.0,)
    rows: tuple[ReportRow, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportPaper:
    """A report or a letter about a visit.

    `letterhead` is the company as it stands over its papers, name first; `to` the address it goes
    to, line by line; `number` "Report 118", or that it is a draft. `changed` is what a corrected
    report has otherwise than the first one. `signed` is who signed it and by which license;
    empty: it waits for the signature. `invented` marks invented data.
    """

    letterhead: tuple[str, ...]
    to: tuple[str, ...]
    title: str
    number: str
    day: str
    subtitle: str = ""
    facts: tuple[Fact, ...] = ()
    changed: tuple[str, ...] = ()
    sections: tuple[ReportSection, ...] = ()
    cautions: tuple[str, ...] = ()
    signed: tuple[str, ...] = ()
    foot: str = ""
    invented: str = ""
