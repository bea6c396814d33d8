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

    Floats = npt.NDArray[np.float32]

FORMAT = 1
MOST_PLACES = 1_500  # 18 MB; with more the table starts anew
_Key = tuple[int, int]  # latitude and longitude in 1e-7 degrees


class TravelTable:
    """Grows by one row and one column for each new place. Safe to share between threads."""

    def __init__(self, roads: "Roads", path: Path) -> None:
        self._roads = roads
        self._path = path
        self._lock = threading.Lock()
        self._at: dict[_Key, int] = {}
        self._seconds, self._metres = self._read()

    def between(self, positions: Sequence[Position]) -> "tuple[Floats, Floats]":
        """``seconds[i][j]``, ``metres[i][j]``; infinite where no road leads."""
        import numpy as np

        keys = [_key(p) for p in positions]
        with self._lock:
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
            return self._seconds[grid], self._metres[grid]

    def _add(self, new: list[_Key]) -> None:
        import numpy as np

        old_n = len(self._at)
        everywhere = self._roads.place([Position(a / 1e7, o / 1e7) for a, o in (*self._at, *new)])
        old, fresh = everywhere[:old_n], everywhere[old_n:]
        n = len(everywhere)
        tables = []
        away = self._roads.between(fresh, everywhere)
        back = self._roads.between(old, fresh)
        for kept, row, column in zip((self._seconds, self._metres), away, back, strict=True):
            table = np.empty((n, n), dtype=np.float32)
            table[:old_n, :old_n] = kept
            table[old_n:, :] = row
            table[:old_n, old_n:] = column
            tables.append(table)
        self._seconds, self._metres = tables
        for key in new:
            self._at[key] = len(self._at)

    def _forget(self) -> None:
        import numpy as np

        self._at = {}
        self._seconds = self._metres = np.zeros((0, 0), dtype=np.float32)

    def _read(self) -> "tuple[Floats, Floats]":
        import numpy as np

        empty = np.zeros((0, 0), dtype=np.float32)
        try:
            with self._path.open("rb") as raw, np.load(raw, allow_pickle=False) as file:
                keys, seconds, metres = file["places"], file["seconds"], file["metres"]
        except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
            return empty, empty
        n = len(keys)
        if keys.shape != (n, 2) or seconds.shape != (n, n) or metres.shape != (n, n):
            return empty, empty
        self._at = {(int(a), int(o)): i for i, (a, o) in enumerate(keys)}
        if len(self._at) != n:
            self._at = {}
            return empty, empty
        return seconds.astype(np.float32), metres.astype(np.float32)

    def _write(self) -> None:
        """Only a convenience: where it cannot be written the next start computes it again."""
        import numpy as np

        half = self._path.with_name(f"{self._path.name}.{os.getpid()}.making")
        arrays: dict[str, Any] = {
            "places": np.array(list(self._at), dtype=np.int32).reshape(-1, 2),
            "seconds": self._seconds,
            "metres": self._metres,
        }
        try:
            with half.open("wb") as file:
                np.savez(file, **arrays)
            half.replace(self._path)
        except OSError:
            half.unlink(missing_ok=True)


def table_path(folder: Path, key: str) -> Path:
    """Where the table of a road file is kept."""
    return folder / f"travel-{key}-{FORMAT}.npz"


def _key(position: Position) -> _Key:
    return round(position.lat_deg * 1e7), round(position.lon_deg * 1e7)
