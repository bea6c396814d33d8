"""The checks and causes that the form asks of a trouble, in the order in which to do them.

The one seam between the form and the ranking of causes: everything else takes `JobTrouble`.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from servicedesk.desk.cases import case_of
from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.learned import learned
from servicedesk.desk.office import Desk
from servicedesk.records.finding_rows import JobTroubleRow, UnitThere
from servicedesk.trade.cautions import caution_texts
from servicedesk.trade.check_units import component_of_check, measures
from servicedesk.trade.checks import Check
from servicedesk.trade.faults import Knowledge
from servicedesk.trade.reading_shapes import Number
from servicedesk.trouble.case import Case
from servicedesk.trouble.opinion import Opinion, opinion
from servicedesk.trouble.table import table

KINDS = ("callback", "repair", "owed")  # jobs that are about a trouble
NOT_LOOKED_AT = "not looked at"
N_LEADING = 6  # causes offered at once
N_NEXT = 10  # checks of the ranking that go in front of the rest
N_COMMON = 8  # checks asked where nobody said what the trouble is


@dataclass(frozen=True, slots=True, kw_only=True)
class FormCheck:
    """A check as the form asks it. `cautions` are whole texts; `unit` is the one there now.

    `is_owed`: one of those owed before anybody may say *no fault found*.
    """

    check: Check
    measure: Number | None
    cautions: tuple[str, ...]
    component: str
    unit: UnitThere | None
    is_owed: bool

    @property
    def id(self) -> str:
        """The id of the check."""
        return self.check.id


@dataclass(frozen=True, slots=True)
class CauseOffered:
    """A cause to choose. `chance` 0..1; None where it was not ranked."""

    id: str
    name: str
    chance: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class JobTrouble:
    """What the form asks of one job. `must_say`: what was behind it has to be answered.

    `owed_first`: ids of the checks owed before *no fault found*; `causes` likeliest first;
    `told` results that the call itself gave; `known` with the company's own entries.
    """

    job_id: int
    system_id: int | None
    must_say: bool
    symptoms: tuple[str, ...]
    checks: tuple[FormCheck, ...]
    owed_first: tuple[str, ...]
    causes: tuple[CauseOffered, ...]
    told: Mapping[str, str]
    known: Knowledge

    def missing(self, findings: Mapping[str, str]) -> tuple[str, ...]:
        """Ids of the checks owed before *no fault found* that have no result yet."""
        done = {check for check, said in findings.items() if said != NOT_LOOKED_AT}
        return tuple(c for c in self.owed_first if c not in done and c not in self.told)


def troubles_of(
    desk: Desk,
    rows: Iterable[JobTroubleRow],
    day: date,
    found: Mapping[int, Mapping[str, str]],
    *,
    in_order: bool = True,
) -> dict[int, JobTrouble]:
    """What to ask of the jobs that are about a trouble, by job, as known on the visit's day.

    `found` names by job the checks that have a result already. Without `in_order` the ranking of
    causes is left out: enough to judge what is written.
    """
    wanted = [row for row in rows if row.kind in KINDS]
    known = knowledge_of(desk) if wanted else None
    asked: dict[int, JobTrouble] = {}
    for row in wanted if known is not None else ():
        if known is not None:
            case = _case(desk, row, known, day)
            view = opinion(case, known, learned(desk)) if case is not None and in_order else None
            also = found.get(row.job_id, ())
            asked[row.job_id] = trouble_of(row, known, case=case, view=view, also=also)
    return asked


def trouble_of(
    row: JobTroubleRow,
    known: Knowledge,
    *,
    case: Case | None = None,
    view: Opinion | None = None,
    also: Iterable[str] = (),
) -> JobTrouble:
    """What to ask of a job: first what tells most, then what is owed before *no fault found*."""
    said = tuple(one for one in row.symptoms if one in known.symptoms)
    there = case.site_has if case is not None else row.equipment or None
    owed = owed_first(said, known, there)
    first = [one.check for one in view.next_checks[:N_NEXT]] if view is not None else []
    then = [*view.never_done, *owed] if view is not None else list(owed)
    order = [c for c in (*first, *then) if c in owed or known.checks[c].where != "phone"]
    order += [check for check in also if check in known.checks]
    return JobTrouble(
        job_id=row.job_id,
        system_id=row.system_id,
        must_say=row.kind == "callback" or row.call_id is not None,
        symptoms=said,
        checks=tuple(_form_check(known, c, row.units, owed) for c in dict.fromkeys(order)),
        owed_first=owed,
        causes=_causes(known, there, view),
        told=row.told,
        known=known,
    )


def owed_first(
    said: Sequence[str], known: Knowledge, there: frozenset[str] | None
) -> tuple[str, ...]:
    """Ids of the checks owed before *no fault found*, in their order, that fit what is `there`.

    Where nobody said what the trouble is: the checks that most symptoms ask for.
    """
    lists = [known.symptoms[one].before_no_fault_found for one in said]
    ids = [check for some in lists for check in some] if said else list(_most_asked(known))
    return tuple(dict.fromkeys(c for c in ids if _fits(known.checks[c].needs, there)))


def speaks_for(known: Knowledge, cause_id: str, check_id: str, result_id: str) -> bool:
    """Does this result speak directly for the cause?"""
    return result_id in table(known).direct.get(cause_id, {}).get(check_id, ())


def _case(desk: Desk, row: JobTroubleRow, known: Knowledge, day: date) -> Case | None:
    """The trouble with its history; None where no system or no symptom that we know is named."""
    said = [one for one in row.symptoms if one in known.symptoms]
    if row.system_id is None or not said:
        return None
    return case_of(desk, system_id=row.system_id, symptoms=said, as_of=day)


def _most_asked(known: Knowledge) -> tuple[str, ...]:
    counts: dict[str, int] = {}
    for symptom in known.symptoms.values():
        for check in symptom.before_no_fault_found:
            counts[check] = counts.get(check, 0) + 1
    minutes = {check: known.checks[check].minutes for check in counts}
    return tuple(sorted(counts, key=lambda c: (-counts[c], minutes[c], c))[:N_COMMON])


def _fits(needs: Iterable[str], there: frozenset[str] | None) -> bool:
    return there is None or there.issuperset(needs)


def _causes(
    known: Knowledge, there: frozenset[str] | None, view: Opinion | None
) -> tuple[CauseOffered, ...]:
    """Causes with their chance, likeliest first; those that were not ranked after them."""
    ranked = {one.cause: one.chance for one in view.causes} if view is not None else {}
    rest = [c.id for c in known.causes.values() if c.id not in ranked and _fits(c.needs, there)]
    return tuple(
        CauseOffered(cause, known.causes[cause].name, ranked.get(cause))
        for cause in (*ranked, *rest)
    )


def _form_check(
    known: Knowledge, check_id: str, units: Mapping[str, UnitThere], owed: tuple[str, ...]
) -> FormCheck:
    check = known.checks[check_id]
    there = component_of_check(check_id, units)
    kind = there or component_of_check(check_id)
    return FormCheck(
        check=check,
        measure=measures().get(check_id),
        cautions=caution_texts(check.cautions),
        component=known.components[kind].name if kind else "",
        unit=units.get(there) if there else None,
        is_owed=check_id in owed,
    )
