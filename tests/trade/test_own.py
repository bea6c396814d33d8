"""The company's own entries: looked at as closely as the shipped ones, and then the same."""

import re
from copy import deepcopy

import pytest

from servicedesk.trade.faults import knowledge
from servicedesk.trade.knowledge import KnowledgeFault
from servicedesk.trade.own import OwnEntry, entries_of_file, knowledge_with
from servicedesk.trade.separable import best_check, too_alike, variation
from servicedesk.words.knowledge_reasons import knowledge_fault

OWN = """\
format: 1
components:
  - {id: gate-motor, name: Gate motor}
part_kinds:
  - {id: gate-fuse, name: Fuse of the gate motor, usually_on_truck: true}
checks:
  - id: gate-motor-listen
    name: Does the gate motor hum?
    where: house
    how: Stand beside it and listen.
    minutes: 1
    results:
      - {id: hums, text: hums, usual: 0.05}
      - {id: silent, text: silent, usual: 0.95}
causes:
  - id: gate-motor-noise
    component: gate-motor
    name: The gate motor disturbs the alarm board
    mechanism: A worn motor sends spikes into the panel's supply.
    factors: []
    permanent_fix: Renew the motor's filter.
    parts: [gate-fuse]
    nearest_rivals:
      - {cause: alarm-float-damp-intermittent, told_apart_by: [gate-motor-listen]}
    evidence:
      - {check: gate-motor-listen, p: {hums: 0.9, silent: 0.1}, why: seen here twice}
weights:
  - {symptom: alarm-comes-and-goes, cause: gate-motor-noise, weight: 4}
"""
ENTRIES = entries_of_file(OWN, file="own.yaml")


def changed(kind, change):
    """The entries with the first of a kind changed."""
    entries = []
    for one in ENTRIES:
        body = deepcopy(dict(one.body))
        if one.kind == kind:
            change(body)
            kind = None
        entries.append(OwnEntry(one.kind, body))
    return entries


def test_own_entries_stand_beside_the_shipped_ones():
    found = knowledge_with(ENTRIES)

    assert set(found.causes) - set(knowledge().causes) == {"gate-motor-noise"}
    assert set(found.checks) - set(knowledge().checks) == {"gate-motor-listen"}
    assert found.components["gate-motor"].name == "Gate motor"
    assert found.part_kinds["gate-fuse"].usually_on_truck
    assert found.causes_of["alarm-comes-and-goes"].weights["gate-motor-noise"] == 4
    assert found.row("gate-motor-noise", "gate-motor-listen") == {"hums": 0.9, "silent": 0.1}
    # where nobody said otherwise, the usual row
    assert found.row("pump-jammed", "gate-motor-listen") == {"hums": 0.05, "silent": 0.95}
    assert "gate-motor-noise" not in knowledge().causes


def test_without_own_entries_it_is_the_shipped_knowledge_itself():
    assert knowledge_with(()) is knowledge()


def test_an_own_weight_takes_the_place_of_the_shipped_one():
    weight = {"symptom": "high-water-alarm", "cause": "pump-jammed", "weight": 77}

    found = knowledge_with([OwnEntry("weight", weight)])

    assert found.causes_of["high-water-alarm"].weights["pump-jammed"] == 77
    assert knowledge().causes_of["high-water-alarm"].weights["pump-jammed"] != 77


def put(**values):
    return lambda body: body.update(values)


def put_evidence(**row):
    return lambda body: body["evidence"][0].update(p=row)


