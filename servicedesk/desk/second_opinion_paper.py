"""The second opinion as lines for the shell and as one page."""

from servicedesk.desk.causes_cli import next_title
from servicedesk.desk.office import Desk
from servicedesk.desk.second_opinion import SecondOpinion
from servicedesk.papers.layout import PageName
from servicedesk.papers.second_opinion import OpinionPage, PageCause, PageCheck, opinion_pdf
from servicedesk.words import say, say_n

N_CAUSES, N_CHECKS = 6, 5


def opinion_paper(desk: Desk, told: SecondOpinion) -> bytes:
    """The page as PDF, on the company's size of paper."""
    size: PageName = "a4" if desk.company.page_size == "a4" else "letter"
    return opinion_pdf(_page(desk, told), size)


def opinion_text(desk: Desk, told: SecondOpinion) -> list[str]:
    """The same in lines, cautions uncut."""
    page = _page(desk, told)
    lines = [page.address, page.symptoms, page.facts, "", say("What it may be:")]
    lines += [f"  {round(100 * one.chance):3d} %  {one.name}" for one in page.causes]
    sections = (
        (say("Why nobody can be sure yet:"), page.notes),
        (
            f"{page.next_title}:",
            [f"{one.name} ({one.minutes}): {one.how}" for one in page.next_checks],
        ),
        (say("Never done here, or not since the part was changed:"), page.never_done),
        (say("Lasting fix of the first cause:"), [page.fix] if page.fix else []),
        (say("Bring:"), page.to_bring),
        (say("Take care:"), page.cautions),
    )
    for title, texts in sections:
        if texts:
            lines += ["", title, *(f"  {text}" for text in texts)]
    return lines


def _page(desk: Desk, told: SecondOpinion) -> OpinionPage:
    causes = [PageCause(one.name, one.chance) for one in told.causes[:N_CAUSES]]
    causes.append(PageCause(say("Something not in this list"), told.unlisted))
    foot = (
        desk.company.name,
        desk.formats.long_day(desk.today),
        desk.company.invented_note,
        say("A second opinion, no proof: test before you change anything."),
    )
    return OpinionPage(
        address=told.address,
        symptoms=", ".join(told.symptoms),
        facts=_facts(told),
        causes=tuple(sorted(causes, key=lambda one: -one.chance)),
        notes=told.why_not_sure,
        fix=told.causes[0].permanent_fix if told.causes else "",
        next_title=next_title(sure=told.sure),
        next_checks=tuple(
            PageCheck(one.name, desk.formats.minutes(round(one.minutes)), one.how)
            for one in told.next_checks[:N_CHECKS]
        ),
        never_done=tuple(one.name for one in told.never_done),
        to_bring=tuple(f"{one.name} ({round(100 * one.chance)} %)" for one in told.to_bring),
        cautions=told.cautions,
        foot=" · ".join(part for part in foot if part),
    )


def _facts(told: SecondOpinion) -> str:
    visits = (
        say_n("{n} earlier visit looked at", "{n} earlier visits looked at", told.n_visits)
        if told.n_visits
        else say("no history: the symptom alone speaks")
    )
    cases = (
        say_n("{n} confirmed case of our own", "{n} confirmed cases of our own", told.n_cases)
        if told.n_cases
        else say("no confirmed case of our own yet")
    )
    return say("{visits} · {cases} · model: {model}", visits=visits, cases=cases, model=told.model)
