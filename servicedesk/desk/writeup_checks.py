"""The checks and causes that the form asks of a trouble, in the order in which to do them.

The one seam between the form and the ranking of causes: everything else takes `JobTrouble`.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from servicedesk.records.finding_rows import JobTroubleRow, UnitThere
from servicedesk.trade.cautions import caution_texts
from servicedesk.trade.check_units import component_of_check, measures
from servicedesk.trade.checks import Check, checks
from servicedesk.trade.components import components
from servicedesk.trade.faults import Cause, knowledge
from servicedesk.trade.reading_shapes import Number
from servicedesk.trade.symptoms import symptoms

KINDS = ("callback", "repair", "owed")  # jobs that are about a trouble
N_LEADING = 6  # causes offered at once, and whose telling checks are asked
N_PER_CAUSE = 2
N_COMMON = 8  # checks asked where nobody said what the trouble is
_TELLS = 3.0  # a result this many times likelier than usual speaks for a cause


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
    """A cause to choose. `chance` 0..1; None where nobody said what the trouble is."""

    id: str
    name: str
    chance: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class JobTrouble:
    """What the form asks of one job. `must_say`: what was behind it has to be answered.

    `owed_first`: ids of the checks owed before *no fault found*; `causes` likeliest first.
    """

    job_id: int
    system_id: int | None
    must_say: bool
    symptoms: tuple[str, ...]
    checks: tuple[FormCheck, ...]
    owed_first: tuple[str, ...]
    causes: tuple[CauseOffered, ...]
    told: Mapping[str, str]

    def missing(self, findings: Mapping[str, str]) -> tuple[str, ...]:
        """Ids of the checks owed before *no fault found* that have no result yet."""
        known = {check for check, said in findings.items() if said != NOT_LOOKED_AT}
        return tuple(c for c in self.owed_first if c not in known and c not in self.told)


NOT_LOOKED_AT = "not looked at"


def trouble_of(row: JobTroubleRow, also: Iterable[str] = ()) -> JobTrouble:
    """What to ask of a job; `also` names checks that have a result already."""
    known = tuple(one for one in row.symptoms if one in symptoms())
    owed = owed_first(known, row.equipment)
    causes = _causes(known, row.equipment)
    order = [*owed, *_telling(causes[:N_LEADING], row.equipment, known)]
    order += [check for check in also if check in checks()]
    return JobTrouble(
        job_id=row.job_id,
        system_id=row.system_id,
        must_say=row.kind == "callback" or row.call_id is not None,
        symptoms=known,
        checks=tuple(_form_check(one, row.units, owed) for one in dict.fromkeys(order)),
        owed_first=owed,
        causes=causes,
        told=row.told,
    )


def owed_first(known: Sequence[str], equipment: frozenset[str]) -> tuple[str, ...]:
    """Ids of the checks owed before *no fault found*, in their order, that fit the equipment.

    Where nobody said what the trouble is: the checks that most symptoms ask for.
    """
    lists = [symptoms()[one].before_no_fault_found for one in known]
    ids = [check for some in lists for check in some] if known else list(_most_asked())
    return tuple(dict.fromkeys(c for c in ids if _fits(checks()[c].needs, equipment)))


def speaks_for(cause_id: str, check_id: str, result_id: str) -> bool:
    """Does this result speak for the cause: clearly likelier under it than usual?"""
    cause, check = knowledge().causes.get(cause_id), checks().get(check_id)
    evidence = cause.evidence.get(check_id) if cause is not None else None
    if evidence is None or check is None:
        return False
    usual = {result.id: result.usual for result in check.results}
    p = evidence.p.get(result_id, 0.0)
    return p >= _TELLS * usual.get(result_id, 1.0)


def cause_of(cause_id: str | None) -> Cause | None:
    """A cause by its id; None for none, or one that is not known (any more)."""
    return knowledge().causes.get(cause_id) if cause_id else None


def as_measured(trouble: JobTrouble, check_id: str) -> Number | None:
    """What is read at a check of this form."""
    return next((one.measure for one in trouble.checks if one.id == check_id), None)


@cache
def _most_asked() -> tuple[str, ...]:
    counts: dict[str, int] = {}
    for symptom in symptoms().values():
        for check in symptom.before_no_fault_found:
            counts[check] = counts.get(check, 0) + 1
    return tuple(sorted(counts, key=lambda c: (-counts[c], checks()[c].minutes, c))[:N_COMMON])


def _fits(needs: Iterable[str], equipment: frozenset[str]) -> bool:
    return not equipment or equipment.issuperset(needs)


def _causes(known: Sequence[str], equipment: frozenset[str]) -> tuple[CauseOffered, ...]:
    """Causes by their shipped weight under the leading symptom; all others after them."""
    every = [c for c in knowledge().causes.values() if _fits(c.needs, equipment)]
    if not known:
        return tuple(CauseOffered(one.id, one.name, None) for one in every)
    listed = knowledge().causes_of[known[0]]
    weights = {c.id: listed.weights[c.id] for c in every if c.id in listed.weights}
    total = sum(weights.values()) + listed.unlisted_weight
    found = [
        CauseOffered(c.id, c.name, weights[c.id] / total if c.id in weights else None)
        for c in every
    ]
    return tuple(sorted(found, key=lambda one: -(one.chance or 0.0)))


def _telling(
    causes: Iterable[CauseOffered], equipment: frozenset[str], known: Sequence[str]
) -> list[str]:
    """The checks that speak most directly for these causes, cause by cause."""
    restated = {check for one in known for check in symptoms()[one].restates}
    found: list[str] = []
    if not known:
        return found
    for one in causes:
        strength = {
            check: max(evidence.p[r.id] / r.usual for r in checks()[check].results)
            for check, evidence in knowledge().causes[one.id].evidence.items()
            if check not in restated
            and checks()[check].where != "phone"
            and _fits(checks()[check].needs, equipment)
        }
        found += sorted(strength, key=lambda c: (-strength[c], c))[:N_PER_CAUSE]
    return found


def _form_check(check_id: str, units: Mapping[str, UnitThere], owed: tuple[str, ...]) -> FormCheck:
    check = checks()[check_id]
    there = component_of_check(check_id, units)
    kind = there or component_of_check(check_id)
    return FormCheck(
        check=check,
        measure=measures().get(check_id),
        cautions=caution_texts(check.cautions),
        component=components()[kind].name if kind else "",
        unit=units.get(there) if there else None,
        is_owed=check_id in owed,
    )


def with_checks_first(trouble: JobTrouble, first: Sequence[str]) -> JobTrouble:
    """The same with these checks in front, in this order; the rest as it stood."""
    place = {check: n for n, check in enumerate(first)}
    order = sorted(trouble.checks, key=lambda one: place.get(one.id, len(place)))
    return replace(trouble, checks=tuple(order))
