"""Make, number, keep and register inspection reports of the county sample: 1,000 in under 60 s.

    python -m tests.bench.reports STORE [--count N]

STORE is copied first; it stays as it is.
"""

import argparse
import resource
import shutil
import tempfile
import time
from pathlib import Path

from servicedesk.desk.office import open_desk
from servicedesk.desk.reports import Leaving, Wanted, send_reports
from servicedesk.records import deadline_rows

TARGET_S = 60.0


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("store", type=Path)
    options.add_argument("--count", type=int, default=1000)
    chosen = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "bench.store"
        shutil.copyfile(chosen.store, copy)
        desk = open_desk(copy)
        with desk.store.read() as session:
            jobs = deadline_rows.without_paper(
                session, job_kind="inspection", paper_kind="none", to_kind="owner"
            )
        wanted = [Wanted(job.job_id, "owner") for job in jobs[-chosen.count :]]
        begin, cpu = time.perf_counter(), time.process_time()
        sent, _ = send_reports(desk, wanted, Leaving(how="letter"))
        took, cpu = time.perf_counter() - begin, time.process_time() - cpu
        desk.store.close()
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    n_bytes = sum(len(one.pdf) for one in sent)
    print(
        f"{len(sent)} reports: {took:.1f} s ({cpu:.1f} s of processor), {n_bytes / 1e6:.0f} MB, "
        f"{memory:.0f} MB of memory; target {TARGET_S:.0f} s"
    )


if __name__ == "__main__":
    main()
