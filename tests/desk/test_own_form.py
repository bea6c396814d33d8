"""Own entries from a form with few fields: written, copied, changed, ended, taken back."""

import pytest

from servicedesk.desk.changes import undo
from servicedesk.desk.checking import StaleEdit, WrongEntry
from servicedesk.desk.knowledge import knowledge_of, own
from servicedesk.desk.own_form import (
    cautions_at,
    change_entry,
    end_entry,
    values_of,
    write_cause,
    write_check,
    write_part,
    write_weight,
)
from servicedesk.trade.cautions import job_cautions
from servicedesk.trade.faults import knowledge
from servicedesk.trade.own_shapes import share_of

CHECK = {
    "name": "Does the gate motor hum?",
    "where": "house",
    "how": "Stand beside it and listen.",
    "minutes": 1,
    "results": "silent 95%\nhums 5%",
    "like": "toilet-dye",
    "note": "Lena, 2026",
}
CAUSE = {
    "name": "Gate motor disturbs the alarm board",
    "component": "alarm-circuit",
    "mechanism": "A worn motor sends spikes into the panel's supply.",
    "permanent_fix": "Renew the motor's filter.",
    "workaround": "",
    "part": "alarm-board",
    "symptom": "alarm-comes-and-goes",
    "per_100": 5,
    "shown_by": "does-the-gate-motor-hum hums",
    "how_likely": "very-likely",
    "note": "seen twice",
}
CAUSE_ID, SYMPTOM = "gate-motor-disturbs-the-alarm-board", "alarm-comes-and-goes"


@pytest.fixture
def with_cause(desk):
    write_check(desk, CHECK)
    write_cause(desk, CAUSE)
    return desk


def row_of(desk, kind):
    return next(row for row in own(desk) if row.kind_of == kind)


def wrong_of(function, *args, **more):
    with pytest.raises(WrongEntry) as told:
        function(*args, **more)
    return {one.field: one.says for one in told.value.wrong}


def test_a_check_takes_tools_and_cautions_over_uncut(desk):
    write_check(desk, {**CHECK, "like": "splice-look"})

    found = knowledge_of(desk).checks["does-the-gate-motor-hum"]
    assert found.cautions == knowledge().checks["splice-look"].cautions
    assert found.tools == knowledge().checks["splice-look"].tools
    assert [(r.id, r.text, r.usual) for r in found.results] == [
        ("silent", "silent", 0.95), ("hums", "hums", 0.05)]  # fmt: skip


def test_a_cause_comes_with_how_often_it_is(with_cause):
    known = knowledge_of(with_cause)
    found = known.causes[CAUSE_ID]

    assert share_of(known, SYMPTOM, CAUSE_ID) == pytest.approx(0.05, rel=0.001)
    assert found.evidence["does-the-gate-motor-hum"].p["hums"] == pytest.approx(0.95)
    assert found.parts == ("alarm-board",)
    assert found.workaround is None
    assert {row.note for row in own(with_cause)} == {"Lena, 2026", "seen twice"}

    undo(with_cause)  # both entries of the cause at once
    assert CAUSE_ID not in knowledge_of(with_cause).causes


def test_a_new_cause_has_the_cautions_of_its_part_of_the_system(with_cause):
    there = [c for c in knowledge().causes.values() if c.component == "alarm-circuit"]
    wanted = {caution for cause in there for caution in cause.cautions}

    assert wanted
    assert set(knowledge_of(with_cause).causes[CAUSE_ID].cautions) == wanted


def test_a_cause_where_none_is_known_has_the_cautions_of_a_repair(desk):
    wanted = {*job_cautions()["always"], *job_cautions()["repair"]}
    assert set(cautions_at(knowledge(), "nowhere")) == wanted


def test_a_check_without_a_similar_one_is_not_written(desk):
    assert "cautions" in wrong_of(write_check, desk, {**CHECK, "like": ""})["like"]


