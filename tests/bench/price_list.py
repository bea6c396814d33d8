"""A supplier's list of 5,000 lines with 30 faults: ``python -m tests.bench.price_list``.

Looked at and brought in within 5 seconds, every fault told with its line (issue E, "shown by").
"""

import tempfile
import time
from datetime import date
from pathlib import Path

from sample_db.load import make_sample
from servicedesk.desk.office import open_desk
from servicedesk.desk.parts import parts
from servicedesk.desk.price_list import Ask, look_at_prices, supplier_named, take_prices
from tests.desk.price_lists import write_list

DAY = date(2026, 10, 14)
LINES, FAULTS, MOST_SECONDS = 5_000, 30, 5.0


def main() -> None:
    """Print how long it takes; first the list as new parts, then all of them with other costs."""
    with tempfile.TemporaryDirectory() as folder:
        store, file = Path(folder) / "s.store", Path(folder) / "list.csv"
        make_sample(store, size="small", seed=1, today=DAY)
        desk = open_desk(store, today=DAY)
        ours = [one for one in parts(desk) if one.supplier.startswith("Harbor")]
        known = {one.supplier_number: "77.00" for one in ours}
        wanted = write_list(file, n=LINES, n_faults=FAULTS, known=known)
        for what, day in (("5,000 lines, most of them new", DAY), ("again a day later", None)):
            began = time.perf_counter()
            supplier = supplier_named(desk, "Harbor")
            if day is None:
                text = file.read_text(encoding="utf-8").replace(".00,1", ".50,1")
                file.write_text(text, encoding="utf-8")
            proposal = look_at_prices(desk, file, supplier, Ask(adds_new=True))
            looked = time.perf_counter() - began
            take_prices(desk, proposal)
            took = time.perf_counter() - began
            found = {one.row: one.code for one in proposal.faults}
            print(
                f"{what}: looked at in {looked:.2f} s, written after {took:.2f} s "
                f"(most {MOST_SECONDS:.0f}); {proposal.n_of('changed')} changed, "
                f"{proposal.n_of('new')} new, {len(found)} faults told, all: {found == wanted}"
            )
        desk.store.close()


if __name__ == "__main__":
    main()
