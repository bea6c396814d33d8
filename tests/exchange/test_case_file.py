import json

import pytest

from servicedesk.exchange.case_file import outcome_of, read_case_file
from servicedesk.trade.faults import knowledge
from servicedesk.trouble.case import Found
from servicedesk.values.trouble import Trouble

GOOD = {
    "format": 1,
    "id": "one",
    "symptom": "high-water-alarm",
    "findings": [{"check": "pump-tank-level", "result": "between"}],
    "site_has": ["spray", "splice-in-riser"],
    "earlier_visits": [
        {
            "days_before": 40,
            "symptom": "high-water-alarm",
            "outcome": "reset only",
            "checks_done": ["run-in-hand", {"check": "pump-amps", "result": "normal"}],
            "parts_changed": ["float-switch-signal", "alarm-float"],
        }
    ],
}


def read(tmp_path, content):
    file = tmp_path / "case.json"
    file.write_text(content if isinstance(content, str) else json.dumps(content), encoding="utf-8")
    return read_case_file(file, knowledge())


def refused(tmp_path, content) -> str:
    with pytest.raises(Trouble) as trouble:
        read(tmp_path, content)
    assert trouble.value.exit_code == 2
    text = str(trouble.value)
    assert text.startswith("case.json")
    assert "\n" not in text
    assert text.count(". ") == 0, "one sentence"
    return text


def test_everything_in_a_case_is_read(tmp_path):
    file = read(tmp_path, GOOD)
    assert not file.is_list
    (one,) = file.cases
    assert one.id == "one"
    assert one.case.symptoms == ("high-water-alarm",)
    assert one.case.found == (Found("pump-tank-level", "between"),)
    assert one.case.site_has == {"spray", "splice-in-riser"}
    (earlier,) = one.case.earlier
    assert earlier.days_before == 40
    assert earlier.outcome == "reset only"
    assert earlier.found == (Found("run-in-hand", None), Found("pump-amps", "normal"))
    assert earlier.changed == ("float-switch-signal", "alarm-float")


def test_a_list_is_a_list_even_of_one(tmp_path):
    assert read(tmp_path, [GOOD]).is_list
    assert read(tmp_path, {"format": 1, "cases": [GOOD]}).is_list


def test_little_is_enough(tmp_path):
    (one,) = read(tmp_path, {"id": 7, "symptom": "no-spray"}).cases
    assert one.id == "7"
    assert one.case.site_has is None
    assert one.case.found == one.case.earlier == ()


def test_a_result_not_known_and_notes_of_the_writer_are_welcome(tmp_path):
    case = {"id": 1, "symptom": "no-spray", "note": "old papers", "findings": [
        {"check": "pump-amps", "result": None}]}  # fmt: skip
    assert read(tmp_path, case).cases[0].case.found == (Found("pump-amps", None),)


@pytest.mark.parametrize(
    ("words", "outcome"),
    [
        ("no fault found", "no fault found"), ("NFF", "no fault found"),
        ("Tested OK, no problem", "no fault found"), ("reset, no fault found", "no fault found"),
        ("Reset only", "reset only"), ("silenced alarm", "reset only"),
        ("reset_only", "reset only"), ("workaround", "workaround"), ("Patched for now", "workaround"),
        ("freed the float", "workaround"), ("fixed", "fixed"), ("Repaired", "fixed"),
        ("replaced pump", "fixed"), ("could not", "could not"), ("No access, gate", "could not"),
        ("couldn’t get in", "could not"), ("not fixed", "could not"), ("", ""),
        ("spoke to owner", None), ("patched and replaced", None),
        ("could not reproduce it", "no fault found"), ("No trouble found", "no fault found"),
        ("unable to find a fault, reset", "no fault found"), ("all good", "no fault found"),
        ("running normally", "no fault found"), ("reset, all fine", "no fault found"),
        ("Fixed (temporary)", "workaround"), ("tied up with wire", "workaround"),
        ("swapped the float, tested OK", "fixed"), ("installed a new pump", "fixed"),
        ("put new float in", "fixed"), ("reset, relay replaced", "fixed"),
        ("not repaired, part ordered", "could not"), ("no access, owner reset it", "could not"),
        ("could not find a fault, replaced float", None), ("part on order", None),
    ],
)  # fmt: skip
def test_outcomes_in_free_words(words, outcome):
    assert outcome_of(words) == outcome


