"""Causes of trouble and how strongly each finding speaks for them. Loaded when first asked for.

All weights and likelihoods are trade judgment without a published source unless one is named.
`knowledge()` reads everything and checks it whole; the small lists beside it load alone.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from math import isclose

from servicedesk.trade.cautions import cautions
from servicedesk.trade.checks import Check, checks, known
from servicedesk.trade.components import Named, components, equipment
from servicedesk.trade.fault_lists import (
    EvidenceGroup,
    Factor,
    HistoryRule,
    PartKind,
    evidence_groups,
    factors,
    history_rules,
    part_kinds,
    sources,
)
from servicedesk.trade.knowledge import Entry, entries_of, shipped_files, shipped_yaml
from servicedesk.trade.symptoms import Symptom, symptoms
from servicedesk.trade.version import shipped_version

__all__ = [
    "Cause",
    "Evidence",
    "EvidenceGroup",
    "Factor",
    "HistoryRule",
    "Knowledge",
    "Names",
    "PartKind",
    "Rival",
    "SymptomCauses",
    "cause_from",
    "evidence_groups",
    "factors",
    "history_rules",
    "knowledge",
    "part_kinds",
    "resolve",
    "shipped_names",
    "sources",
]

# rows were written with three digits
_ROUNDING = 0.006
_WEIGHTS = "faults/symptom_causes.yaml"


@dataclass(frozen=True, slots=True)
class Evidence:
    """How likely each result of a check is if the cause is the true one; values add to 1.

    `said`: the same in words, for the results that matter; `why` in a few words.
    """

    check: str
    said: Mapping[str, str]
    p: Mapping[str, float]
    why: str


@dataclass(frozen=True, slots=True)
class Rival:
    """Another cause that looks alike, and the checks that tell both apart."""

    cause: str
    told_apart_by: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One cause: what happens, what mends it for good, what gets by for now, why it is missed."""

    id: str
    component: str
    name: str
    mechanism: str
    factors: tuple[str, ...]
    needs: tuple[str, ...]
    permanent_fix: str
    workaround: str | None
    parts: tuple[str, ...]
    why_missed: str | None
    often_with: tuple[str, ...]
    cautions: tuple[str, ...]
    rivals: tuple[Rival, ...]
    sources: tuple[str, ...]
    evidence: Mapping[str, Evidence]


@dataclass(frozen=True, slots=True, kw_only=True)
class SymptomCauses:
    """Relative weights of the causes of one symptom, and the weight of "not in this list"."""

    symptom: str
    weights: Mapping[str, float]
    unlisted_weight: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Knowledge:
    """Everything, with every name resolved. `version` changes with any word of it."""

    symptoms: Mapping[str, Symptom]
    causes_of: Mapping[str, SymptomCauses]
    checks: Mapping[str, Check]
    causes: Mapping[str, Cause]
    groups: tuple[EvidenceGroup, ...]
    components: Mapping[str, Named] = field(default_factory=components)
    part_kinds: Mapping[str, PartKind] = field(default_factory=part_kinds)
    version: str = field(default_factory=shipped_version)

    def row(self, cause_id: str, check_id: str) -> Mapping[str, float]:
        """Chance of each result of a check under a cause: its own row, else the usual one."""
        evidence = self.causes[cause_id].evidence.get(check_id)
        if evidence is not None:
            return evidence.p
        return {result.id: result.usual for result in self.checks[check_id].results}


@dataclass(frozen=True, slots=True, kw_only=True)
class Names:
    """What a cause may name: its components, part kinds and checks."""

    components: Mapping[str, Named]
    part_kinds: Mapping[str, PartKind]
    checks: Mapping[str, Check]


def shipped_names() -> Names:
    """What the causes of the program may name."""
    return Names(components=components(), part_kinds=part_kinds(), checks=checks())


@cache
def knowledge() -> Knowledge:
    """All fault knowledge, checked. Raises `KnowledgeFault` naming file, key and what is wrong."""
    causes = _causes()
    found = Knowledge(
        symptoms=symptoms(),
        causes_of=_causes_of(causes),
        checks=checks(),
        causes=causes,
        groups=evidence_groups(),
    )
    resolve(found)
    return found


def _causes() -> dict[str, Cause]:
    found: dict[str, Cause] = {}
    for name in shipped_files("faults", "causes"):
        file = f"faults/causes/{name}"
        for entry in entries_of(shipped_yaml("faults", "causes", name), file=file):
            one = cause_from(entry, shipped_names())
            if one.id in found:
                raise entry.fault("id", "twice", value=one.id)
            found[one.id] = one
    return found


