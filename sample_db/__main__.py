"""`python -m sample_db OUT --size small --seed 1 --today 2026-10-14`: make the sample by hand."""

import argparse
import json
import sys
from datetime import date
from pathlib import Path

from sample_db.load import compact, make_sample
from sample_db.sizes import SIZES
from servicedesk.values.trouble import Trouble


def main(arguments: list[str] | None = None) -> int:
    """Make a store; with --roads and --truth also the road extract and what was seeded."""
    parser = argparse.ArgumentParser(prog="sample_db", description="Make the invented sample.")
    parser.add_argument("out", type=Path, help="the store to make; nothing may stand there yet")
    parser.add_argument("--size", choices=sorted(SIZES), default="small")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--today", type=date.fromisoformat, required=True, help="YYYY-MM-DD")
    parser.add_argument("--roads", type=Path, help="write the island's road extract here (.osm)")
    parser.add_argument("--truth", type=Path, help="write what was seeded here (.json)")
    parser.add_argument("--note", default="", help="text that marks the data as invented")
    parser.add_argument("--compact", action="store_true", help="as small a file as it goes")
    asked = parser.parse_args(arguments)
    try:
        made = make_sample(
            asked.out, size=asked.size, seed=asked.seed, today=asked.today, roads=asked.roads,
            note=asked.note,
        )  # fmt: skip
    except Trouble as trouble:
        sys.stderr.write(f"{trouble}\n")
        return 3
    if asked.compact:
        compact(asked.out)
    if asked.truth is not None:
        text = json.dumps(made.truth.to_json(), indent=1, ensure_ascii=False)
        asked.truth.write_text(f"{text}\n", encoding="utf-8")
    sys.stdout.write(f"{made.place}: {sum(made.counts.values())} rows\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
