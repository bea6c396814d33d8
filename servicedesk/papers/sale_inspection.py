"""The paper of a sale inspection: state of each part, what could not be seen, and no promise."""

from collections.abc import Iterable
from dataclasses import dataclass

from servicedesk.papers.inspection_report import report_pdf
from servicedesk.papers.layout import PageName
from servicedesk.papers.report_rows import Fact, Mark, ReportPaper, ReportRow, ReportSection
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class SalePart:
    """One part of the system: since when and which, how it stands, what was found there."""

    name: str
    what: str
    state: str
    found: str
    mark: Mark = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SaleInspection:
    """A sale inspection in words.

    `others` was looked at and is no part of its own; `unseen` says what could not be seen and
    why, as far as known. `readings`, `owed`, `work` are sections as every report has them.
    `number` is "Report 118", or that it is a draft; `signed` who signs it, empty: it waits for
    the signature.
    """

    letterhead: tuple[str, ...]
    to: tuple[str, ...]
    place: str
    number: str
    day: str
    visited: str
    facts: tuple[Fact, ...]
    parts: tuple[SalePart, ...]
    unseen: tuple[str, ...]
    others: tuple[SalePart, ...] = ()
    readings: ReportSection | None = None
    work: ReportSection | None = None
    owed: ReportSection | None = None
    changed: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    signed: tuple[str, ...] = ()
    foot: str = ""
    invented: str = ""


def sale_pdf(paper: SaleInspection, size: PageName = "letter") -> bytes:
    """The paper as PDF. The same rows give the same bytes."""
    return report_pdf(sale_paper(paper), size)


def sale_paper(paper: SaleInspection) -> ReportPaper:
    """The paper as a report: in short, each part, the unseen, what it says and what it does not."""
    found: Iterable[ReportSection | None] = (
        _short(paper),
        _parts(paper.parts),
        _others(paper.others),
        _unseen(paper.unseen),
        paper.readings,
        paper.work,
        paper.owed,
        _limits(paper),
    )
    return ReportPaper(
        letterhead=paper.letterhead,
        to=paper.to,
        title=say("Inspection for a sale"),
        subtitle=paper.place,
        number=paper.number,
        day=paper.day,
        facts=paper.facts,
        changed=paper.changed,
        sections=tuple(section for section in found if section is not None),
        cautions=paper.cautions,
        signed=paper.signed,
        foot=paper.foot,
        invented=paper.invented,
    )


def _short(paper: SaleInspection) -> ReportSection:
    n = len(paper.parts)
    seen = (*paper.parts, *paper.others)
    bad = [part.name for part in seen if part.mark == "failed"]
    watch = [part.name for part in seen if part.mark == "watch"]
    unseen = [part.name for part in paper.parts if part.mark == "open"]
    texts = [say("Parts of the system written down: {n}.", n=n)]
    if bad:
        texts.append(say("Not in order: {parts}.", parts="; ".join(bad)))
    if watch:
        texts.append(say("To be watched: {parts}.", parts="; ".join(watch)))
    if unseen:
        texts.append(say("Not seen: {parts}.", parts="; ".join(unseen)))
    if not (bad or watch or unseen):
        texts.append(say("Nothing that was looked at was found out of order."))
    return ReportSection(title=say("In short"), text=tuple(texts))


def _parts(parts: Iterable[SalePart]) -> ReportSection:
    rows = _rows(parts)
    return ReportSection(
        title=say("State of each part"),
        head=(say("Part"), say("State"), say("What was found")),
        widths=(0.38, 0.18, 0.44),
        rows=rows,
        note="" if rows else say("No part of the system is written down."),
    )


def _rows(parts: Iterable[SalePart]) -> tuple[ReportRow, ...]:
    return tuple(
        ReportRow(
            (" · ".join(p for p in (part.name, part.what) if p), part.state, part.found),
            part.mark,
            strong=part.mark == "failed",
        )
        for part in parts
    )


def _others(others: tuple[SalePart, ...]) -> ReportSection | None:
    if not others:
        return None
    return ReportSection(
        title=say("Also looked at"),
        head=(say("What"), say("State"), say("What was found")),
        widths=(0.48, 0.18, 0.34),
        rows=_rows(others),
    )


def _unseen(unseen: tuple[str, ...]) -> ReportSection:
    return ReportSection(
        title=say("What could not be seen"),
        text=unseen or (say("Every part that is written down was looked at."),),
        note=say(
            "Nobody entered a tank. What lies under ground, under water or behind a cover that "
            "was not opened was not seen unless it is named above."
        ),
    )


def _limits(paper: SaleInspection) -> ReportSection:
    return ReportSection(
        title=say("What this paper says, and what it does not"),
        text=(
            say("It says how the system was found on {day}, and nothing more.", day=paper.visited),
            say(
                "It is no promise for the future: not of how long any part will last, nor that "
                "the system will go on working as it was found, with other people in the house, "
                "other use or other weather. It is no guarantee and no insurance."
            ),
            say(
                "What a sale, a permit or a transfer asks for is set by your permitting authority; "
                "check with it. Electrical work belongs to licensed people under the local code."
            ),
        ),
    )
