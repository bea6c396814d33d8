"""A made price list: so many lines, of which some have a fault of each kind."""

import csv
from pathlib import Path
from random import Random

HEADINGS = ("Item No.", "Description", "Net price", "List price", "Pack qty", "UPC")
# column and cell of each kind of fault, with the code it is reported by
FAULTS = (
    (0, "", "no_number"),
    (2, "", "no_cost"),
    (2, "call us", "no_sum"),
    (2, "-4.00", "below_zero"),
    (2, "0.00", "zero"),
    (2, "EUR 12.00", "foreign"),
    (2, "12.00 / 14.00", "no_sum"),
    (4, "0", "no_pack"),
    (4, "a few", "no_pack"),
    (5, "036000291453", "no_barcode"),
)


def write_list(path: Path, *, n: int, n_faults: int, known: dict[str, str]) -> dict[int, str]:
    """Write `n` lines; `known` are numbers with the cost they are to have. Faults by line."""
    rng = Random(5)
    rows = [[number, f"Part {number}", cost, "", "1", ""] for number, cost in known.items()]
    rows += [
        [f"X{i:05}", f"Thing {i}", f"{1 + i % 90}.{i % 100:02}", f"{2 + i % 99}.00", "1", ""]
        for i in range(n - len(rows))
    ]  # fmt: skip
    at = sorted(rng.sample(range(len(known), n), n_faults))
    faults = {}
    for i, row in enumerate(at):
        col, cell, code = FAULTS[i % len(FAULTS)]
        rows[row][col] = cell
        faults[row + 2] = code  # the headings stand in line 1
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([HEADINGS, *rows])
    return faults
