"""How much memory the window holds after every page was opened once.

    python -m tests.bench.memory STORE [--today DAY]

Prints the resident memory (MB) after each page, and the most it ever was. Aim: under 350 MB with
`county` (our choice, no source). Linux only: it reads /proc.
"""

import argparse
import resource
from datetime import date
from pathlib import Path

from tests.bench.window_open import Driven, driven


def resident_mb() -> float:
    """What the process holds now, in MB."""
    for line in Path("/proc/self/status").read_text().splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024
    raise LookupError("/proc/self/status has no VmRSS")


def pages_of(at: Driven) -> list[tuple[object, ...]]:
    """Every place once, and beside its first page that of a record where there is one."""
    from servicedesk.desk.alert_lines import alert_lines
    from servicedesk.desk.sites import site_ids
    from servicedesk.window.places.registry import places

    pages: list[tuple[object, ...]] = [(kind.id,) for kind in places()]
    pages.append(("sites", site_ids(at.desk)[0]))
    pages += [("phone", "new"), ("rounds", at.desk.today)]
    pages += [("came_back", line.id) for line in alert_lines(at.desk)[:1]]
    return pages


def main() -> None:
    """Open every page and print what is held."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("store")
    options.add_argument("--today", type=date.fromisoformat)
    chosen = options.parse_args()
    with driven(chosen.store, chosen.today) as at:
        at.settle()
        print(f"{resident_mb():7.0f} MB at the first page")
        for page in pages_of(at):
            at.window.shell.go(str(page[0]), *page[1:])
            at.settle()
            print(f"{resident_mb():7.0f} MB after {' '.join(map(str, page))}")
        most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"after every page: {resident_mb():.0f} MB, at most {most:.0f} MB (aim: 350)")


if __name__ == "__main__":
    main()