def test_an_outcome_that_is_not_clear_is_told_and_left_out(tmp_path):
    case = {**GOOD, "earlier_visits": [{"days_before": 1, "symptom": "", "outcome": "hm"}]}
    (one,) = read(tmp_path, case).cases
    assert one.unclear == ("hm",)
    assert one.case.earlier[0].outcome == ""


def changed(**values):
    return {**GOOD, **values}


def of_visit(**values):
    return {**GOOD, "earlier_visits": [{**GOOD["earlier_visits"][0], **values}]}


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (changed(symptom="high-water-alrm"), ["high-water-alrm", "“high-water-alarm”", "symptom"]),
        (changed(findings=[{"check": "pump-tank-levl", "result": "between"}]),
         ["findings 1", "“pump-tank-level”"]),
        (changed(findings=[{"check": "pump-tank-level", "result": "betwen"}]),
         ["findings 1, result", "“between”"]),
        (changed(site_has=["spray", "splice-in-risr"]), ["site_has 2", "“splice-in-riser”"]),
        (of_visit(parts_changed=["float-swich-signal"]),
         ["earlier_visits 1, parts_changed 1", "“float-switch-signal”"]),
        (of_visit(checks_done=["splicelook"]), ["checks_done 1", "“splice-look”"]),
        (of_visit(symptom="no-spry"), ["earlier_visits 1, symptom", "“no-spray”"]),
        (changed(symptom=None), ["symptom"]),
        ({k: v for k, v in GOOD.items() if k != "id"}, ["id"]),
        (changed(findings={"check": "pump-amps"}), ["findings", "list"]),
        (changed(findings=["pump-amps"]), ["findings 1", "braces"]),
        (changed(findings=[{"check": "pump-amps"}]), ["findings 1", "result is missing"]),
        (changed(findings=[{"check": 5, "result": "low"}]), ["findings 1, check", "text"]),
        (changed(findngs=[]), ["findngs", "“findings”"]),
        (changed(site_has="spray"), ["site_has", "list"]),
        (changed(format=2), ["format", "2"]),
        (of_visit(days_before="40"), ["earlier_visits 1", "days_before"]),
        (of_visit(days_before=-1), ["days_before", "0"]),
        (of_visit(days_before=True), ["days_before"]),
        (of_visit(days_before=float("nan")), ["days_before"]),
        (of_visit(outcome=3), ["outcome", "text"]),
        ([GOOD, changed(id="two", symptom="x")], ["case 2, symptom"]),
        ([GOOD, GOOD], ["case 2", "“one”", "case 1"]),
        ([], ["no case"]),
        ({"cases": 3}, ["cases", "list"]),
        ("null", ["braces"]),
        ('{"id": 1,\n "symptom": }', ["line 2", "column 13", "no JSON"]),
        ("[" * 100_000, ["nested"]),
        ("", ["empty"]),
        (" \n", ["empty"]),
        ('{"id": ' + "9" * 6000 + "}", ["digits"]),
        ('{"id": 1, "symptom": "no-spray", "symptom": "uv-fault"}', ["“symptom”", "twice"]),
        (changed(symptom="a\nb\x1b[31m"), ["“a�b�[31m”"]),
    ],
)  # fmt: skip
def test_whatever_is_wrong_is_one_sentence_with_its_place(tmp_path, content, says):
    told = refused(tmp_path, content)
    for part in says:
        assert part in told, told


def test_a_file_that_cannot_be_read(tmp_path):
    with pytest.raises(Trouble, match="cannot be read"):
        read_case_file(tmp_path / "nowhere.json", knowledge())
    (tmp_path / "case.json").write_bytes(b'{"id": "\xff"}')
    with pytest.raises(Trouble, match="UTF-8"):
        read_case_file(tmp_path / "case.json", knowledge())
