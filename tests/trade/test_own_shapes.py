"""Bodies of own entries from the little that a person says."""

import pytest

from servicedesk.trade.faults import knowledge
from servicedesk.trade.own import OwnEntry, knowledge_with
from servicedesk.trade.own_shapes import (
    FLOOR,
    body_of_cause,
    body_of_check,
    body_of_part,
    likelihood_words,
    new_id,
    results_body,
    row_of,
    scope_text,
    share_of,
    weight_of,
    with_row,
)


def test_the_words_of_likelihood_are_those_of_the_file():
    # resources/trade/faults/about.yaml, likelihood_words
    assert likelihood_words() == {
        "very-likely": 0.95, "likely": 0.8, "possible": 0.4, "unlikely": 0.1,
        "very-unlikely": 0.02,
    }  # fmt: skip
    assert "without a published source" in scope_text()


@pytest.mark.parametrize("check", list(knowledge().checks.values()), ids=lambda c: c.id)
def test_a_row_adds_to_one_and_leaves_no_result_out(check):
    for result in check.results:
        row = row_of(check, result.id, 0.95)
        assert sum(row.values()) == pytest.approx(1, abs=0.004)
        assert min(row.values()) >= FLOOR * 0.9
        assert row[result.id] == max(row.values())


def test_the_rest_of_a_row_goes_by_usual_shares():
    check = knowledge().checks["alarm-state-on-arrival"]  # 0.30, 0.35, 0.35
    row = row_of(check, "off-now", 0.35)

    # the other two share 0.65 as 0.30 to 0.35
    assert row["sounding"] == pytest.approx(0.65 * 0.30 / 0.65, abs=0.001)
    assert row["silenced-lamp-on"] == pytest.approx(0.65 * 0.35 / 0.65, abs=0.001)
    with pytest.raises(KeyError):
        row_of(check, "moon", 0.5)


@pytest.mark.parametrize("share", [0.001, 0.05, 0.4, 0.9])
def test_a_weight_made_from_a_share_gives_that_share_back(share):
    known = knowledge()
    for cause in ("pump-jammed", "a-new-one"):
        weight = weight_of(known, "high-water-alarm", cause, share)
        one = known.causes_of["high-water-alarm"]
        rest = sum(w for c, w in one.weights.items() if c != cause) + one.unlisted_weight
        assert weight / (weight + rest) == pytest.approx(share, rel=0.001)


def test_the_share_of_a_cause_is_its_weight_over_all_of_them():
    one = knowledge().causes_of["high-water-alarm"]
    total = sum(one.weights.values()) + one.unlisted_weight

    assert share_of(knowledge(), "high-water-alarm", "pump-jammed") == pytest.approx(3.5 / total)
    assert share_of(knowledge(), "high-water-alarm", "nobody") == 0


def test_ids_are_plain_and_new():
    assert new_id("Float cord chewed!", ()) == "float-cord-chewed"
    assert new_id("Łódź Émile", ()) == "odz-emile"
    assert new_id("Splice", {"splice", "splice-2"}) == "splice-3"
    assert new_id("…", ()) == "own"


def test_results_without_shares_lean_to_the_first():
    assert [r["usual"] for r in results_body([("dry", None), ("wet", None)])] == [0.8, 0.2]
    assert [r["usual"] for r in results_body([("dry", None), ("wet", 0.3)])] == [0.7, 0.3]
    assert [r["id"] for r in results_body([("wet", 0.5), ("wet!", 0.5)])] == ["wet", "wet-2"]


def test_a_row_takes_the_place_of_the_one_of_its_check():
    rows = with_row([{"check": "a", "p": 1}, {"check": "b"}], {"check": "a", "p": 2})
    assert rows == [{"check": "a", "p": 2}, {"check": "b"}]


def test_bodies_of_the_program_s_entries_read_as_the_same_entries():
    known = knowledge()
    cause, check = known.causes["splice-shorted-alarm"], known.checks["splice-look"]
    part = known.part_kinds["sealed-splice-kit"]
    bodies = [
        OwnEntry("check", {**body_of_check(check), "id": "c2"}),
        OwnEntry("part_kind", {**body_of_part(part), "id": "p2"}),
    ]
    found = knowledge_with(bodies)

    assert body_of_check(found.checks["c2"]) == {**body_of_check(check), "id": "c2"}
    assert found.part_kinds["p2"].name == part.name
    body = body_of_cause(cause)
    assert body["workaround"] == cause.workaround
    assert [row["check"] for row in body["evidence"]] == list(cause.evidence)
