"""House numbers of an area, as its extract has them."""

from dataclasses import dataclass

import numpy as np

from servicedesk.travel.road_graph import Ints


@dataclass(frozen=True, eq=False, kw_only=True)
class Houses:
    """One entry per house in all fields: texts as in the extract, positions in 1e-7 degrees."""

    street: tuple[str, ...]
    number: tuple[str, ...]
    postcode: tuple[str, ...]
    town: tuple[str, ...]
    lat: Ints
    lon: Ints

    def __len__(self) -> int:
        return len(self.street)


def no_houses() -> Houses:
    """An area without house numbers."""
    none = np.zeros(0, dtype=np.int32)
    return Houses(street=(), number=(), postcode=(), town=(), lat=none, lon=none)
