"""OpenStreetMap extracts as files: opened with sentences instead of a library's errors."""

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

CREDIT = "© OpenStreetMap contributors"
TERMS = "https://www.openstreetmap.org/copyright"
LICENSE = (
    "Road, map and address data © OpenStreetMap contributors, available under the Open Database "
    f"License (ODbL) 1.0. {TERMS}"
)
_CHUNK = 1 << 20


@contextmanager
def opened_extract(path: Path) -> Iterator[Any]:
    """The reading library, with its errors about `path` as Trouble. Imported when first needed."""
    if not path.is_file():
        raise Trouble(
            say("There is no file {path}.", path=path),
            do=say("Name an extract of OpenStreetMap: AREA.osm.pbf or AREA.osm"),
        )
    import osmium

    try:
        yield osmium
    # the library raises RuntimeError for anything it cannot understand in a file
    except (RuntimeError, osmium.InvalidLocationError, UnicodeDecodeError) as error:
        raise Trouble(
            say("{path} cannot be read as an extract of OpenStreetMap.", path=path.name),
            means=say("Nothing was changed. The reader says: {error}", error=str(error)[:200]),
            do=say("Fetch it again, or choose a file that ends in .osm.pbf or .osm."),
        ) from error


def sha256_of(path: Path, progress: Progress = quiet) -> str:
    """The SHA-256 of a file as 64 hexadecimal digits."""
    found = hashlib.sha256()
    with path.open("rb") as file:
        while chunk := file.read(_CHUNK):
            found.update(chunk)
            progress(0, 0)
    return found.hexdigest()
