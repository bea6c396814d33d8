"""Everything below the window works where Qt cannot even be imported, papers included."""

import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]

PROGRAM = """
import importlib, pkgutil, sys
sys.modules["PySide6"] = None
sys.modules["shiboken6"] = None
import servicedesk
for module in pkgutil.walk_packages(servicedesk.__path__, "servicedesk."):
    if not module.name.startswith("servicedesk.window") and ".migrations" not in module.name:
        importlib.import_module(module.name)
from servicedesk.cli import main
code = main(["morning", "--store", sys.argv[1], "--today", "2026-10-14", "--out", sys.argv[2]])
assert code in (0, 1), code
assert "matplotlib" not in sys.modules
"""


def test_all_papers_are_made_without_qt(tmp_path):
    store = tmp_path / "company.store"
    shutil.copyfile(ROOT / "sample_db" / "small-60.store", store)
    papers = tmp_path / "papers"

    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(store), str(papers)],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        timeout=120,
        check=False,
    )

    assert done.returncode == 0, done.stderr
    made = {path.suffix for path in papers.iterdir()}
    assert made == {".pdf", ".ics"}