def test_a_copy_must_be_told_apart_from_what_it_was_copied_from(desk):
    values = {**CAUSE, "shown_by": "", "name": "Float cord chewed"}
    wrong = wrong_of(write_cause, desk, values, copied="alarm-float-damp-intermittent")

    name = knowledge().causes["alarm-float-damp-intermittent"].name
    assert list(wrong) == ["shown_by"]
    assert f"No check tells it from “{name}”" in wrong["shown_by"]
    assert own(desk) == ()

    write_check(desk, CHECK)
    write_cause(desk, {**CAUSE, "name": "Float cord chewed"},
                copied="alarm-float-damp-intermittent")  # fmt: skip
    found = knowledge_of(desk).causes["float-cord-chewed"]
    copied = knowledge().causes["alarm-float-damp-intermittent"]
    assert set(found.evidence) == {"does-the-gate-motor-hum", *copied.evidence}
    assert found.cautions == copied.cautions


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("name", " ", "Write a name"),
        ("per_100", None, "above 0 and below 100"),
        ("per_100", 100, "above 0 and below 100"),
        ("mechanism", "", "what happens"),
        ("shown_by", "", "check that shows it"),
        ("permanent_fix", "", "mends it for good"),
    ],
)
def test_what_is_missing_is_said_at_its_field(desk, field, value, says):
    write_check(desk, CHECK)
    assert says in wrong_of(write_cause, desk, {**CAUSE, field: value})[field]


def test_results_that_do_not_add_up_are_said_at_their_field(desk):
    wrong = wrong_of(write_check, desk, {**CHECK, "results": "silent 95%\nhums 50%"})
    assert wrong == {"results": "The chances add up to 1.45, not to 1."}
    assert "two results" in wrong_of(write_check, desk, {**CHECK, "results": "silent"})["results"]
    assert "above zero" in wrong_of(write_check, desk, {**CHECK, "minutes": 0})["minutes"]


def test_a_name_that_is_there_gets_another_id(desk):
    write_part(desk, {"name": "Float clamps", "usually_on_truck": True})
    write_part(desk, {"name": "Float clamps", "usually_on_truck": False})

    assert [row.entry_id for row in own(desk)] == ["float-clamps-2", "float-clamps-3"]
    assert knowledge_of(desk).part_kinds["float-clamps-2"].usually_on_truck


def test_how_often_a_cause_of_the_program_is_here_is_said_and_said_again(desk):
    one = {"symptom": "high-water-alarm", "cause": "pump-jammed", "note": ""}
    write_weight(desk, {**one, "per_100": 20, "note": "our clay soils"})
    assert share_of(knowledge_of(desk), "high-water-alarm", "pump-jammed") == pytest.approx(
        0.2, rel=0.001
    )

    write_weight(desk, {**one, "per_100": 10})
    assert len(own(desk)) == 1
    assert own(desk)[0].note == "our clay soils"
    assert values_of(desk, "weight", "high-water-alarm pump-jammed")["per_100"] == 10


def test_only_what_the_form_brought_is_changed(with_cause):
    row = row_of(with_cause, "cause")
    change_entry(with_cause, row.id, {"workaround": "Unplug the gate."}, seen=row.revision)

    found = knowledge_of(with_cause).causes[CAUSE_ID]
    assert found.workaround == "Unplug the gate."
    assert found.mechanism == CAUSE["mechanism"]
    assert row_of(with_cause, "cause").note == "seen twice"
    with pytest.raises(StaleEdit):
        change_entry(with_cause, row.id, {"name": "x"}, seen=row.revision)


def test_a_result_keeps_its_id_when_shares_change(with_cause):
    row = row_of(with_cause, "check")
    change_entry(with_cause, row.id, {"results": "silent 90%\nhums 10%"}, seen=row.revision)
    assert [r.usual for r in knowledge_of(with_cause).checks[row.entry_id].results] == [0.9, 0.1]

    row = row_of(with_cause, "check")
    wrong = wrong_of(change_entry, with_cause, row.id, {"results": "a\nb"}, seen=row.revision)
    assert any(CAUSE_ID in says for says in wrong.values())  # whose row would name no result


def test_a_cause_ends_with_its_numbers_and_comes_back(with_cause):
    end_entry(with_cause, row_of(with_cause, "cause").id)
    assert {row.kind_of for row in own(with_cause)} == {"check"}

    undo(with_cause)
    assert CAUSE_ID in knowledge_of(with_cause).causes


def test_a_check_that_a_cause_needs_cannot_end(with_cause):
    wrong = wrong_of(end_entry, with_cause, row_of(with_cause, "check").id)
    assert any("does-the-gate-motor-hum" in says for says in wrong.values())


def test_a_form_shows_what_is_there(with_cause):
    values = values_of(with_cause, "check", "does-the-gate-motor-hum")
    assert values["results"] == "silent 95%\nhums 5%"
    shown = values_of(with_cause, "cause", CAUSE_ID)
    assert (shown["part"], shown["note"]) == ("alarm-board", "seen twice")
    assert values_of(with_cause, "part_kind", "sealed-splice-kit")["usually_on_truck"]
