"""`servicedesk alerts` on bare lists: what comes out, what is asked, what is said about odd rows."""

import csv
import json
from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook

from sample_db import make_papers
from servicedesk.cli import main

PAPERS = Path(__file__).resolve().parents[1] / "sample_db" / "papers"
SITES = "site,start_date\n" + "".join(f"S{n},2020-01-01\n" for n in range(20))
CALLS = """site,date,symptom
S1,2022-01-10,High-water alarm
S1,2022-04-10,high water  ALARM
S1,2022-08-10,high-water alarm.
S2,2022-08-10,Smell
"""


def run(capsys, *words) -> tuple[int, str, str]:
    code = main(["alerts", *(str(word) for word in words)])
    out, err = capsys.readouterr()
    return code, out, err


@pytest.fixture
def lists(tmp_path):
    def written(calls=CALLS, sites=SITES):
        for name, text in (("calls.csv", calls), ("sites.csv", sites)):
            content = text if isinstance(text, bytes) else text.encode()
            (tmp_path / name).write_bytes(content)
        return ("--calls", tmp_path / "calls.csv", "--sites", tmp_path / "sites.csv")

    return written


def rows_of(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_sample_papers_name_their_two_bad_sites(tmp_path, capsys):
    out = tmp_path / "alerts.csv"

    code, text, err = run(
        capsys, "--calls", PAPERS / "calls.csv", "--sites", PAPERS / "sites.csv", "--out", out
    )

    assert (code, err) == (0, "")
    assert "50 calls, 60 sites: 3 alerts to act on, 2 to watch." in text
    rows = rows_of(out)
    assert list(rows[0]) == ["site", "date", "symptom", "level", "chance", "why"]
    assert {row["site"] for row in rows} == {"202 Old Ferry Road", "352 Old Ferry Road"}
    assert {row["level"] for row in rows} == {"watch", "act"}
    assert all(0.4 <= float(row["chance"]) < 1 for row in rows)
    assert rows[1]["why"] == (
        "3 callbacks for High-water alarm in 9 months; a site like this has one in 21 years"
    )


def test_the_sample_papers_are_what_their_maker_makes(tmp_path, monkeypatch):
    monkeypatch.setattr(make_papers, "FOLDER", tmp_path)
    make_papers.main()

    for name in ("calls.csv", "sites.csv"):
        assert (tmp_path / name).read_bytes() == (PAPERS / name).read_bytes()


def test_the_same_lists_cut_at_a_day_give_the_same_alerts(tmp_path, capsys):
    whole, cut = tmp_path / "whole.csv", tmp_path / "cut.csv"
    sites = ("--sites", PAPERS / "sites.csv")
    run(capsys, "--calls", PAPERS / "calls.csv", *sites, "--out", whole)
    until = "2025-12-31"
    kept = [
        line
        for line in (PAPERS / "calls.csv").read_text().splitlines()
        if line.startswith("site") or line.split(",")[1] <= until
    ]
    (tmp_path / "calls.csv").write_text("\n".join(kept))
    run(capsys, "--calls", tmp_path / "calls.csv", *sites, "--out", cut)

    wanted = [row for row in rows_of(whole) if row["date"] <= until]
    assert rows_of(cut) == wanted
    assert len(wanted) == 3
    run(capsys, "--calls", PAPERS / "calls.csv", *sites, "--until", until, "--out", cut)
    assert rows_of(cut) == wanted


def test_two_spellings_are_one_symptom_and_each_row_keeps_its_own(lists, capsys):
    code, text, _err = run(capsys, *lists(), "--json")

    report = json.loads(text)
    assert code == 0
    assert report["format"] == 1
    assert [one["symptom"] for one in report["alerts"]] == [
        "high water  ALARM",
        "high-water alarm.",
    ]
    assert report["alerts"][-1]["level"] == "act"
    assert "3 callbacks for high-water alarm." in report["alerts"][-1]["why"]


def test_returns_stand_on_their_own_list(lists, capsys):
    calls = CALLS + "S2,2022-08-19,smell\nS2,2022-08-10,Smell\n"

    _code, text, _err = run(capsys, *lists(calls), "--json")

    report = json.loads(text)
    assert report["returns"] == [
        {"site": "S2", "date": "2022-08-19", "symptom": "smell", "after": "2022-08-10", "days": 9}
    ]
    assert {one["site"] for one in report["alerts"]} == {"S1"}
    _code, text, _err = run(capsys, *lists(calls))
    assert "1 call came within two weeks" in text


@pytest.mark.parametrize(
    "calls",
    [
        CALLS.replace(",", ";").encode("utf-8-sig"),
        CALLS.replace(",", "\t").encode("utf-16"),
        ("note,Symptom,SITE,Date\n" + "\n".join(
            f"x,{s},{a},{d}" for a, d, s in (line.split(",") for line in CALLS.splitlines()[1:])
        )).encode("cp1252"),
        CALLS.replace("2022-01-10", "Jan 10, 2022").replace("2022-04-10", "13/4/2022").replace(
            "Jan 10, 2022", '"Jan 10, 2022"').encode(),
    ],
    ids=["semicolons", "utf-16", "other order", "other dates"],
)  # fmt: skip
def test_lists_as_offices_save_them(lists, capsys, calls):
    code, text, err = run(capsys, *lists(calls), "--json")

    assert (code, err) == (0, "")
    assert [one["level"] for one in json.loads(text)["alerts"]] == ["watch", "act"]


def test_a_workbook_is_read_too(lists, capsys, tmp_path):
    book = Workbook()
    book.active.append(["site", "date", "symptom"])
    for day in (date(2022, 1, 10), date(2022, 4, 10), date(2022, 8, 10)):
        book.active.append([7, day, "alarm"])
    book.save(tmp_path / "calls.xlsx")
    sites = SITES.replace("S7,", "7,")

    code, text, _err = run(
        capsys, "--calls", tmp_path / "calls.xlsx", *lists(sites=sites)[2:], "--json"
    )

    assert code == 0
    assert [one["site"] for one in json.loads(text)["alerts"]] == ["7", "7"]


def test_the_order_of_day_and_month_is_asked(lists, capsys):
    calls = "site,date,symptom\nS1,3/4/2022,alarm\nS1,5/6/2022,alarm\n"

    code, out, err = run(capsys, *lists(calls))

    assert (code, out) == (2, "")
    assert "calls.csv: does 3/4/2022 begin with the day or with the month?" in err
    assert "--day-first or --no-day-first" in err
    code, out, _err = run(capsys, *lists(calls), "--day-first", "--json")
    assert code == 0
    assert json.loads(out)["alerts"][0]["date"] == "2022-06-05"


ODD = [
    ("S1,soon,alarm\nS1,2022-02-30,alarm\n", "calls.csv, rows 6, 7: no day can be read (“soon”)."),
    ("S1,May 2022,alarm\n", "calls.csv, row 6: no day can be read (“May 2022”). Left out."),
    ("S1,,alarm\n", "calls.csv, row 6: no day is written there. Left out."),
    ("S1,2522-01-01,alarm\n", "calls.csv, row 6: no day can be read"),
    ("S1,2022-09-01,\n", "calls.csv, row 6: no symptom; left out."),
    (",2022-09-01,alarm\n", "calls.csv, row 6: no site; left out."),
    ("S1,2022-09-01,alarm, loud\n", "calls.csv, row 6: more cells than headings"),
    (
        "T7,2022-09-01,alarm\nT7,2022-10-01,alarm\n",
        (
            "calls.csv, rows 6, 7: 1 site is not in sites.csv (T7). "
            "Counted from the first call of all."
        ),
    ),
    (
        "S3,2019-12-31,alarm\n",
        (
            "calls.csv, row 6: the call is dated before its site began (S3). "
            "Counted from the first call of all."
        ),
    ),
]


@pytest.mark.parametrize(("more", "sentence"), ODD)
def test_an_odd_row_is_named_and_the_rest_is_done(lists, capsys, more, sentence):
    code, out, err = run(capsys, *lists(CALLS + more), "--json")

    assert code == 1
    assert sentence in err
    report = json.loads(out)
    assert any(sentence in note for note in report["notes"])
    assert [one["site"] for one in report["alerts"]].count("S1") == 2


def test_odd_sites_are_named(lists, capsys):
    sites = SITES + "S1,2021-05-01\nS200,unknown\n,2020-01-01\n"

    code, _out, err = run(capsys, *lists(sites=sites))

    assert code == 1
    assert "sites.csv, rows 3, 22: S1 begins on different days; the earliest is taken." in err
    assert "sites.csv, row 23: no day can be read (“unknown”)." in err
    assert "sites.csv, row 24: no site; left out." in err


def test_without_any_start_date_the_fixed_rule_speaks(lists, capsys, tmp_path):
    out = tmp_path / "alerts.csv"

    code, _text, err = run(capsys, *lists(sites="site,start_date\nS1,\nS2,\n"), "--out", out)

    assert code == 1
    assert "the fixed rule decides" in err
    assert [(row["level"], row["chance"]) for row in rows_of(out)] == [("watch", ""), ("act", "")]


WRONG = [
    (b"", SITES, "calls.csv is empty."),
    ("site,date\nS1,2022-01-01\n", SITES, "calls.csv has no column “symptom”."),
    (CALLS, "site,begun\nS1,2022-01-01\n", "sites.csv has no column “start_date”."),
    ("site,date,date,symptom\nS1,2022-01-01,,a\n", SITES, "more than one column “date”"),
    ("site,date,symptom\nS1,soon,alarm\n", SITES, "No row of calls.csv can be used."),
    (b"%PDF-1.4 whatever", SITES, "calls.csv is a PDF document, not a spreadsheet."),
]


@pytest.mark.parametrize(("calls", "sites", "sentence"), WRONG)
def test_lists_that_cannot_be_used_end_with_a_sentence(
    lists, capsys, tmp_path, calls, sites, sentence
):
    out = tmp_path / "alerts.csv"

    code, text, err = run(capsys, *lists(calls, sites), "--out", out)

    assert (code, text) == (2, "")
    assert sentence in err
    assert "Traceback" not in err
    assert not out.exists()


def test_headings_alone_are_no_trouble(lists, capsys, tmp_path):
    out = tmp_path / "alerts.csv"

    code, text, err = run(capsys, *lists("site,date,symptom\n"), "--out", out)

    assert code == 1
    assert "calls.csv holds no calls." in err
    assert "0 calls, 20 sites" in text
    assert rows_of(out) == []


def test_the_lists_themselves_are_never_written_over(lists, capsys, tmp_path):
    words = lists()
    before = words[1].read_bytes()

    code, _text, err = run(capsys, *words, "--out", words[1])
    assert code == 2
    assert "was not written over" in err
    assert words[1].read_bytes() == before

    code, _text, err = run(capsys, *words, "--out", tmp_path / "no" / "alerts.csv")
    assert code == 2
    assert "cannot be written" in err


def test_both_lists_are_needed(lists, capsys, tmp_path):
    code, _text, err = run(capsys, *lists()[:2])
    assert code == 2
    assert "--calls and --sites" in err
    code, _text, err = run(capsys, "--calls", tmp_path / "none.csv", *lists()[2:])
    assert code == 2
    assert "There is no file" in err


def test_the_dial_gives_fewer_and_more(lists, capsys):
    n = {}
    for dial in ("fewer", "usual", "more"):
        words = ("--calls", PAPERS / "calls.csv", "--sites", PAPERS / "sites.csv", "--dial", dial)
        _code, text, _err = run(capsys, *words, "--json")
        n[dial] = [(one["site"], one["chance"]) for one in json.loads(text)["alerts"]]

    assert len(n["fewer"]) <= len(n["usual"]) <= len(n["more"])
    assert n["fewer"] != n["usual"] != n["more"]
