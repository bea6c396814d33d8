"""Work in a process of its own that is killed in the middle, and what it had said until then.

The processes come from a small server that has loaded the program, not from the one of the tests:
what that one has gathered meanwhile would be copied each time.
"""

import multiprocessing
import os
import random
import shutil
import signal
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path

from sqlalchemy import Engine, event

from servicedesk.records.copying import check
from servicedesk.records.store import Store, open_store

KILLS = 50
N_BEFORE = 33  # of them at most before the commit begins

Begun = Callable[[], None]
Work = Callable[[str, Begun], None]

_SERVER = multiprocessing.get_context("forkserver")
_SERVER.set_forkserver_preload(
    ["tests.harm.test_kill", "tests.harm.test_kill_bring_in", "tests.harm.test_kill_planning"]
)


@dataclass(frozen=True, slots=True)
class Moment:
    """When to kill: before the so-manieth statement, or so long after the last commit began."""

    statement: int = 0
    commit: int = 0
    seconds: float = 0.0


@dataclass(frozen=True, slots=True)
class Length:
    """How long a work is when nobody kills it."""

    statements: int
    commits: int
    commit_seconds: float


def nobody_listens() -> None:
    """Whoever waits for the beginning is told here."""


def moments(length: Length) -> Iterator[Moment]:
    """Fifty: spread over all statements up to the last, the others around the last commit."""
    n = min(N_BEFORE, length.statements)
    for i in range(n):
        yield Moment(statement=1 + round(i * (length.statements - 1) / (n - 1)))
    chance = random.Random(4)
    for _ in range(KILLS - n):
        seconds = chance.uniform(0, 2 * length.commit_seconds)
        yield Moment(commit=length.commits, seconds=seconds)


def how_long(work: Work, template: Path, folder: Path) -> Length:
    """What the work does in a copy of the store."""
    place = folder / "counted.store"
    shutil.copyfile(template, place)
    child, said = _begun(work, place, Moment())
    statements = commits = 0
    began = time.monotonic()
    while (what := said.recv())[0] != "done":
        if what[0] == "commit":
            commits, began = what[1], time.monotonic()
    statements, took = what[1], time.monotonic() - began
    _killed(child)
    place.unlink()
    return Length(statements, commits, took)


def killed_at(moment: Moment, work: Work, place: Path) -> bool:
    """Do `work` and kill it at the moment. Had it said that it was done?"""
    child, said = _begun(work, place, moment)
    is_done = False
    try:
        while not is_done:
            what = said.recv()
            is_done = what[0] == "done"
            if what == ("commit", moment.commit):
                time.sleep(moment.seconds)
                _killed(child)
    except EOFError:
        pass  # it went in the middle
    _killed(child)
    return is_done


def killed_after(seconds: float, work: Work, place: Path) -> None:
    """Do `work` and kill it so many seconds after it said that it began."""
    child, _ = _begun(work, place, Moment())
    time.sleep(seconds)
    _killed(child)


def kill_many_times(
    work: Work, template: Path, folder: Path, holds: Callable[[Store], str]
) -> dict[str, int]:
    """Kill `work` fifty times; count what the store held afterwards ("all" or "nothing")."""
    length = how_long(work, template, folder)
    held = {"all": 0, "nothing": 0}
    for n, moment in enumerate(moments(length)):
        place = folder / f"{n}.store"
        shutil.copyfile(template, place)
        is_done = killed_at(moment, work, place)
        store = open_store(place)
        assert check(store).faults == ()
        what = holds(store)
        store.close()
        place.unlink()
        assert what in held, what
        assert not (is_done and what == "nothing"), "said done, and it is not there"
        assert not (moment.statement and what == "all"), "there before its commit"
        held[what] += 1
    return held


def _begun(
    work: Work, place: Path, moment: Moment
) -> tuple[multiprocessing.process.BaseProcess, Connection]:
    ours, theirs = _SERVER.Pipe(duplex=False)
    child = _SERVER.Process(target=_work_until, args=(moment, work, str(place), theirs))
    child.start()
    theirs.close()
    assert ours.recv() == ("began",), "the child never came to write"
    return child, ours


def _killed(child: multiprocessing.process.BaseProcess) -> None:
    child.kill()
    child.join()
    assert child.exitcode == -signal.SIGKILL


def _work_until(moment: Moment, work: Work, place: str, said: Connection) -> None:
    """Runs in the child."""
    has_begun, statements, commits = False, 0, 0

    def begun() -> None:
        nonlocal has_begun
        has_begun = True
        said.send(("began",))

    def before_each(*_: object) -> None:
        nonlocal statements
        statements += has_begun
        if has_begun and statements == moment.statement:
            os.kill(os.getpid(), signal.SIGKILL)

    def before_commit(_: object) -> None:
        nonlocal commits
        if has_begun:
            commits += 1
            said.send(("commit", commits))

    event.listen(Engine, "before_cursor_execute", before_each)
    event.listen(Engine, "commit", before_commit)
    work(place, begun)
    said.send(("done", statements))
    signal.pause()
