"""`servicedesk renewals` on the sample's year end."""

import json
import shutil
from pathlib import Path

import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from servicedesk.cli import main

SAMPLE = Path(__file__).parents[1] / "sample_db" / "small-60.store"


@pytest.fixture
def store(tmp_path):
    place = tmp_path / "our.store"
    shutil.copyfile(SAMPLE, place)
    return str(place)


def test_the_sheet_is_written_and_the_answer_is_json(store, tmp_path, capsys):
    out = tmp_path / "renewals.xlsx"
    code = main(["renewals", "--store", store, "--year", "2027", "--out", str(out), "--json"])
    answer = json.loads(capsys.readouterr().out)

    assert code in {0, 1}
    assert answer["format"] == 1
    lines = answer["renewals"]["lines"]
    assert lines
    assert answer["renewals"]["totals"]["n"] == len(lines)
    assert code == any(line["decision"] == "call_first" for line in lines)
    sheet = load_workbook(out)["Renewals"]
    assert [sheet.cell(5 + n, 1).value for n in range(len(lines))] == [
        line["address"] for line in lines
    ]


def test_lines_say_cost_steps_and_decision(store, capsys):
    main(["renewals", "--store", store, "--year", "2027"])
    said = capsys.readouterr().out

    assert "next year" in said
    assert "Index +" in said
    assert "Renew" in said


def test_letters_are_printed_in_the_company_s_own_wording(store, tmp_path, capsys):
    wording, out = tmp_path / "wording.txt", tmp_path / "letters.pdf"
    wording.write_text("Good day {holder}, {price} it is.", encoding="utf-8")
    given = ["--letters", str(out), "--wording", str(wording), "--json"]
    main(["renewals", "--store", store, "--year", "2027", *given])
    n_letters = json.loads(capsys.readouterr().out)["n_letters"]
    sheets = PdfReader(out).pages

    assert n_letters == len(sheets) > 0
    assert all("Good day" in sheet.extract_text() for sheet in sheets)
    wording.write_text("{prise}", encoding="utf-8")
    assert main(["renewals", "--store", store, "--year", "2027", *given]) == 2
    assert "prise" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--year", "soon"], "'soon' is not a year"),
        (["--year", "2027", "--out", "list.pdf"], "list.pdf is neither .xlsx, .csv nor .json"),
        (["--year", "2027", "--until", "2026-12-01"], "has no days"),
    ],
)
def test_wrong_use(store, options, said, capsys):
    assert main(["renewals", "--store", store, *options]) == 2
    assert said in capsys.readouterr().err


def test_the_months_to_come_are_told_as_json_and_as_files(store, tmp_path, capsys):
    out, pumps = tmp_path / "months.csv", tmp_path / "hauler.csv"
    given = ["renewals", "--store", store, "--outlook", "--today", "2026-10-14"]
    code = main([*given, "--out", str(out), "--pump-outs", str(pumps), "--json"])
    seen = json.loads(capsys.readouterr().out)["outlook"]

    assert code == 0
    assert len(seen["months"]) == 12
    assert len(out.read_text("utf-8-sig").splitlines()) == 13
    assert len(pumps.read_text("utf-8-sig").splitlines()) == 1 + len(seen["pumps"]["lines"])
    assert main([*given, "--out", str(tmp_path / "months.doc")]) == 2
    assert "neither .pdf nor .csv" in capsys.readouterr().err


def test_a_folder_gets_the_sheet_in_three_forms(store, tmp_path, capsys):
    folder = tmp_path / "year end"
    assert main(["renewals", "--store", store, "--year", "2027", "--out", str(folder)]) in (0, 1)

    assert {one.suffix for one in folder.iterdir()} == {".xlsx", ".csv", ".json"}
    assert capsys.readouterr().out.count(str(folder)) == 3
