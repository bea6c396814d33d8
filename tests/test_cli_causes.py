"""`servicedesk causes` on bare files, as issue B describes its input and output."""

import json
from pathlib import Path

import pytest

from servicedesk.cli import main

SAMPLE = Path(__file__).parents[1] / "sample_db" / "cases" / "came_back_three_times.json"
FIELDS = {"id", "causes", "model", "next_checks", "never_done", "sure", "why_not_sure"}


def answer(capsys, file) -> object:
    assert main(["causes", str(file), "--json"]) == 0
    out = capsys.readouterr()
    assert out.err == ""
    return json.loads(out.out)


def test_one_case_is_answered_with_one_object(capsys):
    told = answer(capsys, SAMPLE)
    assert set(told) >= FIELDS
    chances = [one["chance"] for one in told["causes"]]
    assert chances == sorted(chances, reverse=True)
    assert "add to 1" in told["model"]
    assert sum(chances) == pytest.approx(1, abs=1e-4)
    by_id = {one["id"]: one["chance"] for one in told["causes"]}
    assert by_id["unlisted"] == told["unlisted"]
    assert told["causes"][0]["id"] == "alarm-float-stuck-closed"
    assert "alarm-float-ohms-hanging" in told["never_done"]
    assert told["sure"] is False
    assert told["why_not_sure"]


def test_a_list_is_answered_with_a_list_in_its_order(capsys, tmp_path):
    one = json.loads(SAMPLE.read_text(encoding="utf-8"))
    file = tmp_path / "two.json"
    file.write_text(json.dumps([{**one, "id": "b"}, {**one, "id": "a"}]), encoding="utf-8")
    assert [told["id"] for told in answer(capsys, file)] == ["b", "a"]


def test_without_json_a_page_for_people_with_its_cautions(capsys):
    assert main(["causes", str(SAMPLE)]) == 0
    page = capsys.readouterr().out
    assert "Alarm float switch stuck closed" in page
    assert "Switch off, lock and tag pump, alarm AND air circuits" in page
    assert "alarm-float" not in page, "names, no ids"


def test_an_unknown_id_is_one_sentence_and_exit_code_2(capsys, tmp_path):
    file = tmp_path / "case.json"
    file.write_text('{"id": 1, "symptom": "high-water-alrm"}', encoding="utf-8")
    assert main(["causes", str(file), "--json"]) == 2
    out = capsys.readouterr()
    assert out.out == ""
    assert "“high-water-alarm”" in out.err
    assert out.err.count("\n") == 1


def test_words_that_are_not_clear_are_told_beside_the_answer(capsys, tmp_path):
    file = tmp_path / "case.json"
    visit = {"days_before": 3, "symptom": "no-spray", "outcome": "spoke to owner"}
    case = {"id": "x", "symptom": "no-spray", "earlier_visits": [visit]}
    file.write_text(json.dumps(case), encoding="utf-8")
    assert main(["causes", str(file), "--json"]) == 0
    out = capsys.readouterr()
    assert "spoke to owner" in out.err
    assert json.loads(out.out)["id"] == "x"


@pytest.mark.parametrize("words", [["causes"], ["causes", "nowhere.json"]])
def test_without_a_file_it_says_so(capsys, words):
    assert main(words) == 2
    assert "Traceback" not in capsys.readouterr().err


def test_what_a_file_says_is_shown_on_one_line_and_gives_a_terminal_no_orders(capsys, tmp_path):
    visit = {"days_before": 3, "outcome": "\x1b[2Jhm\n"}
    case = {"id": "a\n\x1b[31mb", "symptom": "no-spray", "earlier_visits": [visit]}
    file = tmp_path / "case.json"
    file.write_text(json.dumps(case), encoding="utf-8")
    assert main(["causes", str(file)]) == 0
    out = capsys.readouterr()
    assert out.out.startswith("a��[31mb: ")
    assert "“�[2Jhm�”" in out.err
    assert out.err.count("\n") == 1
