"""A second opinion on one trouble: what it may be, what to check next, what was never tested.

Works at a site that nobody has seen before: then the symptom alone speaks.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from servicedesk.desk.alert_evidence import N_BRING, N_CAUSES, N_NEXT
from servicedesk.desk.alert_lines import (
    CauseLine,
    CheckLine,
    PartLine,
    cause_lines,
    check_lines,
    part_lines,
)
from servicedesk.desk.cases import Place, case_at, place_of
from servicedesk.desk.causes_cli import names_of
from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.learned import learned
from servicedesk.desk.office import Desk
from servicedesk.desk.sites import site_ids
from servicedesk.records import planning_rows, trouble_rows
from servicedesk.trouble.case import Case, Found
from servicedesk.trouble.opinion import Opinion, opinion
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n
from servicedesk.words.reasons import reason_text

MOST_NAMED = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondOpinion:
    """The opinion in words, with the answer itself. `address`: with the system's name, if any.

    `n_visits`: earlier visits that were looked at; `n_cases`: own confirmed cases that speak.
    `unlisted`: chance of something not in the list. `cautions`: of everything named here, uncut.
    """

    address: str
    symptoms: tuple[str, ...]
    causes: tuple[CauseLine, ...]
    unlisted: float
    sure: bool
    why_not_sure: tuple[str, ...]
    next_checks: tuple[CheckLine, ...]
    never_done: tuple[CheckLine, ...]
    to_bring: tuple[PartLine, ...]
    cautions: tuple[str, ...]
    n_visits: int
    n_cases: int
    model: str
    answer: Opinion
    case: Case


def second_opinion(
    desk: Desk,
    *,
    site_id: int | None = None,
    system_id: int | None = None,
    symptoms: Iterable[str] = (),
    findings: Iterable[Found] = (),
) -> SecondOpinion:
    """The opinion on the trouble at a system (or a site with one), as everything stands now.

    Raises Trouble as `desk.cases.case_of` does, and for a symptom that is not known.
    """
    known = knowledge_of(desk)
    asked = tuple(symptoms)
    for one in asked:
        if one not in known.symptoms:
            raise Trouble(
                say("The symptom “{name}” is not known.", name=one),
                do=say("Known are: {names}.", names=", ".join(known.symptoms)),
            )
    place = place_of(desk, site_id=site_id, system_id=system_id)
    case = case_at(desk, place, symptoms=asked, findings=findings)
    answer = opinion(case, known, learned(desk))
    names = names_of(known)
    with desk.store.read() as session:
        sites = planning_rows.site_places(session, [place.system.site_id])
    causes = cause_lines(((c.cause, c.chance) for c in answer.causes[:N_CAUSES]), known)
    next_checks = check_lines((c.check for c in answer.next_checks[:N_NEXT]), known)
    never_done = check_lines(answer.never_done, known)
    cautions = [text for check in (*next_checks, *never_done) for text in check.cautions]
    cautions += [text for cause in causes[:1] for text in cause.cautions]
    return SecondOpinion(
        address=_where(sites[place.system.site_id].address, place),
        symptoms=tuple(known.symptoms[one].name for one in case.symptoms),
        causes=causes,
        unlisted=answer.unlisted,
        sure=answer.sure,
        why_not_sure=tuple(reason_text(r, desk.formats, names) for r in answer.why_not_sure),
        next_checks=next_checks,
        never_done=never_done,
        to_bring=part_lines(answer.to_bring[:N_BRING], known),
        cautions=tuple(dict.fromkeys(cautions)),
        n_visits=len(case.earlier),
        n_cases=answer.n_cases,
        model=answer.model,
        answer=answer,
        case=case,
    )


def _where(address: str, place: Place) -> str:
    return f"{address}, {place.system.label}" if place.system.label else address


def system_named(desk: Desk, site_id: int, text: str) -> int:
    """The system of a site that a text names, by its name there. Raises Trouble for another."""
    with desk.store.read() as session:
        there = [one for one in trouble_rows.systems(session, [site_id]) if one.ended_on is None]
    wanted = text.strip().casefold()
    found = [one.id for one in there if one.label.casefold() == wanted]
    if len(found) != 1:
        names = ", ".join(one.label or say("one without a name") for one in there)
        raise Trouble(
            say("No system there is called “{text}”.", text=text),
            do=say("Known there are: {names}.", names=names),
        )
    return found[0]


def site_named(desk: Desk, text: str) -> int:
    """The one site that a text names: address, number, permit or phone. Raises Trouble else."""
    found = site_ids(desk, text=text)
    with desk.store.read() as session:
        sites = planning_rows.site_places(session, found)
    exact = [i for i, s in sites.items() if text.strip() in (str(s.number), s.address)]
    some = exact or list(sites)
    if not some:
        raise Trouble(
            say("No site is known by “{text}”.", text=text),
            do=say("Give its address, number, permit or phone."),
        )
    if len(some) > 1:
        more = say_n(" and {n} more", " and {n} more", len(some) - MOST_NAMED)
        raise Trouble(
            say("“{text}” fits several sites.", text=text),
            means=", ".join(sites[i].address for i in some[:MOST_NAMED])
            + (more if len(some) > MOST_NAMED else "")
            + ".",
            do=say("Give the whole address, or the number of the site."),
        )
    return some[0]