def cause_from(entry: Entry, names: Names) -> Cause:
    """One cause as it stands in a file; the company's own have the same form."""
    entry.known_only(
        *("id", "component", "name", "mechanism", "factors", "needs", "permanent_fix"),
        *("workaround", "parts", "why_missed", "often_with", "cautions", "nearest_rivals"),
        *("sources", "evidence"),
    )
    rows = [_evidence(one, names.checks) for one in entry.entries("evidence")]
    evidence = {row.check: row for row in rows}
    if len(evidence) < len(rows):
        raise entry.fault("evidence", "twice")
    return Cause(
        id=entry.text("id"),
        component=entry.one_of("component", tuple(names.components)),
        name=entry.text("name"),
        mechanism=entry.text("mechanism"),
        factors=known(entry, "factors", factors()),
        needs=known(entry, "needs", equipment()),
        permanent_fix=entry.text("permanent_fix"),
        workaround=entry.maybe_text("workaround"),
        parts=known(entry, "parts", names.part_kinds),
        why_missed=entry.maybe_text("why_missed"),
        often_with=entry.texts("often_with"),
        cautions=known(entry, "cautions", cautions()),
        rivals=tuple(_rival(one, names.checks) for one in entry.entries("nearest_rivals")),
        sources=known(entry, "sources", sources()),
        evidence=evidence,
    )


def _rival(entry: Entry, allowed: Mapping[str, Check]) -> Rival:
    entry.known_only("cause", "told_apart_by")
    return Rival(entry.text("cause"), known(entry, "told_apart_by", allowed))


def _evidence(entry: Entry, allowed: Mapping[str, Check]) -> Evidence:
    entry.known_only("check", "said", "p", "why")
    check = allowed.get(entry.text("check"))
    if check is None:
        raise entry.fault("check", "not_known", value=entry.text("check"))
    row = entry.entry("p")
    p = {result: row.number(result) for result in row.values}
    said: dict[str, str] = {}
    if entry.has("said"):
        said_entry = entry.entry("said")
        said = {result: said_entry.text(result) for result in said_entry.values}
    results = {result.id for result in check.results}
    if set(p) != results or not set(said) <= results:
        raise entry.fault("p", "not_the_results_of_the_check", value=check.id)
    if not all(0 < chance < 1 for chance in p.values()):
        raise entry.fault("p", "not_a_share")
    if not isclose(sum(p.values()), 1, abs_tol=_ROUNDING):
        raise entry.fault("p", "row_does_not_add_up", total=round(sum(p.values()), 4))
    return Evidence(check.id, said, p, entry.maybe_text("why") or "")


def _causes_of(causes: Mapping[str, Cause]) -> dict[str, SymptomCauses]:
    top = Entry.of(shipped_yaml("faults", "symptom_causes.yaml"), file=_WEIGHTS, path="")
    found: dict[str, SymptomCauses] = {}
    for symptom in symptoms():
        entry = top.entry(symptom)
        entry.known_only("unlisted_weight", "prior_source", "causes")
        weights: dict[str, float] = {}
        for one in entry.entries("causes"):
            one.known_only("cause", "weight", "share")
            cause, weight = one.text("cause"), one.number("weight")
            if cause not in causes or cause in weights:
                raise one.fault(
                    "cause", "not_known" if cause not in causes else "twice", value=cause
                )
            if weight <= 0:
                raise one.fault("weight", "not_above_zero", value=weight)
            weights[cause] = weight
        found[symptom] = SymptomCauses(
            symptom=symptom,
            weights=weights,
            unlisted_weight=entry.number("unlisted_weight"),
            source=entry.one_of("prior_source", tuple(sources())),
        )
    top.known_only(*symptoms())
    return found


def resolve(
    found: Knowledge, only: Iterable[str] | None = None, *, file: str = "faults/causes"
) -> None:
    """Names that reach across files: a fault at the first that leads nowhere.

    `only`: these causes alone, which stand in `file`; all else was looked at before.
    """
    for cause in found.causes.values() if only is None else (found.causes[i] for i in only):
        entry = Entry(file, cause.id, {})
        others = cause.often_with + tuple(rival.cause for rival in cause.rivals)
        for other in others:
            if other not in found.causes or other == cause.id:
                raise entry.fault("nearest_rivals", "not_known", value=other)
    if only is None:
        _resolve_lists(found)


def _resolve_lists(found: Knowledge) -> None:
    for symptom in found.symptoms.values():
        entry = Entry("faults/symptoms.yaml", symptom.id, {})
        for check in symptom.restates + symptom.before_no_fault_found:
            if check not in found.checks:
                raise entry.fault("before_no_fault_found", "not_known", value=check)
    for one in found.checks.values():
        for source in one.sources:
            if source not in sources():
                raise Entry("faults/checks", one.id, {}).fault("sources", "not_known", value=source)
    for group in found.groups:
        for check in group.checks:
            if check not in found.checks:
                entry = Entry("faults/evidence_groups.yaml", group.id, {})
                raise entry.fault("checks", "not_known", value=check)
