"""The shell's commands where the machine is odd: pipes, letters, time zones, homes, Ctrl-C.

Each runs the program as a process of its own, as a person's shell does.
"""

import json
import os
import shlex
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from servicedesk.records.store import open_store

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "sample_db" / "small-60.store"
DAY = "2026-10-14"
HOLIDAY = "2026-11-26"  # the fourth Thursday of November (5 U.S.C. 6103)
ONLY_POSIX = pytest.mark.skipif(os.name == "nt", reason="signals and devices of POSIX")


def started(*words, env=None, **more):
    # a clean shell: nothing of this test run's own settings decides
    kept = {k: v for k, v in os.environ.items() if k in {"PATH", "HOME", "SYSTEMROOT", "TEMP"}}
    return subprocess.Popen(
        [sys.executable, "-m", "servicedesk", *map(str, words)],
        env={**kept, "PYTHONPATH": str(ROOT), **(env or {})},
        stderr=subprocess.PIPE,
        encoding="utf-8",
        errors="strict",
        **more,
    )


def run(*words, env=None, **more):
    """Exit code, standard output, standard error."""
    process = started(*words, env=env, **{"stdout": subprocess.PIPE, **more})
    out, err = process.communicate(timeout=120)
    assert "Traceback" not in err
    return process.returncode, out, err


@pytest.fixture
def store(tmp_path):
    return Path(shutil.copyfile(SAMPLE, tmp_path / "company.store"))


@pytest.fixture(scope="module")
def planned_once(tmp_path_factory):
    """The sample with its rounds of the day, and what its first morning said."""
    folder = tmp_path_factory.mktemp("planned")
    place = Path(shutil.copyfile(SAMPLE, folder / "company.store"))
    code, out, _err = run(*morning(place, "--json", "--out", folder / "papers"))
    assert code in (0, 1)
    return place, json.loads(out)


@pytest.fixture
def planned(planned_once, tmp_path):
    """A store whose day is planned: what is asked here is not how."""
    return Path(shutil.copyfile(planned_once[0], tmp_path / "company.store"))


def morning(store, *words, today=DAY):
    return ["morning", "--store", store, "--today", today, *words]


@pytest.mark.parametrize("zone", ["UTC", "Pacific/Apia", "America/New_York"])
def test_the_machines_time_zone_changes_no_figure(store, planned_once, tmp_path, zone):
    env = {"TZ": zone}
    code, out, _err = run(*morning(store, "--json", "--out", tmp_path / "papers"), env=env)
    assert code in (0, 1)
    found = json.loads(out)
    del found["papers"]
    assert found == {k: v for k, v in planned_once[1].items() if k != "papers"}
    assert found["day"] == DAY