WRONG = {
    "cause of an unknown component": ("cause", put(component="moon"), "component", "none of"),
    "cause that needs what nobody has": ("cause", put(needs=["moon"]), "needs", "not known"),
    "cause of an unknown part": ("cause", put(parts=["moon"]), "parts", "not known"),
    "cause with a typing slip": ("cause", put(nmae="x"), "nmae", "not known here"),
    "cause with a shipped id": ("cause", put(id="pump-jammed"), "id", "there already"),
    "chances that miss a result": ("cause", put_evidence(hums=1), r"evidence\.0\.p", "each result"),
    "chances over 1": ("cause", put_evidence(hums=0.9, silent=0.9), r"0\.p", "add up to 1.8"),
    "a chance of 1": ("cause", put_evidence(hums=1.0, silent=0.0), r"0\.p", "between 0 and 1"),
    "a check nobody knows": (
        "cause", lambda b: b["evidence"][0].update(check="moon"), "check", "not known",
    ),
    "a rival nobody knows": (
        "cause", lambda b: b["nearest_rivals"][0].update(cause="moon"), "nearest_rivals", "moon",
    ),
    "usual chances that do not add up": (
        "check", lambda b: b["results"][0].update(usual=0.5), "results", "add up",
    ),
    "a check in no time": ("check", put(minutes=0), "minutes", "above zero"),
    "a check from nowhere": ("check", put(sources=["moon"]), "sources", "not known"),
    "a weight of an unknown cause": ("weight", put(cause="moon"), "cause", "not known"),
    "a weight of an unknown symptom": ("weight", put(symptom="moon"), "symptom", "none of"),
    "a weight below zero": ("weight", put(weight=-1), "weight", "above zero"),
    "a part kind of no name": ("part_kind", put(name=""), "name", "text"),
    "a component that is there": ("component", put(id="alarm-float"), "id", "there already"),
}  # fmt: skip


@pytest.mark.parametrize("what", WRONG)
def test_what_cannot_be_meant_is_refused_and_says_where(what):
    kind, change, key, sentence = WRONG[what]

    with pytest.raises(KnowledgeFault) as refused:
        knowledge_with(changed(kind, change))

    fault = refused.value
    assert re.search(key, fault.key), fault
    said = knowledge_fault(fault.file, fault.key, fault.reason)
    assert sentence in said
    assert fault.reason.code not in said
    assert fault.file == "own entries"


def test_a_cause_under_no_symptom_is_refused():
    with pytest.raises(KnowledgeFault) as refused:
        knowledge_with(one for one in ENTRIES if one.kind != "weight")
    assert refused.value.reason.code == "cause_without_symptom"


def test_every_cause_of_the_program_is_told_from_its_neighbors_by_some_check():
    assert too_alike(knowledge()) == ()


def test_two_causes_with_the_same_rows_are_too_alike():
    twin = {
        "id": "pump-jammed-too", "component": "effluent-pump", "name": "Twin",
        "mechanism": "m", "permanent_fix": "f",
        "evidence": [
            {"check": one.check, "p": dict(one.p)}
            for one in knowledge().causes["pump-jammed"].evidence.values()
        ],
    }  # fmt: skip
    weight = {"symptom": "high-water-alarm", "cause": "pump-jammed-too", "weight": 1}

    with pytest.raises(KnowledgeFault) as refused:
        knowledge_with([OwnEntry("cause", twin), OwnEntry("weight", weight)])

    assert refused.value.reason["other"] == "pump-jammed"


def test_total_variation_by_hand():
    # half of |0.9 - 0.2| + |0.1 - 0.8|
    assert variation({"a": 0.9, "b": 0.1}, {"a": 0.2, "b": 0.8}) == pytest.approx(0.7)
    assert variation({"a": 0.9, "b": 0.1}, {"a": 0.9, "b": 0.1}) == 0
    check, far = best_check(
        knowledge_with(ENTRIES), "gate-motor-noise", "alarm-float-damp-intermittent"
    )
    assert far >= 0.85, check


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("format: 2\n", "format"),
        ("causes: []\n", "format"),
        ("format: 1\nreasons: []\n", "reasons"),
        ("format: 1\ncauses: {a: 1}\n", "causes"),
        ("format: [1\n", "line"),
    ],
)
def test_a_file_of_another_shape_is_refused(text, key):
    with pytest.raises(KnowledgeFault) as refused:
        entries_of_file(text, file="own.yaml")
    assert key in refused.value.key
    assert knowledge_fault(refused.value.file, refused.value.key, refused.value.reason)
