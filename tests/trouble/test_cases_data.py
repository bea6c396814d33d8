"""The written cases of trouble: every id is one of the fault knowledge, and the kinds are counted.

The cases are common practice, no source: what a practised person would accept, written without a
look at the likelihoods. Nothing here runs them; `tests.bench.cases` does, on request.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from servicedesk.trade.components import components, equipment
from servicedesk.trade.fault_lists import part_kinds
from servicedesk.trade.faults import knowledge

HERE = Path(__file__).parents[1] / "data" / "cases"
OUTCOMES = {"no fault found", "reset only", "workaround", "fixed", "could not"}
SETS = {
    "forty.json": 40,
    "twenty.json": 20,
    "thirty.json": 30,
    "forty_later.json": 40,
    "twenty_later.json": 20,
    "forty_last.json": 40,
}
# the later sets were written by others: more findings, in the third outcomes in free words
MOST_FINDINGS = {
    "forty.json": 7,
    "twenty.json": 7,
    "thirty.json": 15,
    "forty_later.json": 15,
    "twenty_later.json": 15,
    "forty_last.json": 15,
}
FREE_WORDS = {"thirty.json"}
KEYS = {
    *("id", "story", "symptom", "findings", "site_has", "earlier_visits"),
    *("accepted", "accepted_three", "not_in_list", "true_cause", "blunder", "check_next"),
}


def cases_of(name: str) -> list[dict[str, Any]]:
    content = json.loads((HERE / name).read_text(encoding="utf-8"))
    assert content["format"] == 1
    assert "nvented" in content["note"]
    found: list[dict[str, Any]] = content["cases"]
    return found


def _accepted(case: dict[str, Any]) -> list[str]:
    return [*case["accepted"], *case.get("accepted_three", [])]


def unknown_ids(case: dict[str, Any]) -> Iterator[str]:
    """What the fault knowledge does not know in a case, each with where it stands."""
    know = knowledge()
    results = {one.id: {result.id for result in one.results} for one in know.checks.values()}
    visits = case.get("earlier_visits", [])
    done = [one for visit in visits for one in visit["checks_done"]]
    own = case["symptom"] if isinstance(case["symptom"], list) else [case["symptom"]]
    for symptom in [*own, *(visit["symptom"] for visit in visits)]:
        if symptom not in know.symptoms:
            yield f"symptom {symptom}"
    for one in [*case["findings"], *done]:
        check, result = (one, None) if isinstance(one, str) else (one["check"], one["result"])
        if check not in results:
            yield f"check {check}"
        elif result is not None and result not in results[check]:
            yield f"result {result} of {check}"
    for flag in case.get("site_has", []):
        if flag not in equipment():
            yield f"equipment {flag}"
    for part in (part for visit in visits for part in visit["parts_changed"]):
        if part not in part_kinds() and part not in components():
            yield f"part {part}"
    for cause in [*_accepted(case), *(one["cause"] for one in case["blunder"])]:
        if cause not in know.causes and cause != "unlisted":
            yield f"cause {cause}"
    for check in case.get("check_next", []):
        if check not in know.checks:
            yield f"next check {check}"


@pytest.mark.parametrize("name", SETS)
def test_every_id_is_known(name: str) -> None:
    strangers = {case["id"]: list(unknown_ids(case)) for case in cases_of(name)}
    assert {key: found for key, found in strangers.items() if found} == {}


def test_a_wrong_id_is_noticed() -> None:
    case = cases_of("forty.json")[0]
    wrong = {
        **case,
        "accepted": ["splice-shorted-alarn"],
        "findings": [{"check": "x", "result": "y"}],
    }
    assert list(unknown_ids(wrong)) == ["check x", "cause splice-shorted-alarn"]


@pytest.mark.parametrize("name", SETS)
def test_each_case_is_whole(name: str) -> None:
    for case in cases_of(name):
        assert set(case) <= KEYS, case["id"]
        assert case["story"], case["id"]
        assert case["accepted"], case["id"]
        assert 1 <= len(case["findings"]) <= MOST_FINDINGS[name], case["id"]
        checks = [one["check"] for one in case["findings"]]
        assert len(checks) == len(set(checks)), case["id"]
        blunders = {one["cause"] for one in case["blunder"]}
        assert not blunders & set(_accepted(case)), case["id"]
        assert set(case["accepted"]) <= set(case.get("accepted_three", case["accepted"]))
        assert all(one["why"] for one in case["blunder"]), case["id"]
        assert case.get("not_in_list", False) == ("unlisted" in case["accepted"]), case["id"]
        assert case.get("not_in_list", False) == ("true_cause" in case), case["id"]
        assert not set(case.get("check_next", [])) & set(checks), case["id"]
        for visit in case.get("earlier_visits", []):
            assert name in FREE_WORDS or visit["outcome"] in OUTCOMES, case["id"]
            assert visit["days_before"] > 0, case["id"]


def test_ids_are_given_once() -> None:
    ids = [case["id"] for name in SETS for case in cases_of(name)]
    assert len(ids) == len(set(ids))


def test_the_kinds_asked_for_are_there() -> None:
    forty, twenty, thirty, later, last, newest = (cases_of(name) for name in SETS)
    counted = tuple(len(one) for one in (forty, twenty, thirty, later, last, newest))
    assert counted == tuple(SETS.values())
    assert sum("earlier_visits" in case for case in forty) >= 8
    assert sum(case.get("not_in_list", False) for case in forty) >= 5
    assert len({case["symptom"] for case in forty}) >= 14
    assert {case["symptom"] for case in [*forty, *twenty]} >= set(knowledge().symptoms)
    # the same must be possible for the second set, at half the size
    assert sum("earlier_visits" in case for case in twenty) >= 4
    assert sum(case.get("not_in_list", False) for case in twenty) >= 2
    assert sum("earlier_visits" in case for case in thirty) >= 8
    assert sum(case.get("not_in_list", False) for case in thirty) >= 4
    assert sum(len(case["findings"]) <= 3 for case in thirty) >= 5
    assert sum("earlier_visits" in case for case in later) >= 8
    assert sum(case.get("not_in_list", False) for case in later) >= 5
    assert {case["symptom"] for case in later} >= set(knowledge().symptoms)
    assert sum("earlier_visits" in case for case in last) >= 4
    assert sum(case.get("not_in_list", False) for case in last) >= 2
