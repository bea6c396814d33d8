"""How long from the start of the process to a painted page with true figures, median of five.

    python -m tests.bench.start STORE [--today DAY]

Without a screen of its own (offscreen). The program ends itself once every figure of the first
page has come home and is painted; from then on it answers at once. Aims of the issue: under 1.5 s
with `small`, under 2.5 s with `county`. The first start draws the slow conclusions anew, as the
first one of a day does; the others find them. On a machine that has other work to do only the time
of the processor tells something.
"""

import os
import resource
import statistics
import subprocess
import sys
import time


def main(arguments: list[str]) -> None:
    """Print the median of five starts, in seconds, the first one (cold files) apart."""
    store, *more = arguments
    environment = {
        **os.environ,
        "QT_QPA_PLATFORM": os.environ.get("QT_QPA_PLATFORM", "offscreen"),
        "SERVICEDESK_CLOSE_WHEN_READY": "1",
    }
    command = [sys.executable, "-m", "servicedesk", "--store", store, *more]
    walls, busy = [], []
    for _ in range(6):
        begin, spent = time.perf_counter(), processor_s()
        subprocess.run(command, env=environment, check=True)
        walls.append(time.perf_counter() - begin)
        busy.append(processor_s() - spent)
    for name, times in (("by the clock", walls), ("of the processor", busy)):
        told = f"first {times[0]:.2f} s, then median {statistics.median(times[1:]):.2f} s of five"
        print(f"{name}: {told}, best {min(times[1:]):.2f} s")


def processor_s() -> float:
    """What the processes that ended have taken of the processor so far, in seconds."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


if __name__ == "__main__":
    main(sys.argv[1:])
