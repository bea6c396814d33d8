"""Offer letters that leave: numbered, printed, kept and written, merged and one each.

    python -m tests.bench.letters STORE [--n 500] [--today DAY]

Target: 500 in under 15 s. STORE is copied first; it stays as it is.
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
from servicedesk.desk.year_files import send_and_write

TARGET_S = 15.0


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("store", type=Path)
    options.add_argument("--n", type=int, default=500)
    options.add_argument("--today", type=date.fromisoformat)
    chosen = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "bench.store"
        shutil.copyfile(chosen.store, copy)
        desk = open_desk(copy, today=chosen.today)
        year = desk.today.year + 1
        page = renewals(desk, since=date(year, 1, 1), until=date(year + 1, 1, 1))
        ids = [line.contract_id for line in page.lines if line.price is not None][: chosen.n]
        begin, cpu = time.perf_counter(), time.process_time()
        (_, names, _), _ = send_and_write(desk, page, ids, how="letter")
        took, cpu = time.perf_counter() - begin, time.process_time() - cpu
        desk.store.close()
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{len(ids)} letters, {len(names)} files: {took:.1f} s ({cpu:.1f} s of processor), "
        f"{memory:.0f} MB of memory; target {TARGET_S:.0f} s for 500"
    )


if __name__ == "__main__":
    main()
