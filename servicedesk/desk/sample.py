"""The invented company to look around in, made afresh for a day in the data folder."""

import os
from datetime import date
from pathlib import Path

from servicedesk.desk.places_on_disk import data_folder


def sample_store(day: date) -> Path:
    """The sample's store for this day; made (small, seed 1) if it is not there yet.

    It is made under another name first: a half-made one is never opened.
    """
    from sample_db.load import make_sample

    path = data_folder() / f"sample-{day}.store"
    if not path.exists():
        half = path.with_name(f"{path.stem}-{os.getpid()}.making")
        make_sample(half, size="small", seed=1, today=day)
        half.rename(path)
    return path
