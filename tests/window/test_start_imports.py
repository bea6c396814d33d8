"""What the first page does not need is not loaded before it stands."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
HEAVY = (
    "reportlab",
    "openpyxl",
    "pyvrp",
    "numpy",
    "alembic",
    "pypdfium2",
    "matplotlib",
    "scipy",
    "osmium",
)

PROGRAM = f"""
import sys
from servicedesk.__main__ import main
code = main(["--store", sys.argv[1], "--today", "2026-10-14"])
loaded = [name for name in {HEAVY!r} if name in sys.modules]
print("loaded:", ",".join(loaded), "code:", code)
"""


def test_the_first_page_stands_without_solver_papers_and_spreadsheets(tmp_path):
    store = tmp_path / "company.store"
    shutil.copyfile(ROOT / "sample_db" / "small-60.store", store)
    environment = {
        **os.environ,
        "QT_QPA_PLATFORM": "offscreen",
        "SERVICEDESK_CLOSE_WHEN_READY": "1",
        "XDG_DATA_HOME": str(tmp_path),
    }

    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(store)],
        env=environment,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )

    assert "loaded:  code: 0" in done.stdout, done.stdout + done.stderr
