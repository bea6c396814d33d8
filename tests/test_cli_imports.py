"""The shell answers at once: a verb loads what it needs itself, and nothing of the others."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
CASE = ROOT / "sample_db" / "cases" / "came_back_three_times.json"
HEAVY = (
    "numpy", "scipy", "pyvrp", "sqlalchemy", "alembic", "reportlab", "openpyxl", "pypdfium2",
    "PySide6",
)  # fmt: skip
# yaml carries the fault knowledge, which `causes` asks
FILES = ("yaml", "babel")

PROGRAM = """
import sys
from servicedesk.__main__ import main
code = main(sys.argv[2:])
print("loaded:", [one for one in sys.argv[1].split(",") if one in sys.modules], "code:", code)
"""


@pytest.mark.parametrize(
    ("words", "unwanted"),
    [
        (["--help"], HEAVY + FILES),
        (["plan", "--help"], HEAVY + FILES),
        (["reports", "--help"], HEAVY + FILES),
        (["causes", str(CASE)], HEAVY),
    ],
)
def test_a_verb_loads_nothing_of_the_others(words, unwanted):
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, ",".join(unwanted), *words],
        capture_output=True, text=True, timeout=60, check=False, cwd=ROOT,
    )  # fmt: skip

    assert "loaded: [] code: 0" in done.stdout, done.stdout[-300:] + done.stderr
