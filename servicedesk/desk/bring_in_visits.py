"""Past visits of a list as visits and jobs of the book."""

import re
from datetime import date
from typing import TYPE_CHECKING

from servicedesk.exchange.addresses import folded_text
from servicedesk.exchange.understood import Outcome, PastVisit
from servicedesk.records.visits import Job, Visit
from servicedesk.words import say

if TYPE_CHECKING:
    from servicedesk.desk.bring_in_plan import RowPlan
    from servicedesk.desk.bring_in_write import Writing

NOON_MIN = 12 * 60  # the list tells the day only

# Words for kinds of visit, tried in this order; common practice, no source
_KINDS = (
    ("pump-out", r"pump(ed|ing)?[\s\-]*out|pumped|haul"),
    ("start-up", r"start[\s\-]*up|commission"),
    ("installation", r"\binstall"),
    ("callback", r"\bcall|alarm|emergency|complaint"),
    ("repair", r"repair|replace|fix"),
    ("inspection", r"insp|routine|maint|service|check|scheduled|quarterly|annual"),
)
# Words for why nothing could be done; common practice, no source
_WHY = (
    ("refused", r"refus|denied|turned away"),
    ("no power", r"no power|power off"),
    ("lid buried", r"lid buried|buried"),
)


def kind_of(visit: PastVisit) -> str:
    """The kind of job: by its own word, an inspection where there is none.

    What was noted beside a visit does not make it another kind.
    """
    for kind, pattern in _KINDS:
        if visit.kind and re.search(pattern, visit.kind, re.IGNORECASE):
            return kind
    return "repair" if visit.kind else "inspection"


def why_not(visit: PastVisit) -> str:
    """Why a visit could not be done, in the words of the visit form."""
    for why, pattern in _WHY:
        if re.search(pattern, f"{visit.text} {visit.kind}", re.IGNORECASE):
            return why
    return "no access"


def write_visits(writing: "Writing") -> None:
    """Inside a change: one visit for each site and day, one job for each system and kind there."""
    visits: dict[tuple[int, date], Visit] = {}
    jobs: list[tuple[tuple[int, date], RowPlan, PastVisit]] = []
    names = _technician_names(writing)
    for plan in writing.plans:
        for past in plan.visits:
            if past.on is None:
                continue
            key = (writing.site_of(plan), past.on)
            jobs.append((key, plan, past))
            visits[key] = _visit(writing, visits.get(key), key, past, names)
    writing.work.add_all(list(visits.values()))
    writing.work.add_all([_job(writing, visits[key].id, plan, past) for key, plan, past in jobs])


def _visit(
    writing: "Writing",
    known: Visit | None,
    key: tuple[int, date],
    past: PastVisit,
    names: dict[str, int],
) -> Visit:
    site_id, on = key
    who = names.get(folded_text(past.technician))
    visit = known or Visit(
        site_id=site_id,
        planned_on=on,
        state="done",
        arrived_at=writing.desk.clock.instant(on, NOON_MIN),
        note="",
    )
    visit.technician_id = visit.technician_id or who
    lines = visit.note.splitlines()
    if past.technician and who is None:
        lines.append(say("Technician: {name}", name=past.technician))
    if past.precision == "month":
        lines.append(say("Only the month is known."))
    visit.note = "\n".join(dict.fromkeys(lines))
    return visit


def _job(writing: "Writing", visit_id: int, plan: "RowPlan", past: PastVisit) -> Job:
    failed = past.outcome is Outcome.COULD_NOT
    return Job(
        visit_id=visit_id,
        kind_of=kind_of(past),
        system_id=writing.system_of(plan),
        contract_id=_contract_on(writing, plan, past.on),
        outcome="could not" if failed else "done",
        could_not=why_not(past) if failed else "",
        found=past.text,
    )


def _contract_on(writing: "Writing", plan: "RowPlan", on: date | None) -> int | None:
    """The contract of the system that ran on the day of the visit."""
    if on is None:
        return None
    if plan.terms and plan.new_contract and plan.terms.from_on <= on < plan.terms.until_on:
        return writing.contracts.get(plan.row)
    for one in writing.book.contracts.get(plan.system_id or 0, ()):
        if one.from_on <= on < one.until_on:
            return one.id
    return None


def _technician_names(writing: "Writing") -> dict[str, int]:
    """Keys of technicians by name, short name and initials; a name of two people is nobody's."""
    found: dict[str, set[int]] = {}
    everybody = [
        *writing.book.technicians,
        *((key, name, "") for name, key in writing.technicians.items()),
    ]
    for key, name, short in everybody:
        initials = "".join(word[0] for word in name.split())
        for text in {folded_text(name), folded_text(short), folded_text(initials)}:
            if text:
                found.setdefault(text, set()).add(key)
    return {text: keys.copy().pop() for text, keys in found.items() if len(keys) == 1}
