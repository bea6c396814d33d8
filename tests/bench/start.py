"""How long from the start of the process to a painted page with true figures, median of five.

    python -m tests.bench.start STORE [--today DAY]

Without a screen of its own (offscreen); the program ends itself at the first painted page.
"""

import os
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
    times = []
    for _ in range(6):
        begin = time.perf_counter()
        subprocess.run(command, env=environment, check=True)
        times.append(time.perf_counter() - begin)
    print(f"first {times[0]:.2f} s, then median {statistics.median(times[1:]):.2f} s of five")


if __name__ == "__main__":
    main(sys.argv[1:])
