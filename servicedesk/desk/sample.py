"""The invented company to look around in, made afresh for a day in the data folder."""

import getpass
import os
import tempfile
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from zoneinfo import ZoneInfo

from servicedesk.desk.places_on_disk import data_folder
from servicedesk.desk.roads import build_roads_in, roads_folder
from servicedesk.records.database import remove_part
from servicedesk.records.errors import file_trouble
from servicedesk.values.clock import Clock
from servicedesk.values.trouble import Trouble


@dataclass(frozen=True, slots=True)
class SampleFolder:
    """Where the sample lies. `is_passing`: among passing files, for want of a better."""

    path: Path
    is_passing: bool = False


@cache
def sample_folder() -> SampleFolder:
    """The data folder; where it cannot be written, a folder of this person's among passing files.

    Only the sample may lie there: a company's own store would be lost with the next restart.
    Raises Trouble if neither can be written.
    """
    try:
        return SampleFolder(data_folder())
    except Trouble:
        return SampleFolder(_passing_folder(), is_passing=True)


def _passing_folder() -> Path:
    try:
        folder = Path(tempfile.gettempdir(), f"servicedesk-sample-{_login()}")
        folder.mkdir(mode=0o700, exist_ok=True)
        # anybody may have made a folder of that name: only one that is ours is used
        is_ours = not hasattr(os, "getuid") or folder.lstat().st_uid == os.getuid()
        if is_ours and folder.is_dir() and not folder.is_symlink() and os.access(folder, os.W_OK):
            return folder
        return Path(tempfile.mkdtemp(prefix="servicedesk-sample-"))
    except OSError as error:
        raise file_trouble(error, error.filename or tempfile.tempdir or "") from error


def _login() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError):  # a number without a name, as in a bare container
        return str(os.getuid())


def sample_today() -> date:
    """Which day it is at the invented company."""
    from sample_db.rows import TIME_ZONE

    return Clock(ZoneInfo(TIME_ZONE)).today()


def sample_store(day: date | None = None) -> Path:
    """The sample's store for this day (None: today there); made (small, seed 1) if not there yet.

    It is made under another name first: a half-made one is never opened.
    """
    day = day or sample_today()
    path = sample_folder().path / f"sample-{day}.store"
    if path.exists():
        return path
    half = path.with_name(f"{path.stem}-{os.getpid()}.making")
    try:
        make_sample_at(half, size="small", seed=1, day=day, roads_of=path)
        # two at once made the same rows: the first one stays, somebody may have it open
        if not path.exists():
            half.rename(path)
    except OSError as error:
        raise file_trouble(error, path) from error
    finally:
        remove_part(half)
    return path


def make_sample_at(
    path: Path, *, size: str, seed: int, day: date | None = None, roads_of: Path | None = None
) -> int:
    """Make a sample store at `path` for `day` (None: today there); the number of its sites.

    Its invented roads are built too, for the store at `roads_of` (None: for this one). Raises
    Trouble if something stands there or it cannot be written.
    """
    from sample_db.load import make_sample

    with tempfile.TemporaryDirectory(prefix="servicedesk-roads-") as passing:
        extract = Path(passing, "Tarrow County.osm")
        day = day or sample_today()
        made = make_sample(path, size=size, seed=seed, today=day, roads=extract)
        now = datetime(day.year, day.month, day.day, tzinfo=UTC)
        build_roads_in(roads_folder(str(roads_of or path)), extract, None, now=now, invented=True)
    return made.counts["site"]
