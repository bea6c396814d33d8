"""The whole sample: equal size, seed and day give equal rows."""

from datetime import date
from random import Random

from sample_db.company import make_company
from sample_db.contracts import make_contracts
from sample_db.customers import make_sites
from sample_db.fixes import Book
from sample_db.history import History
from sample_db.ledger import make_parts, write_ledger
from sample_db.rows import Calendar, Row, Rows
from sample_db.sizes import SIZES
from sample_db.state import Setting, Truth
from sample_db.todays import make_today
from sample_db.world import World, make_world


def make(
    size: str, seed: int, today: date, *, note: str = ""
) -> tuple[dict[str, list[Row]], Truth, World]:
    """Rows by table (plain values, keys given), what was seeded, and the island.

    `size` is one of sizes.SIZES. Equal arguments give equal rows, uids included. Raises KeyError
    for an unknown size.
    """
    chosen = SIZES[size]
    s = Setting(
        chosen, seed, today, Random(f"sample {size} {seed} {today}"), Rows(seed),
        make_world(chosen, seed), Calendar(set()), Truth(size, seed, today),
    )  # fmt: skip
    book = Book()
    make_company(s, note)
    make_parts(s, book)
    make_sites(s)
    chains = make_contracts(s)
    history = History(s, book, chains)
    history.run()
    write_ledger(s, book)
    make_today(s, book, history.pending())
    return {t: rows for t, rows in s.rows.tables.items() if rows}, s.truth, s.world
