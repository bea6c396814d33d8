"""Fault knowledge as lists and pages: everything is there, uncut, and says where it comes from."""

from dataclasses import replace

import pytest

from servicedesk.desk.knowledge import add_own, own
from servicedesk.desk.knowledge_bits import share_text, shares_of
from servicedesk.desk.knowledge_lists import LEARNED, found_lines, knowledge_seen
from servicedesk.desk.knowledge_page import page_of
from servicedesk.desk.own_form import write_weight
from servicedesk.records.own_entries import OwnEntry as OwnRecord
from servicedesk.trade.cautions import cautions
from servicedesk.trade.faults import knowledge
from servicedesk.trouble.learning import Confirmed, Learned
from tests.trade.test_own import ENTRIES

KINDS = ("symptom", "cause", "check", "part")


@pytest.fixture
def seen(desk):
    add_own(desk, ENTRIES, note="Lena, 2026")
    return knowledge_seen(desk)


def texts(lines, kind=None):
    return [line.text for line in lines if kind in (None, line.kind)]


def test_the_lists_hold_everything(desk):
    known, lists = knowledge(), knowledge_seen(desk).lists

    assert [line.id for line in lists["symptom"]] == list(known.symptoms)
    assert {line.id for line in lists["cause"]} == set(known.causes)
    assert {line.id for line in lists["check"]} == set(known.checks)
    assert {line.id for line in lists["part"]} == set(known.part_kinds)
    assert [line.kind for line in lists["own"]] == [LEARNED]


def test_every_page_says_where_it_comes_from_and_leads_somewhere(desk, seen):
    known = seen.known
    there = {"symptom": known.symptoms, "cause": known.causes, "check": known.checks,
             "part": known.part_kinds}  # fmt: skip
    for kind in KINDS:
        for line in seen.lists[kind]:
            page = page_of(desk, seen, kind, line.id)
            assert page[0].text == line.name
            assert "Where this comes from" in texts(page, "heading")
            assert texts(page, "small")
            for one in page:
                assert one.to is None or one.to[1] in there[one.to[0]]


def test_cautions_stand_whole_and_before_the_how(desk, seen):
    for check in seen.known.checks.values():
        page = page_of(desk, seen, "check", check.id)
        wanted = [c.text for c in cautions().values() if c.id in check.cautions]
        assert texts(page, "caution") == wanted
        kinds = [(line.kind, line.text) for line in page]
        assert all(kinds.index(("caution", t)) < kinds.index(("heading", "How")) for t in wanted)
    for cause in seen.known.causes.values():
        page = page_of(desk, seen, "cause", cause.id)
        assert texts(page, "caution") == [
            c.text for c in cautions().values() if c.id in cause.cautions
        ]


def test_the_shares_of_a_symptom_are_its_weights_and_add_to_one(desk):
    seen = knowledge_seen(desk)
    for symptom, one in knowledge().causes_of.items():
        shares = shares_of(seen, symptom)
        assert sum(shares.values()) == pytest.approx(1)
        total = sum(one.weights.values()) + one.unlisted_weight
        for cause, weight in one.weights.items():
            assert shares[cause] == pytest.approx(weight / total)


def test_own_cases_are_counted_beside_what_was_judged(desk, seen):
    cases = [Confirmed(n, "high-water-alarm", "pump-jammed") for n in range(10)]
    before = page_of(desk, replace(seen, is_counted=True), "symptom", "high-water-alarm")
    counted = replace(seen, learned=Learned.of(cases), is_counted=True)
    page = page_of(desk, counted, "symptom", "high-water-alarm")

    assert any(line.second == "judged, no own case speaks yet" for line in before)
    assert any(line.second == "judged, counted as 10 cases, and 10 own cases" for line in page)
    bars = [line for line in page if line.kind == "bar"]
    assert bars[0].to == ("cause", "pump-jammed")  # ten of ten own cases
    assert bars[0].second == "10 own cases"
    shipped = shares_of(seen, "high-water-alarm")["pump-jammed"]
    # ten cases of judgment beside ten of our own: checks/statistics, section 5
    assert bars[0].share == pytest.approx((10 * shipped + 10) / 20)
    learned = page_of(desk, counted, LEARNED, LEARNED)
    assert ("Impeller jammed by wipes, scale or stone", "10 own cases") in [
        (line.text, line.right) for line in learned
    ]
    assert "can be taken back" in texts(learned, "text")[0]


def test_what_is_ours_is_said_to_be_ours(desk, seen):
    write_weight(
        desk,
        {"symptom": "high-water-alarm", "cause": "pump-jammed", "per_100": 9, "note": "clay"},
    )
    seen = knowledge_seen(desk)
    cause = page_of(desk, seen, "cause", "gate-motor-noise")
    assert cause[0].second == "cause · yours"
    assert "Your own entry: Lena, 2026" in texts(cause)
    symptom = page_of(desk, seen, "symptom", "high-water-alarm")
    assert [line.second for line in symptom if line.to == ("cause", "pump-jammed")] == [
        "your number: clay"
    ]
    kinds = [line.kind for line in seen.lists["own"]]
    assert kinds == [LEARNED, "own", "part", "check", "cause", "own", "own"]
    weight = next(row for row in own(desk) if row.kind_of == "weight")
    page = page_of(desk, seen, "own", str(weight.id))
    assert page[0].text.startswith("Alarm that comes and goes: how often the gate motor")


def test_evidence_is_told_in_words(desk, seen):
    page = page_of(desk, seen, "cause", "alarm-board-stays-on")
    row = next(line for line in page if line.to == ("check", "alarm-leads-lifted"))
    assert "“alarm stays on” very likely (95%, usually 10%)" in row.second
    assert row.right == "speaks directly"
    check = page_of(desk, seen, "check", "alarm-leads-lifted")
    causes = [line.to[1] for line in check if line.to and line.to[0] == "cause"]
    assert causes[0] == "alarm-board-stays-on"


def test_finding_takes_each_word_and_puts_names_first(desk):
    lists = knowledge_seen(desk).lists
    found = found_lines(lists["cause"], "splice wet")
    assert {"splice-shorted-alarm", "splice-shorted-pump"} <= {line.id for line in found}
    assert "splice" in found[0].name.lower()
    assert found_lines(lists["symptom"], "RED light")[0].id == "high-water-alarm"
    assert found_lines(lists["check"], "zzz") == ()
    assert found_lines(lists["part"], " ") == lists["part"]


def test_an_own_entry_that_is_wrong_by_now_does_not_close_the_page(desk):
    with desk.store.change("Ines", "As an older version left it") as work:
        body = {"id": "pump-jammed", "name": "x"}
        work.add(OwnRecord(kind_of="cause", entry_id="pump-jammed", body=body))
        lost = {"id": "lost-check", "name": "Lost"}
        work.add(OwnRecord(kind_of="check", entry_id="lost-check", body=lost))

    seen = knowledge_seen(desk)

    assert "own entries" in seen.trouble
    assert seen.known is knowledge()
    line = seen.lists["own"][-1]
    assert (line.kind, line.name) == ("own", "Lost")
    assert page_of(desk, seen, "own", line.id)[0].text == "Lost"
    assert "no entry" in page_of(desk, seen, "check", "lost-check")[0].text


def test_shares_are_written_with_no_more_digits_than_they_deserve():
    assert [share_text(x) for x in (0.004, 0.006, 0.25, 1.0)] == ["under 1%", "1%", "25%", "100%"]
