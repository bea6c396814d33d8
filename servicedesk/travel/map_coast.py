"""Where the land ends: coastlines joined to the outlines of islands."""

import numpy as np

from servicedesk.travel.map_lines import Lines, lines_of

Point = tuple[float, float]


def land_rings(coast: Lines | None) -> Lines | None:
    """The islands as closed outlines, if all coastlines of the area close; else None.

    Land lies to the left of a coastline (OpenStreetMap wiki, Tag:natural=coastline, from memory): a
    ring with land outside is no island, and the sea cannot be filled without knowing the rest.
    """
    if coast is None or not len(coast):
        return None
    pieces = [
        list(zip(x.tolist(), y.tolist(), strict=True))
        for shape in range(len(coast))
        for x, y in coast.rings(shape)
    ]
    rings = _joined(pieces)
    if rings is None or any(_turn(ring) > 0 for ring in rings):
        return None
    counts = np.array([len(ring) for ring in rings])
    points = np.array([point for ring in rings for point in ring])
    n = len(rings)
    return lines_of(
        points[:, 0].copy(),
        points[:, 1].copy(),
        np.concatenate([[0], np.cumsum(counts)]),
        np.arange(n + 1),
        np.zeros(n, dtype=np.int64),
        np.full(n, -1, dtype=np.int64),
    )


def _joined(pieces: list[list[Point]]) -> list[list[Point]] | None:
    """Closed rings made of pieces that begin where another ends; None if one stays open."""
    begins = {piece[0]: piece for piece in pieces if piece[0] != piece[-1]}
    rings = [piece for piece in pieces if piece[0] == piece[-1] and len(piece) > 3]
    while begins:
        first, ring = next(iter(begins.items()))
        del begins[first]
        while ring[-1] != first:
            following = begins.pop(ring[-1], None)
            if following is None:
                return None
            ring = ring + following[1:]
        rings.append(ring)
    return rings or None


def _turn(ring: list[Point]) -> float:
    """Twice the area, over 0 if it runs clockwise as seen on a map (y grows to the south)."""
    x, y = np.array(ring).T
    return float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]))
