"""Slow conclusions worked out by a process of its own, which hands back what is shown and ends.

Counting a whole fleet leaves much behind in the process that did it: numeric libraries, and memory
that Python keeps for the next time. In the window's process that stays for the day. So there, with
many sites, such work is done by another one: it opens the same store, and its memory goes with it.
"""

import copyreg
import os
import pickle
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from queue import Empty, SimpleQueue
from threading import Thread
from types import MappingProxyType
from typing import IO, Any, Concatenate, ParamSpec, TypeVar
from weakref import WeakSet

from servicedesk.desk.conclusion_files import keep_conclusions
from servicedesk.desk.office import Desk, open_desk
from servicedesk.desk.places_on_disk import STORE_VARIABLE
from servicedesk.records import desk_counts
from servicedesk.records.store import Store
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

LOOK_EVERY_S = 0.1
MANY_SITES = 1_000  # below that the work itself takes no longer than a process to start

T = TypeVar("T")
P = ParamSpec("P")
_kept_free: "WeakSet[Store]" = WeakSet()


def work_apart(store: Store) -> None:
    """From now on work out slow conclusions of this store by processes of their own."""
    _kept_free.add(store)


def apart(
    desk: Desk, function: Callable[Concatenate[Desk, P], T], *args: P.args, **more: P.kwargs
) -> T:
    """What `function(desk, ...)` gives, from a process of its own where that was asked for.

    `function` stands in a module, takes `progress=`, and gives plain values. What it raises is
    raised here: Stopped where `progress` does, the other process ended. Raises Trouble where that
    one ended without an answer. Where none can be started it is worked out here.
    """
    process = _process(desk.store.place) if _is_worth_it(desk) else None
    if process is None:
        return function(desk, *args, **more)
    progress: Any = more.pop("progress", quiet)
    value: T = _answer(process, _Asked(function, args, more, desk.who, desk.today), progress)
    return value


def _is_worth_it(desk: Desk) -> bool:
    if desk.store not in _kept_free:
        return False
    with desk.store.read() as session:
        return desk_counts.sites(session) >= MANY_SITES


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the other process is to do, and as whom."""

    function: Callable[..., Any]
    args: tuple[Any, ...]
    more: dict[str, Any]
    who: str
    today: date


@dataclass(frozen=True, slots=True)
class _Step:
    done: int
    total: int
    note: str


@dataclass(frozen=True, slots=True)
class _Done:
    value: Any


@dataclass(frozen=True, slots=True)
class _Raised:
    error: BaseException


_ENDED = object()


def _process(place: str) -> "subprocess.Popen[bytes] | None":
    try:
        return subprocess.Popen(  # noqa: S603 - this program itself
            [sys.executable, "-m", __name__],
            # an address may hold a password: no argument
            env={**os.environ, STORE_VARIABLE: place},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
        )
    except OSError:  # a machine without room for one more
        return None


def _answer(process: "subprocess.Popen[bytes]", asked: _Asked, progress: Progress) -> Any:
    with process:
        told: SimpleQueue[object] = SimpleQueue()
        reader = Thread(target=_read_all, args=(process.stdout, told), daemon=True)
        try:
            reader.start()
            _ask(process.stdin, asked)
            return _waited_for(told, progress)
        finally:
            process.kill()  # it has answered, or nobody wants its answer any more
            reader.join()


def _ask(stdin: IO[bytes] | None, asked: _Asked) -> None:
    if stdin is None:
        raise ValueError("no way to ask the other process")
    try:
        with stdin:
            stdin.write(_pickled(asked))
    except OSError:  # it ended before it was asked: what it has told says so
        return


def _read_all(stdout: IO[bytes], told: "SimpleQueue[object]") -> None:
    try:
        while True:
            told.put(pickle.load(stdout))  # noqa: S301 - from this program itself
    except (EOFError, OSError, ValueError, pickle.UnpicklingError):
        told.put(_ENDED)


def _waited_for(told: "SimpleQueue[object]", progress: Progress) -> Any:
    step = _Step(0, 1, "")
    while True:
        progress(step.done, step.total, step.note)
        try:
            match told.get(timeout=LOOK_EVERY_S):
                case _Step() as step:
                    continue
                case _Done(value):
                    return value
                case _Raised(error):
                    raise error
                case _:
                    raise Trouble(
                        say("The process that worked this out ended before it was done."),
                        do=say("Ask once more; if it ends again, close other programs first."),
                    )
        except Empty:
            continue


# --- in the other process


def main() -> None:
    """Do what is asked on standard input, for the store that the environment names."""
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # what anything prints is no answer

    def tell(message: object) -> None:
        answers.write(_pickled(message))
        answers.flush()

    def progress(done: int, total: int, note: str = "") -> None:
        tell(_Step(done, total, note))

    try:
        asked: Any = pickle.load(sys.stdin.buffer)  # noqa: S301 - from this program itself
        desk = open_desk(os.environ[STORE_VARIABLE], who=asked.who, today=asked.today)
        with closing(desk.store):
            keep_conclusions(desk.store)
            tell(_Done(asked.function(desk, *asked.args, progress=progress, **asked.more)))
    except Exception as error:  # noqa: BLE001 - raised again where it was asked for
        tell(_Raised(_that_travels(error)))


def _that_travels(error: Exception) -> Exception:
    """The error itself where it can be sent, else what it says."""
    try:
        pickle.loads(pickle.dumps(error))  # noqa: S301 - our own
    except Exception as why:  # noqa: BLE001 - whatever it is, the first one is to be told
        return RuntimeError(f"{error!r} ({why!r})")
    return error


def _pickled(value: object) -> bytes:
    return pickle.dumps(value, protocol=5)


def _read_only(mapping: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(mapping)


# the class goes by no name under which it could be found
copyreg.pickle(MappingProxyType, lambda mapping: (_read_only, (dict(mapping),)))


if __name__ == "__main__":
    from servicedesk.desk.apart import main as begin  # the classes have one name in both processes

    begin()
