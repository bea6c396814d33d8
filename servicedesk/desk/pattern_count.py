"""How many patterns ask for action, worked out by a process of its own.

The page takes seconds of counting. In the window's process that would hold up every other question
to the store, and painting with it; a process of its own at low priority holds up nobody. Its whole
answer is one number.
"""

import os
import subprocess
import sys
from contextlib import closing
from datetime import date

from servicedesk.desk.office import open_desk
from servicedesk.desk.pattern_seen import patterns_seen
from servicedesk.desk.places_on_disk import STORE_VARIABLE
from servicedesk.values.progress import Progress, quiet

LOOK_EVERY_S = 0.2
LOW_PRIORITY = 10


def patterns_waiting_apart(
    place: str, today: date | None, progress: Progress = quiet
) -> int | None:
    """Patterns clearly above of which nothing is owed yet, in the store at `place`.

    Touches no store in this process. None where the other process could not say; the page itself
    says why when it is opened. Raises Stopped where `progress` does, the other process ended.
    """
    command = [sys.executable, "-m", __name__, *([today.isoformat()] if today else [])]
    with subprocess.Popen(  # noqa: S603 - this program itself, and a day
        command,
        env={**os.environ, STORE_VARIABLE: place},  # an address may hold a password: no argument
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
    ) as process:
        try:
            while True:
                progress(0, 1)
                try:
                    told, _ = process.communicate(timeout=LOOK_EVERY_S)
                except subprocess.TimeoutExpired:
                    continue
                return int(told) if process.returncode == 0 else None
        finally:
            if process.poll() is None:
                process.kill()


def main(arguments: list[str]) -> None:
    """Print the number for the store that the environment names."""
    if hasattr(os, "nice"):
        os.nice(LOW_PRIORITY)
    today = date.fromisoformat(arguments[0]) if arguments else None
    desk = open_desk(os.environ[STORE_VARIABLE], today=today)
    with closing(desk.store):
        sys.stdout.write(str(patterns_seen(desk).n_waiting))


if __name__ == "__main__":
    main(sys.argv[1:])
