"""`servicedesk out` and `servicedesk tell` from the shell."""

import csv
import json
from datetime import timedelta

import geojson
import gpxpy
import pytest
from icalendar import Calendar
from pypdf import PdfReader

from servicedesk.cli import main
from servicedesk.desk.office import open_desk
from servicedesk.records.store import create_store
from tests.builders import TODAY, a_company, a_round, a_site, a_technician, a_visit


@pytest.fixture
def place(tmp_path):
    path = tmp_path / "company.store"
    a_company(create_store(path))
    desk = open_desk(str(path), today=TODAY)
    for name, streets in (("Lena Hobb", ("1 Weir", "2 Weir")), ("Tobin Ashe", ("3 Quay",))):
        round_ = a_round(desk, a_technician(desk, name), leave_min=480, home_min=700)
        for n, street in enumerate(streets, 1):
            site = a_site(desk, street, owner=f"Owner of {street}", phone="409 555 0123",
                          lat_deg=30.0 + 0.02 * n, lon_deg=-94.0)  # fmt: skip
            a_visit(desk, site, round_id=round_.id, place=n, arrive_min=480 + 60 * n,
                    begin_min=480 + 60 * n, leave_min=520 + 60 * n)  # fmt: skip
    desk.store.close()
    return str(path)


def run(capsys, *words):
    code = main([*words, "--today", TODAY.isoformat()])
    told = capsys.readouterr()
    return code, told.out, told.err


def out(capsys, place, format_, file, *more):
    return run(capsys, "out", "--store", place, "--format", format_, "--out", str(file), *more)


def test_each_format_can_be_read_by_others(place, capsys, tmp_path):
    for format_ in ("gpx", "geojson", "csv", "pdf"):
        code, told, _ = out(capsys, place, format_, tmp_path / f"day.{format_}")
        assert code == 0
        assert "2 rounds, 3 stops" in told
    assert len(gpxpy.parse((tmp_path / "day.gpx").read_text()).routes) == 2
    assert geojson.loads((tmp_path / "day.geojson").read_text()).is_valid
    with (tmp_path / "day.csv").open(encoding="utf-8-sig") as file:
        assert len(list(csv.reader(file))) == 4
    words = " ".join(page.extract_text() for page in PdfReader(tmp_path / "day.pdf").pages)
    assert "1 Weir" in words
    assert "3 Quay" in words


def test_calendars_are_one_file_a_technician_or_the_one_that_is_named(place, capsys, tmp_path):
    _, told, _ = out(capsys, place, "ics", tmp_path / "week.ics", "--week", TODAY.isoformat())
    assert sorted(p.name for p in tmp_path.glob("*.ics")) == [
        "week-lena-hobb.ics", "week-tobin-ashe.ics"
    ]  # fmt: skip
    assert "week-lena-hobb.ics" in told
    out(capsys, place, "ics", tmp_path / "tobin.ics", "--technician", "tobin")
    (event,) = Calendar.from_ical((tmp_path / "tobin.ics").read_bytes()).walk("VEVENT")
    assert "3 Quay" in event["SUMMARY"]


def test_a_week_on_paper_is_one_page_and_a_technicians_day_that_one_sheet(place, capsys, tmp_path):
    assert out(capsys, place, "pdf", tmp_path / "w.pdf", "--week", TODAY.isoformat())[0] == 0
    (page,) = PdfReader(tmp_path / "w.pdf").pages
    assert "Week of October 12" in page.extract_text()
    out(capsys, place, "pdf", tmp_path / "t.pdf", "--technician", "Tobin Ashe")
    words = " ".join(page.extract_text() for page in PdfReader(tmp_path / "t.pdf").pages)
    assert "3 Quay" in words
    assert "1 Weir" not in words


def test_a_place_off_the_map_is_said_and_the_exit_code_is_one(place, capsys, tmp_path):
    desk = open_desk(place, today=TODAY)
    a_visit(desk, a_site(desk, "9 Nowhere", owner=None, locality="Lost"), round_id=1, place=3)
    desk.store.close()
    code, told, _ = out(capsys, place, "gpx", tmp_path / "x.gpx", "--json")
    assert code == 1
    assert json.loads(told)["off_map"] == ["9 Nowhere"]
    assert out(capsys, place, "csv", tmp_path / "x.csv")[0] == 0


def test_days_without_rounds_write_nothing_and_say_what_to_do(place, capsys, tmp_path):
    later = (TODAY + timedelta(days=9)).isoformat()
    code, _, said = out(capsys, place, "gpx", tmp_path / "x.gpx", "--day", later)
    assert code == 1
    assert "servicedesk plan" in said
    assert not (tmp_path / "x.gpx").exists()


def test_a_name_nobody_bears_is_wrong_use(place, capsys, tmp_path):
    code, _, said = out(capsys, place, "gpx", tmp_path / "x.gpx", "--technician", "Nobody")
    assert code == 2
    assert "Lena Hobb" in said


def test_tell_lists_whom_to_tell_and_writes_csv_and_json(place, capsys, tmp_path):
    code, told, _ = run(capsys, "tell", "--store", place, "--csv", str(tmp_path / "t.csv"))
    assert code == 1
    assert "3 still to be told" in told
    assert "We plan to be at 1 Weir on Wednesday, October 14 in the morning" in told
    with (tmp_path / "t.csv").open(encoding="utf-8-sig") as file:
        assert len(list(csv.reader(file))) == 4
    code, told, _ = run(capsys, "tell", "--store", place, "--json")
    lines = json.loads(told)["lines"]
    assert {line["links"]["phone"] for line in lines} == {"tel:+14095550123"}
    code, told, _ = run(capsys, "tell", "--store", place, "--changed")
    assert (code, told) == (0, "0 still to be told\n")


def test_own_texts_are_written_once_and_then_used(place, capsys, tmp_path):
    _, told, _ = run(capsys, "tell", "--store", place, "--own-texts")
    path = tmp_path / "company.texts" / "tell-en.yaml"
    assert str(path) in told
    path.write_text("new: 'See you on {day}, {name}'")
    assert "See you on Wednesday, October 14" in run(capsys, "tell", "--store", place)[1]
    path.write_text("new: '{nonsense}'")
    code, _, said = run(capsys, "tell", "--store", place)
    assert code == 2
    assert "{nonsense}" in said
