"""Every id in the sample is known to the shipped knowledge of the trade."""

import pytest

from sample_db.state import truth_table
from servicedesk.trade.checks import checks
from servicedesk.trade.components import components, equipment
from servicedesk.trade.fault_lists import part_kinds
from servicedesk.trade.faults import knowledge
from servicedesk.trade.service_rules import shipped_rules
from servicedesk.trade.symptoms import symptoms
from tests.sample_db.made import CASES, small

EVERY = pytest.mark.parametrize(("seed", "today"), CASES[:3])


def _knows(check_id, result_id):
    return result_id in {result.id for result in checks()[check_id].results}


@EVERY
def test_calls_findings_and_causes_use_known_ids(seed, today):
    rows, _, _ = small(seed, today)
    assert {s for c in rows["call"] for s in c["symptoms"]} <= set(symptoms())
    assert all(_knows(k, v) for c in rows["call"] for k, v in c["answers"].items())
    assert all(_knows(f["check_id"], f["result_id"]) for f in rows["finding"])
    assert {c for j in rows["job"] for c in j["checks_done"]} <= set(checks())
    causes = set(knowledge().causes)
    assert {j["cause_id"] for j in rows["job"] if j["cause_id"]} <= causes
    assert {p for j in rows["job"] for p in j["parts_changed"]} <= set(part_kinds())


@EVERY
def test_systems_units_parts_and_rules_use_known_ids(seed, today):
    rows, _, _ = small(seed, today)
    assert {u["component"] for u in rows["unit"]} <= set(components())
    assert {m["component"] for m in rows["unit_model"]} <= set(components())
    assert {e for s in rows["system"] for e in s["equipment"]} <= set(equipment())
    assert {p["part_kind"] for p in rows["part"]} <= set(part_kinds())
    assert {p for o in rows["owed"] for p in o["needs_parts"]} <= set(part_kinds())
    assert {s["rule_id"] for s in rows["system"]} <= set(shipped_rules())


def test_the_truth_file_uses_known_ids():
    table = truth_table()
    for component, life in table["lives"].items():
        assert component in components()
        for cause in life["causes"]:
            assert knowledge().causes[cause["id"]].component == component
            assert all(_knows(k, v) for k, v in cause["proof"].items())
            assert set(cause["symptoms"]) <= set(symptoms())
            assert cause["part"] in part_kinds()
    for cause in table["nuisances"]:
        assert cause["id"] in knowledge().causes
        assert all(_knows(k, v) for k, v in cause["proof"].items())
    for symptom, looks in table["looks"].items():
        assert symptom in symptoms()
        assert all(_knows(k, v) for k, v in looks.items())
    assert set(table["said"]) == set(symptoms())


def test_a_seeded_cause_is_one_the_symptom_allows_and_the_untested_checks_speak_of_it():
    for kind in truth_table()["recurring"]["kinds"]:
        cause = knowledge().causes[kind["cause"]]
        evidence = set(cause.evidence)
        assert evidence & set(kind["never"])
        for symptom in (kind["symptom"], kind["sibling"]):
            assert kind["cause"] in knowledge().causes_of[symptom].weights
        assert not set(kind["also"]) & set(kind["never"])
        assert all(_knows(k, v) for k, v in kind["also"].items())
