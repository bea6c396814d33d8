"""The company's own components, part kinds, checks and causes beside those of the program.

An own entry has exactly the shape of the shipped files and is looked at as closely. Ids must be
new, with one exception: a *weight* says how often a cause is behind a symptom here, for causes of
the company and of the program alike, and takes the place of the shipped one.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from servicedesk.trade.checks import Check, check_from
from servicedesk.trade.components import Named
from servicedesk.trade.fault_lists import PartKind, sources
from servicedesk.trade.faults import (
    Cause,
    Knowledge,
    Names,
    SymptomCauses,
    cause_from,
    knowledge,
    resolve,
)
from servicedesk.trade.knowledge import Entry, KnowledgeFault, parsed_yaml
from servicedesk.trade.separable import too_alike
from servicedesk.trade.version import version_with
from servicedesk.values.reason import Reason

KINDS = ("component", "part_kind", "check", "cause", "weight")
# the lists of a file of own entries
LISTS = {
    "components": "component",
    "part_kinds": "part_kind",
    "checks": "check",
    "causes": "cause",
    "weights": "weight",
}
FORMAT = 1
_FILE = "own entries"


@dataclass(frozen=True, slots=True)
class OwnEntry:
    """One entry: what it is, and its body as the knowledge files write it.

    A weight has the body ``{symptom, cause, weight}``.
    """

    kind: str
    body: Mapping[str, Any]

    @property
    def entry_id(self) -> str:
        """Its id; of a weight "symptom cause". "" where the body says none."""
        if self.kind == "weight":
            return f"{self.body.get('symptom', '')} {self.body.get('cause', '')}".strip()
        return str(self.body.get("id", ""))


def entries_of_file(text: str, *, file: str) -> tuple[OwnEntry, ...]:
    """The own entries of a YAML text: its lists components, part_kinds, checks, causes, weights.

    Raises `KnowledgeFault` for another shape or another `format` than 1; the entries themselves
    are not looked at yet (`knowledge_with`).
    """
    top = Entry.of(parsed_yaml(text, file=file), file=file, path="")
    top.known_only("format", *LISTS)
    if top.whole("format") != FORMAT:
        raise top.fault("format", "not_one_of", value=top.whole("format"), allowed=(FORMAT,))
    return tuple(
        OwnEntry(kind, entry.values) for name, kind in LISTS.items() for entry in top.entries(name)
    )


def knowledge_with(own: Iterable[OwnEntry]) -> Knowledge:
    """The program's knowledge with the company's own entries.

    Raises `KnowledgeFault` at the first entry that cannot be meant: an id that is taken or leads
    nowhere, a row that does not add up, a cause under no symptom, a cause that no check tells from
    another one of its symptoms. Its `file` is "own entries", its `key` begins with kind and id.
    """
    by_kind: dict[str, list[Entry]] = {kind: [] for kind in KINDS}
    entries = tuple(own)
    for one in entries:
        if one.kind not in by_kind:
            raise KnowledgeFault(
                _FILE, one.kind, Reason.of("not_one_of", value=one.kind, allowed=KINDS)
            )
        path = f"{one.kind} {one.entry_id}"
        by_kind[one.kind].append(Entry.of(one.body, file=_FILE, path=path))
    shipped = knowledge()
    if not any(by_kind.values()):
        return shipped
    names = _names(by_kind, shipped)
    causes = _new(by_kind["cause"], shipped.causes, lambda entry: cause_from(entry, names))
    found = replace(
        shipped,
        components=names.components,
        part_kinds=names.part_kinds,
        checks=names.checks,
        causes={**shipped.causes, **causes},
        version=version_with((one.kind, one.body) for one in entries),
    )
    found = replace(found, causes_of=_weighted(by_kind["weight"], found))
    resolve(found, causes, file=_FILE)
    _refuse_lost(by_kind["cause"], found)
    return found


def _names(by_kind: Mapping[str, list[Entry]], shipped: Knowledge) -> Names:
    components = _new(by_kind["component"], shipped.components, _named)
    parts = _new(by_kind["part_kind"], shipped.part_kinds, _part_kind)
    checks = _new(by_kind["check"], shipped.checks, _check)
    return Names(
        components={**shipped.components, **components},
        part_kinds={**shipped.part_kinds, **parts},
        checks={**shipped.checks, **checks},
    )


def _named(entry: Entry) -> Named:
    entry.known_only("id", "name")
    return Named(entry.text("id"), entry.text("name"))


def _part_kind(entry: Entry) -> PartKind:
    entry.known_only("id", "name", "usually_on_truck")
    on_truck = entry.flag("usually_on_truck", default=False)
    return PartKind(entry.text("id"), entry.text("name"), on_truck)


def _check(entry: Entry) -> Check:
    one = check_from(entry)
    if one.minutes <= 0:
        raise entry.fault("minutes", "not_above_zero", value=one.minutes)
    for source in one.sources:
        if source not in sources():
            raise entry.fault("sources", "not_known", value=source)
    return one


def _new(entries: Iterable[Entry], taken: Mapping[str, Any], read: Any) -> dict[str, Any]:
    """Entries read one by one; a fault at an id that somebody has already."""
    found: dict[str, Any] = {}
    for entry in entries:
        one = read(entry)
        if one.id in taken or one.id in found:
            raise entry.fault("id", "twice", value=one.id)
        found[one.id] = one
    return found


def _weighted(entries: Iterable[Entry], found: Knowledge) -> Mapping[str, SymptomCauses]:
    """The causes of each symptom with the company's own weights."""
    own: dict[str, dict[str, float]] = {}
    for entry in entries:
        entry.known_only("symptom", "cause", "weight")
        symptom = entry.one_of("symptom", tuple(found.symptoms))
        cause, weight = entry.text("cause"), entry.number("weight")
        if cause not in found.causes:
            raise entry.fault("cause", "not_known", value=cause)
        if cause in own.setdefault(symptom, {}):
            raise entry.fault("cause", "twice", value=cause)
        if weight <= 0:
            raise entry.fault("weight", "not_above_zero", value=weight)
        own[symptom][cause] = weight
    return {
        symptom: replace(one, weights={**one.weights, **own.get(symptom, {})})
        for symptom, one in found.causes_of.items()
    }


def _refuse_lost(entries: Iterable[Entry], found: Knowledge) -> None:
    """A fault at an own cause under no symptom, or one that no check tells from its neighbors."""
    for entry in entries:
        cause: Cause = found.causes[entry.text("id")]
        if not any(cause.id in one.weights for one in found.causes_of.values()):
            raise entry.fault("id", "cause_without_symptom", value=cause.id)
        for alike in too_alike(found, (cause.id,)):
            other = alike.second if alike.first == cause.id else alike.first
            raise entry.fault(
                "evidence", "not_told_apart", value=cause.id, other=other, symptom=alike.symptom
            )