@pytest.mark.parametrize(
    "env",
    [
        {"LANG": "C", "LC_ALL": "C"},
        {"LC_ALL": "POSIX"},
        {"PYTHONIOENCODING": "ascii"},
        {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
    ],
    ids=lambda env: " ".join(f"{k}={v}" for k, v in env.items()),
)
def test_a_shell_that_knows_few_letters_gets_its_morning(planned, tmp_path, env):
    code, out, _err = run(*morning(planned, "--out", tmp_path / "papers"), env=env)
    assert code in (0, 1)
    assert "Wednesday, October 14, 2026" in out
    assert list((tmp_path / "papers").glob("*.pdf"))
    code, out, _err = run(*morning(planned, "--json", "--out", tmp_path / "papers"), env=env)
    assert json.loads(out)["day"] == DAY


def test_a_folder_with_a_blank_in_its_name_is_a_folder(planned, tmp_path):
    place = tmp_path / "a fresh clone"
    place.mkdir()
    shutil.copyfile(planned, place / "our company.store")
    code, out, _err = run(*morning("our company.store", "--out", "our papers"), cwd=place)
    assert code in (0, 1)
    assert "our papers" in out
    assert list((place / "our papers").glob("*.pdf"))


def test_a_home_that_cannot_be_written_names_the_way_out(tmp_path):
    # root may write anywhere but below a file
    (tmp_path / "file").write_bytes(b"")
    env = {"HOME": str(tmp_path / "file"), "XDG_DATA_HOME": str(tmp_path / "file" / "data")}
    code, out, err = run("morning", env=env)
    assert (code, out) == (3, "")
    assert "--store FILE" in err


def test_with_a_store_named_such_a_home_is_not_asked(planned, tmp_path):
    (tmp_path / "file").write_bytes(b"")
    env = {"HOME": str(tmp_path / "file"), "XDG_DATA_HOME": str(tmp_path / "file" / "data")}
    code, out, err = run(*morning(planned, "--out", tmp_path / "papers"), env=env)
    assert code in (0, 1)
    assert err == ""
    assert "Papers" in out


def test_the_sample_then_lies_among_passing_files_and_says_so(tmp_path):
    (tmp_path / "file").write_bytes(b"")
    env = {
        "HOME": str(tmp_path / "file"),
        "XDG_DATA_HOME": str(tmp_path / "file" / "data"),
        "TMPDIR": str(tmp_path),
    }
    code, out, err = run("--sample", "--today", DAY, env=env)
    assert code == 0
    assert "for now" in err
    (folder,) = tmp_path.glob("servicedesk-sample-*")
    assert str(folder) in err
    assert list((folder / "papers").glob("*.pdf"))
    assert "Wednesday, October 14, 2026" in out
    if os.name == "posix":
        assert folder.stat().st_mode & 0o077 == 0


def test_without_a_font_on_the_machine_the_papers_have_theirs(planned, tmp_path):
    env = {"FONTCONFIG_FILE": os.devnull, "FONTCONFIG_PATH": str(tmp_path / "none")}
    code, _out, _err = run(*morning(planned, "--out", tmp_path / "papers"), env=env)
    assert code in (0, 1)
    assert list((tmp_path / "papers").glob("*.pdf"))


@ONLY_POSIX
def test_a_reader_that_goes_away_is_no_error(planned, tmp_path):
    for words in (
        morning(planned, "--json", "--out", tmp_path / "papers"),
        morning(planned, "--out", tmp_path / "papers"),
        ["--help"],
        ["store", "check", "--store", planned],
    ):
        reading, writing = os.pipe()
        os.close(reading)  # gone before the first letter
        code, _out, err = run(*words, stdout=writing)
        os.close(writing)
        assert (code, err) == (0, ""), words


@ONLY_POSIX
def test_an_output_that_is_closed_is_no_error(planned, tmp_path):
    words = morning(planned, "--out", tmp_path / "papers")
    line = shlex.join([sys.executable, "-m", "servicedesk", *map(str, words)])
    done = subprocess.run(
        ["sh", "-c", f"{line} >&-"],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        timeout=120,
        check=False,
    )
    assert done.returncode in (0, 1)
    assert "Traceback" not in done.stderr
    assert list((tmp_path / "papers").glob("*.pdf"))


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no /dev/full here")
def test_a_full_disk_behind_the_output_is_told(planned, tmp_path):
    for words in (
        morning(planned, "--out", tmp_path / "papers"),
        morning(planned, "--json", "--out", tmp_path / "papers"),
        ["store", "check", "--store", planned],
    ):
        with Path("/dev/full").open("w", encoding="utf-8") as full:
            code, _out, err = run(*words, stdout=full)
        assert code == 2
        assert err.count("\n") == 1
        assert "standard output" in err


@ONLY_POSIX
def test_ctrl_c_ends_in_a_sentence_and_leaves_a_sound_store(store, tmp_path):
    for wait_s in (0.05, 0.3, 0.6, 1.0, 1.5):
        process = started(
            *morning(store, "--out", tmp_path / "papers"),
            stdout=subprocess.PIPE,
            start_new_session=True,
        )
        time.sleep(wait_s)
        process.send_signal(signal.SIGINT)
        _out, err = process.communicate(timeout=60)
        # before Python itself stands, the signal ends it as any process
        assert process.returncode in (0, 1, -signal.SIGINT), (wait_s, err)
        if wait_s >= 0.3:
            assert "Traceback" not in err, wait_s
    open_store(store).close()
    code, out, _err = run("store", "check", "--store", store)
    assert code == 0
    assert "sound" in out


def test_a_holiday_is_told_and_writes_no_papers(store, tmp_path):
    code, out, _err = run(*morning(store, "--out", tmp_path / "papers", today=HOLIDAY))
    assert code in (0, 1)
    assert "Nobody works" in out
    assert not (tmp_path / "papers").exists()


@ONLY_POSIX
def test_somebody_without_a_name_and_a_home_gets_a_morning(tmp_path):
    # as in a bare container: a number that no book of users knows, and no HOME
    program = (
        "import os, sys\n"
        "os.environ.pop('HOME', None); os.environ.pop('XDG_DATA_HOME', None)\n"
        "import pwd\n"
        "def nobody(*_): raise KeyError('uid not found')\n"
        "pwd.getpwuid = nobody\n"
        "from servicedesk.__main__ import main\n"
        "sys.exit(main(sys.argv[1:]))\n"
    )
    store = shutil.copyfile(SAMPLE, tmp_path / "company.store")
    for words, code in (
        (morning(store, "--out", tmp_path / "papers"), (0, 1)),
        (["--sample", "--today", DAY], (0,)),
        (["morning"], (3,)),
    ):
        done = subprocess.run(
            [sys.executable, "-c", program, *map(str, words)],
            env={"PATH": os.environ["PATH"], "PYTHONPATH": str(ROOT), "TMPDIR": str(tmp_path)},
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
        assert "Traceback" not in done.stderr, done.stderr
        assert done.returncode in code, done.stderr
