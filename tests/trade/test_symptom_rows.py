from math import isclose

import pytest

from servicedesk.trade.checks import checks
from servicedesk.trade.clashes import clashes
from servicedesk.trade.faults import knowledge
from servicedesk.trade.knowledge import Entry, KnowledgeFault
from servicedesk.trade.symptom_rows import _row, symptom_rows

ROW = {"symptom": "weak-spray", "check": "spray-watch", "except": [], "why": "it is",
       "p": {"all-full": 0.1, "all-weak": 0.5, "some-dead": 0.3, "one-zone-only": 0.05, "none": 0.05}}  # fmt: skip


def test_every_row_is_of_known_names_and_adds_to_one():
    assert symptom_rows()
    for row in symptom_rows().values():
        assert set(row.p) == {result.id for result in checks()[row.check].results}
        assert isclose(sum(row.p.values()), 1)
        assert row.not_for <= set(knowledge().causes)
        assert (
            row.check not in knowledge().symptoms[row.symptom].restates
            or row.symptom == "slow-drains"
        )


@pytest.mark.parametrize(
    "wrong",
    [
        {"symptom": "week-spray"},
        {"check": "spray-wach"},
        {"p": {**ROW["p"], "none": 0.5}},
        {"p": {"all-full": 1.0}},
        {"more": 1},
    ],
)
def test_a_wrong_row_is_refused(wrong):
    _row(Entry.of(ROW, file="f", path=""))
    with pytest.raises(KnowledgeFault):
        _row(Entry.of({**ROW, **wrong}, file="f", path=""))


def test_no_clash_stands_twice():
    pairs = [
        frozenset({(c.check, r), (c.other, o)})
        for c in clashes()
        for r in c.results
        for o in c.other_results
    ]
    assert len(pairs) == len(set(pairs))
