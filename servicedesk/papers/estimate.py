"""The paper of an estimate: what is to be done, what it comes to, and room for the answer."""

from dataclasses import dataclass

from servicedesk.papers.inspection_report import report_pdf
from servicedesk.papers.layout import PageName
from servicedesk.papers.report_rows import Fact, ReportPaper, ReportRow, ReportSection
from servicedesk.words import say


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """An estimate in words. `number` is "Estimate 118", or that it is a draft.

    `meanwhile` is what holds until the work is done, `needs` what it takes, `reach` how to answer.
    """

    letterhead: tuple[str, ...]
    to: tuple[str, ...]
    place: str
    number: str
    day: str
    permit: str
    since: str
    what: str
    needs: str
    meanwhile: str
    amount: str
    note: str
    reach: str
    foot: str
    invented: str


def estimate_pdf(paper: Estimate, size: PageName = "letter") -> bytes:
    """The paper as PDF. The same rows give the same bytes."""
    return report_pdf(estimate_paper(paper), size)


def estimate_paper(paper: Estimate) -> ReportPaper:
    """The estimate as a report: the work, the amount, what it is and is not, the answer."""
    work = [paper.what]
    if paper.needs:
        work.append(say("It takes: {what}.", what=paper.needs))
    if paper.meanwhile:
        work.append(say("Until then this holds: {what}. It is not lasting.", what=paper.meanwhile))
    amount = ReportSection(
        title=say("What it comes to"),
        head=(say("Work"), say("Amount")),
        widths=(0.7, 0.3),
        rows=(ReportRow((paper.what, paper.amount), strong=True),),
        note=say(
            "This is an estimate and not a bill. If more turns out to be needed we ask you again "
            "before it is done. Taxes are not in it."
        ),
    )
    answer = say(
        "We begin once you agree. Sign below and send this paper back, or tell us: {reach}.",
        reach=paper.reach,
    )
    sections = [ReportSection(title=say("What is to be done"), text=tuple(work)), amount]
    if paper.note:
        sections.append(ReportSection(title=say("Also to know"), text=(paper.note,)))
    sections.append(ReportSection(title=say("Your answer"), text=(answer,)))
    return ReportPaper(
        letterhead=paper.letterhead,
        to=paper.to,
        title=say("Estimate"),
        subtitle=paper.place,
        number=paper.number,
        day=paper.day,
        facts=(Fact(say("Permit"), paper.permit), Fact(say("Owed since"), paper.since)),
        sections=tuple(sections),
        signed=(
            say("[__]  I agree to this work for the amount above."),
            say("[__]  I do not want this work done."),
            "",
            say("Name and day: ______________________________________________"),
            "",
            say("Signature: _________________________________________________"),
        ),
        foot=paper.foot,
        invented=paper.invented,
    )
