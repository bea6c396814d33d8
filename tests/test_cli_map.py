"""`servicedesk map`: a page and a picture of the day, with roads and without, and no Qt."""

import shutil
import subprocess
import sys
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.test_cli_morning import SAMPLE, assert_one_message, run

DAY = ("--today", "2026-10-14")
DATA = Path(__file__).parent / "data" / "roads"


@pytest.fixture
def store(tmp_path):
    return Path(shutil.copyfile(SAMPLE, tmp_path / "company.store"))


def test_the_map_of_a_day_is_a_picture_and_a_page(store, capsys, tmp_path):
    png, pdf = tmp_path / "map.png", tmp_path / "map.pdf"
    code, out, err = run(capsys, "map", "--store", store, *DAY, "--png", png, "--pdf", pdf)
    assert (code, err) == (0, "")
    assert str(png) in out
    # signature and size in the header: W3C Portable Network Graphics, 5.2 and 11.2.2
    data = png.read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    wide, high = int.from_bytes(data[16:20], "big"), int.from_bytes(data[20:24], "big")
    assert (wide, high) == (1980, 1530)  # 11 by 8.5 inches at 180 dots
    found = PdfReader(BytesIO(pdf.read_bytes())).pages[0].extract_text()
    assert "Wednesday, October 14" in found
    assert "straight lines, times estimated" in found.replace("\n", " ")


def test_with_roads_the_credit_stands_on_it_in_full(store, capsys, tmp_path):
    extract = DATA / "liechtenstein-2021.osm.pbf"
    run(capsys, "roads", "build", extract, "--store", store, "--everything", "--without-buildings")
    pdf = tmp_path / "map.pdf"
    code, out, _ = run(capsys, "map", "--store", store, *DAY, "--pdf", pdf)
    assert code == 0
    assert "© OpenStreetMap contributors (https://www.openstreetmap.org/copyright)" in out
    found = PdfReader(BytesIO(pdf.read_bytes())).pages[0].extract_text().replace("\n", "")
    assert "©OpenStreetMapcontributors(https://www.openstreetmap.org/copyright)" in (
        found.replace(" ", "")
    )


def test_without_a_file_and_where_none_can_be_written_one_sentence_says_so(store, capsys, tmp_path):
    code, out, err = run(capsys, "map", "--store", store, *DAY)
    assert_one_message(code, 2, out, err)
    assert "--png" in err
    code, out, err = run(capsys, "map", "--store", store, *DAY, "--png", tmp_path / "no" / "a.png")
    assert_one_message(code, 3, out, err)


def test_the_map_is_drawn_where_there_is_no_qt(store, tmp_path):
    program = (
        "import sys; sys.modules['PySide6'] = None\n"
        "from servicedesk.cli import main\n"
        "sys.exit(main(sys.argv[1:]))"
    )
    png = tmp_path / "map.png"
    done = subprocess.run(
        [sys.executable, "-c", program, "map", "--store", str(store), *DAY, "--png", str(png)],
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert png.stat().st_size > 10_000
