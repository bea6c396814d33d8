"""The README's commands are run: by `.ci/run`, and what somebody may try, line by line here."""

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
BLOCK = re.compile(
    r"(?:^<!-- (?P<mark>[\w -]+) -->\n)?^```sh\n(?P<body>.*?)^```$", re.DOTALL | re.MULTILINE
)
KNOWN = {"run", "test", "try", "by hand"}  # by hand: takes too long, or wants a screen


def blocks() -> list[tuple[str | None, str]]:
    """Each shell block of the README: the mark above it (None: there is none), its lines."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    return [(found["mark"], found["body"]) for found in BLOCK.finditer(text)]


def test_every_block_has_a_mark_that_says_who_runs_it():
    marks = [mark for mark, _body in blocks()]
    assert {"run", "test", "try"} <= set(marks) <= KNOWN
    assert "```sh\n" in (ROOT / "README.md").read_text(encoding="utf-8")
    fences = re.findall(
        r"^```(\S+)$", (ROOT / "README.md").read_text(encoding="utf-8"), re.MULTILINE
    )
    assert fences == ["sh"] * len(marks), "a block in another language would be run by nobody"


def test_what_is_run_by_hand_names_modules_that_are_there():
    by_hand = "\n".join(body for mark, body in blocks() if mark == "by hand")
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    named = set(re.findall(r"python -m ((?:tests|sample_db|servicedesk)[\w.]*)", by_hand + text))
    assert named
    for name in named:
        place = ROOT.joinpath(*name.split("."))
        assert place.with_suffix(".py").exists() or (place / "__main__.py").exists(), name


@pytest.mark.parametrize("mark", ["run", "test"])
def test_the_long_commands_are_run_by_every_submission(mark):
    ci = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert f'{mark}_command="$(command_of_readme {mark})"' in ci
    assert f'eval "${mark}_command"' in ci


def test_what_somebody_may_try_works_line_by_line(tmp_path):
    bin_folder = shlex.quote(str(Path(sys.executable).parent)) + "/"
    sample = shlex.quote(str(ROOT / "sample_db")) + "/"
    tried = [line for mark, body in blocks() if mark == "try" for line in body.splitlines()]
    assert tried
    for line in tried:
        command = line.replace(".venv/bin/", bin_folder).replace("sample_db/", sample)
        done = subprocess.run(  # noqa: S602 (our own README, as a shell reads it)
            command,
            check=False,
            shell=True,
            cwd=tmp_path,
            capture_output=True,
            text=True,
            timeout=120,
        )
        assert done.returncode in (0, 1), f"{line}\n{done.stderr}"
        assert "Traceback" not in done.stderr
        assert done.stdout.strip(), line
    assert list(tmp_path.glob("papers/*.pdf")) or "Nobody works on" in done.stdout
