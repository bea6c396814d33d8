"""Renewals of a county's whole year, computed and written as a workbook: 3,000 in under 8 s.

    python -m tests.bench.renewals STORE [--year YEAR]

STORE is copied first; it stays as it is.
"""

import argparse
import resource
import shutil
import tempfile
import time
from datetime import date
from pathlib import Path

from servicedesk.desk.office import open_desk
from servicedesk.desk.renewals import renewals
from servicedesk.desk.renewals_sheet import renewals_book

TARGET_S = 8.0


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("store", type=Path)
    options.add_argument("--year", type=int)
    options.add_argument("--today", type=date.fromisoformat)
    chosen = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "bench.store"
        shutil.copyfile(chosen.store, copy)
        desk = open_desk(copy, today=chosen.today)
        year = chosen.year or desk.today.year + 1
        begin, cpu = time.perf_counter(), time.process_time()
        page = renewals(desk, since=date(year, 1, 1), until=date(year + 1, 1, 1))
        computed, computed_cpu = time.perf_counter() - begin, time.process_time() - cpu
        book = renewals_book(desk, page)
        took, cpu = time.perf_counter() - begin, time.process_time() - cpu
        desk.store.close()
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{len(page.lines)} contracts: {took:.1f} s ({cpu:.1f} s of processor), computed in "
        f"{computed:.1f} s ({computed_cpu:.1f} s); {len(book) / 1e6:.1f} MB, {memory:.0f} MB of "
        f"memory; target {TARGET_S:.0f} s"
    )


if __name__ == "__main__":
    main()
