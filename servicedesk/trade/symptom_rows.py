"""What goes with a symptom whatever its cause. Loaded when first asked for."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import isclose

from servicedesk.trade.checks import checks
from servicedesk.trade.knowledge import Entry, entries_of, shipped_yaml
from servicedesk.trade.symptoms import symptoms

_FILE = "faults/symptom_rows.yaml"


@dataclass(frozen=True, slots=True)
class SymptomRow:
    """Chance of each result of a check where the symptom is there, for causes without an own row.

    `not_for`: causes it does not hold for; `why` in a few words.
    """

    symptom: str
    check: str
    p: Mapping[str, float]
    not_for: frozenset[str]
    why: str


@cache
def symptom_rows() -> Mapping[tuple[str, str], SymptomRow]:
    """All rows by symptom and check. Raises `KnowledgeFault` where a name or a sum is wrong."""
    found: dict[tuple[str, str], SymptomRow] = {}
    for entry in entries_of(shipped_yaml("faults", "symptom_rows.yaml"), file=_FILE):
        row = _row(entry)
        if (row.symptom, row.check) in found:
            raise entry.fault("check", "twice", value=row.check)
        found[row.symptom, row.check] = row
    return found


def _row(entry: Entry) -> SymptomRow:
    entry.known_only("symptom", "check", "p", "except", "why")
    check = checks().get(entry.text("check"))
    if check is None:
        raise entry.fault("check", "not_known", value=entry.text("check"))
    said = entry.entry("p")
    p = {result: said.number(result) for result in said.values}
    if set(p) != {result.id for result in check.results}:
        raise entry.fault("p", "not_the_results_of_the_check", value=check.id)
    if not isclose(sum(p.values()), 1, abs_tol=1e-6) or not all(0 < one < 1 for one in p.values()):
        raise entry.fault("p", "row_does_not_add_up", total=round(sum(p.values()), 4))
    return SymptomRow(
        symptom=entry.one_of("symptom", tuple(symptoms())),
        check=check.id,
        p=p,
        not_for=frozenset(entry.texts("except")),
        why=entry.text("why"),
    )
