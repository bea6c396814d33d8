"""Speed of the records: find-as-you-type, a bulk change and its undo, opening and checking.

python -m tests.bench.records            # 3,000 sites in a file
"""

import argparse
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from servicedesk.records.copying import backup, check
from servicedesk.records.search import find, find_sites
from servicedesk.records.store import create_store, open_store
from servicedesk.records.undo import undo_change
from tests.records.rows import many_sites

TYPED = ("o", "os", "osp", "osprey", "1", "12", "120", "409", "4095550", "given1", "family27")
TYPED += ("tc", "tc-00", "tc-00417", "pinder", "osprey 1", "given fam", "409 555 0417", "k-9")


def seconds(work: Callable[[], object]) -> float:
    """How long `work` takes."""
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def main() -> None:
    """Print what each takes, in milliseconds."""
    parser = argparse.ArgumentParser(description="Speed of the records.")
    parser.add_argument("--sites", type=int, default=3000)
    sites = parser.parse_args().sites
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder, "bench.store")
        store = create_store(place)

        def bring_in(first: int, count: int) -> int:
            with store.change("Ines", "Brought in a list") as work:
                many_sites(work, count, first=first)
            return work.changed.change_id

        took = seconds(lambda: bring_in(1, sites))
        print(f"bring in {sites} sites ({5 * sites} rows) in one change: {took * 1e3:,.0f} ms")
        for name, look in (("find", find), ("find_sites", find_sites)):
            times = []
            for _ in range(3):
                for typed in TYPED:
                    with store.read() as session:
                        times.append((seconds(lambda s=session, t=typed, f=look: f(s, t)), typed))
            slowest = max(times)
            middle = statistics.median(t for t, _ in times)
            print(
                f"{name} over {sites} sites: median {middle * 1e3:.1f} ms, "
                f"slowest {slowest[0] * 1e3:.1f} ms ({slowest[1]!r})"
            )
        change = bring_in(100_000, 600)
        print(
            f"undo of 3,000 rows: {seconds(lambda: undo_change(store, change, who='Ines')):.2f} s"
        )
        print(f"check: {seconds(lambda: check(store)):.2f} s")
        print(f"backup: {seconds(lambda: backup(store, Path(folder, 'copy'))):.2f} s")
        store.close()
        print(f"open: {seconds(lambda: open_store(place).close()) * 1e3:.0f} ms")


if __name__ == "__main__":
    main()
