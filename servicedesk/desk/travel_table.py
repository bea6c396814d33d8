"""Times between places that were asked for before, kept beside the road file they come from.

Derived data: dropping the file changes no figure.
"""

import os
import threading
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from servicedesk.values.position import Position

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from servicedesk.travel.roads import Roads

    Floats = npt.NDArray[np.float64]
    Minutes = npt.NDArray[np.int16]
    Metres = npt.NDArray[np.int32]

FORMAT = 2
MOST_PLACES = 2_500  # 38 MB; with more the table starts anew
MOST_HELD = 700  # 3 MB; a larger one is read from its file whenever it is asked
NOWHERE = -1  # no road leads there
_AT_ONCE = 250  # new places that are looked from at once: more take memory, not less time
_MOST_MIN = 32_767
_Key = tuple[int, int]  # latitude and longitude in 1e-7 degrees


class TravelTable:
    """Grows by one row and one column for each new place. Safe to share between threads."""

    def __init__(self, roads: "Roads", path: Path) -> None:
        self._roads = roads
        self._path = path
        self._lock = threading.Lock()
        self._at: dict[_Key, int] = {}
        self._is_written = self._is_away = False
        self._minutes, self._metres = self._read()

    def between(self, positions: Sequence[Position]) -> "tuple[Minutes, Metres]":
        """``minutes[i][j]``, whole and rounded up, and ``metres[i][j]``; NOWHERE without a road."""
        import numpy as np

        keys = [_key(p) for p in positions]
        with self._lock:
            if self._is_away:
                self._minutes, self._metres = self._read()
                self._is_away = False
            new = list(dict.fromkeys(key for key in keys if key not in self._at))
            if len(self._at) + len(new) > MOST_PLACES:
                self._forget()
                new = list(dict.fromkeys(keys))
            if new:
                self._add(new)
                if len(self._at) <= MOST_PLACES:
                    self._write()
            index = np.array([self._at[key] for key in keys], dtype=np.int64)
            grid = np.ix_(index, index)
            found = self._minutes[grid], self._metres[grid]
            if self._is_written and len(self._at) > MOST_HELD:
                self._forget()
                self._is_away = True
            return found

    def _add(self, new: list[_Key]) -> None:
        import numpy as np

        old_n = len(self._at)
        everywhere = self._roads.place([Position(a / 1e7, o / 1e7) for a, o in (*self._at, *new)])
        n = len(everywhere)
        minutes = np.empty((n, n), dtype=np.int16)
        metres = np.empty((n, n), dtype=np.int32)
        minutes[:old_n, :old_n], metres[:old_n, :old_n] = self._minutes, self._metres
        old = everywhere[:old_n]
        for start in range(old_n, n, _AT_ONCE):
            part = slice(start, min(start + _AT_ONCE, n))
            some = everywhere[part]
            minutes[part, :], metres[part, :] = _whole(*self._roads.between(some, everywhere))
            if old:
                back = self._roads.between(old, some)
                minutes[:old_n, part], metres[:old_n, part] = _whole(*back)
        self._minutes, self._metres = minutes, metres
        for key in new:
            self._at[key] = len(self._at)

    def _forget(self) -> None:
        import numpy as np

        self._is_written = False
        self._at = {}
        self._minutes = np.zeros((0, 0), dtype=np.int16)
        self._metres = np.zeros((0, 0), dtype=np.int32)

    def _read(self) -> "tuple[Minutes, Metres]":
        import numpy as np

        nothing = np.zeros((0, 0), dtype=np.int16), np.zeros((0, 0), dtype=np.int32)
        try:
            with self._path.open("rb") as raw, np.load(raw, allow_pickle=False) as file:
                keys, minutes, metres = file["places"], file["minutes"], file["metres"]
        except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
            return nothing
        n = len(keys)
        if keys.shape != (n, 2) or minutes.shape != (n, n) or metres.shape != (n, n):
            return nothing
        self._at = {(int(a), int(o)): i for i, (a, o) in enumerate(keys)}
        if len(self._at) != n:
            self._at = {}
            return nothing
        self._is_written = True
        return minutes.astype(np.int16, copy=False), metres.astype(np.int32, copy=False)

    def _write(self) -> None:
        """Only a convenience: where it cannot be written the next start computes it again."""
        import numpy as np

        self._is_written = False
        half = self._path.with_name(f"{self._path.name}.{os.getpid()}.making")
        arrays: dict[str, Any] = {
            "places": np.array(list(self._at), dtype=np.int32).reshape(-1, 2),
            "minutes": self._minutes,
            "metres": self._metres,
        }
        try:
            with half.open("wb") as file:
                np.savez(file, **arrays)
            half.replace(self._path)
            self._is_written = True
            for old in range(1, FORMAT):
                _of_format(self._path, old).unlink(missing_ok=True)
        except OSError:
            half.unlink(missing_ok=True)


def _whole(seconds: "Floats", metres: "Floats") -> "tuple[Minutes, Metres]":
    """Minutes rounded up, so that a chain of drives is never promised too early, and metres."""
    import numpy as np

    known = np.isfinite(seconds)
    # as four-byte numbers: a drive of exactly 12 minutes must not become 13 by the last bit
    there = np.where(known, seconds, 0.0).astype(np.float32)
    minutes = np.minimum(np.ceil(np.round(there / 60, 4)), _MOST_MIN)
    whole = np.rint(np.where(known, metres, 0.0).astype(np.float32))
    return (
        np.where(known, minutes, NOWHERE).astype(np.int16),
        np.where(known, whole, NOWHERE).astype(np.int32),
    )


def table_path(folder: Path, key: str) -> Path:
    """Where the table of a road file is kept."""
    return folder / f"travel-{key}-{FORMAT}.npz"


def _of_format(path: Path, number: int) -> Path:
    """The same table as an older version of the program kept it."""
    return path.with_name(f"{path.stem.rpartition('-')[0]}-{number}{path.suffix}")


def _key(position: Position) -> _Key:
    return round(position.lat_deg * 1e7), round(position.lon_deg * 1e7)
