"""`servicedesk roads`: build from the real extracts, check, find; one sentence for what is wrong."""

import json
import shutil
from pathlib import Path

import pytest

from tests.test_cli_morning import SAMPLE, assert_one_message, run

DATA = Path(__file__).parent / "data" / "roads"
DAY = ("--today", "2026-10-14")


@pytest.fixture
def store(tmp_path):
    return Path(shutil.copyfile(SAMPLE, tmp_path / "company.store"))


def test_an_extract_is_built_and_said_to_be_in_use(store, capsys):
    extract = DATA / "liechtenstein-2021.osm.pbf"
    code, out, err = run(capsys, "roads", "check", "--store", store, *DAY)
    assert (code, err) == (0, "")
    assert "straight lines, times estimated" in out
    code, out, err = run(
        capsys, "roads", "build", extract, "--store", store, "--everything", "--without-buildings"
    )
    assert (code, err) == (0, "")
    assert "roads of liechtenstein-2021" in out
    assert "Open Database License" in out
    code, out, err = run(capsys, "roads", "check", "--store", store, "--json", *DAY)
    found = json.loads(out)
    assert (found["source"], found["words"]) == ("roads", "roads of liechtenstein-2021")
    assert found["about"]["credit"] == "© OpenStreetMap contributors"
    # the sample's island lies elsewhere: every one of its sites is listed
    assert code == 1
    assert {site["code"] for site in found["off_road"]} == {"no_road_near"}
    code, out, err = run(capsys, "roads", "find", "Landstrasse 12, Schaan", "--store", store)
    assert (code, err) == (0, "")
    assert "Landstrasse, Schaan" in out


def test_an_extract_of_somewhere_else_is_refused(store, capsys):
    code, out, err = run(capsys, "roads", "build", DATA / "andorra-2013.osm.pbf", "--store", store)
    assert_one_message(code, 2, out, err)
    assert "no roads in this area" in err
    assert not store.with_name("company.roads").exists()


def test_what_is_no_extract_is_said(store, capsys, tmp_path):
    wrong = tmp_path / "list.osm.pbf"
    wrong.write_bytes(b"not an extract")
    for path in (wrong, tmp_path / "missing.osm.pbf"):
        code, out, err = run(capsys, "roads", "build", path, "--store", store)
        assert_one_message(code, 2, out, err)
        assert path.name in err


def test_nothing_found_is_something_to_look_at(store, capsys):
    code, out, _err = run(capsys, "roads", "find", "12 Mill Road", "--store", store)
    assert code == 1
    assert "No address" in out


def test_the_sample_comes_with_its_own_roads(tmp_path, capsys):
    path = tmp_path / "island.store"
    assert run(capsys, "sample", "--out", path, *DAY)[0] == 0
    code, out, err = run(capsys, "roads", "check", "--store", path, *DAY)
    assert (code, err) == (0, "")
    assert "roads of Tarrow County" in out
    assert "invented" in out
    assert "OpenStreetMap" not in out
    code, out, err = run(capsys, "roads", "find", "118 Dry Hollow Lane", "--store", path)
    assert (code, err) == (0, "")
    assert out.splitlines()[0].endswith("118 Dry Hollow Lane, Old Tessing")
