"""Many lines at once in flat arrays: cut out, told apart by their boxes, made simpler."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Numbers = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]
Window = tuple[float, float, float, float]  # x from, y from, x until, y until


@dataclass(frozen=True, eq=False)
class Lines:
    """Lines or outlines in meters: `x` to the east, `y` to the south of a middle point.

    Shape i has the rings ``shape_start[i]..shape_start[i + 1]``, ring r the points
    ``ring_start[r]..ring_start[r + 1]``. `kind` and `name` as in `road_map.Shapes`. `boxes` is
    (n, 4): x from, y from, x until, y until of each shape.
    """

    x: Floats
    y: Floats
    ring_start: Numbers
    shape_start: Numbers
    kind: Numbers
    name: Numbers
    boxes: Floats

    def __len__(self) -> int:
        return len(self.kind)

    def rings(self, shape: int) -> list[tuple[Floats, Floats]]:
        """The points of each ring of one shape."""
        found = []
        for ring in range(int(self.shape_start[shape]), int(self.shape_start[shape + 1])):
            part = slice(int(self.ring_start[ring]), int(self.ring_start[ring + 1]))
            found.append((self.x[part], self.y[part]))
        return found

    def inside(self, window: Window) -> Numbers:
        """Numbers of the shapes whose box touches the window."""
        boxes = self.boxes
        hit = (boxes[:, 0] <= window[2]) & (boxes[:, 2] >= window[0])
        hit &= (boxes[:, 1] <= window[3]) & (boxes[:, 3] >= window[1])
        return np.flatnonzero(hit)

    def sizes(self) -> Floats:
        """The longer side of each shape's box."""
        across = self.boxes[:, 2] - self.boxes[:, 0]
        along = self.boxes[:, 3] - self.boxes[:, 1]
        longer: Floats = np.maximum(across, along)
        return longer

    def lengths(self) -> Floats:
        """Length of all rings of each shape together."""
        if not len(self):
            return np.zeros(0)
        piece = np.hypot(np.diff(self.x, append=self.x[-1:]), np.diff(self.y, append=self.y[-1:]))
        piece[self.ring_start[1:] - 1] = 0.0  # from one ring to the next there is no line
        total = np.concatenate([[0.0], np.cumsum(piece)])
        ends = self.ring_start[self.shape_start]
        found: Floats = np.diff(total[ends])
        return found

    def only(self, wanted: Flags) -> "Lines":
        """The wanted shapes alone."""
        n_rings = np.diff(self.shape_start)
        ring_wanted = np.repeat(wanted, n_rings)
        n_points = np.diff(self.ring_start)
        point_wanted = np.repeat(ring_wanted, n_points)
        return Lines(
            x=self.x[point_wanted],
            y=self.y[point_wanted],
            ring_start=_starts(n_points[ring_wanted]),
            shape_start=_starts(n_rings[wanted]),
            kind=self.kind[wanted],
            name=self.name[wanted],
            boxes=self.boxes[wanted],
        )

    def simpler(self, tolerance_m: float) -> "Lines":
        """The same shapes with fewer points; every point left out lies within the tolerance."""
        keep = kept_points(self.x, self.y, self.ring_start, tolerance_m)
        total = np.concatenate([[0], np.cumsum(keep)])
        return Lines(
            x=self.x[keep],
            y=self.y[keep],
            ring_start=total[self.ring_start],
            shape_start=self.shape_start,
            kind=self.kind,
            name=self.name,
            boxes=self.boxes,
        )


def lines_of(
    x: Floats, y: Floats, ring_start: Numbers, shape_start: Numbers, kind: Numbers, name: Numbers
) -> Lines:
    """Lines with their boxes; every ring has at least one point, every shape one ring."""
    n = len(kind)
    boxes = np.zeros((n, 4))
    if n:
        begins = ring_start[shape_start[:-1]]
        boxes[:, 0], boxes[:, 1] = np.minimum.reduceat(x, begins), np.minimum.reduceat(y, begins)
        boxes[:, 2], boxes[:, 3] = np.maximum.reduceat(x, begins), np.maximum.reduceat(y, begins)
    return Lines(x, y, ring_start, shape_start, kind, name, boxes)


def kept_points(x: Floats, y: Floats, ring_start: Numbers, tolerance: float) -> Flags:
    """Which points to keep so that none left out is farther than `tolerance` from what is drawn.

    Douglas and Peucker, "Algorithms for the reduction of the number of points", 1973: between two
    kept points the farthest one is kept too while it is too far. All lines at once, pass by pass.
    """
    keep = np.zeros(len(x), dtype=bool)
    keep[ring_start[:-1]] = True
    keep[ring_start[1:] - 1] = True
    open_points = np.flatnonzero(~keep)
    while len(open_points):
        kept = np.flatnonzero(keep)
        after = np.searchsorted(kept, open_points)
        away = _away(x, y, open_points, kept[after - 1], kept[after])
        first = np.flatnonzero(np.diff(after, prepend=after[0] - 1))
        worst = np.maximum.reduceat(away, first)
        group = np.cumsum(np.diff(after, prepend=after[0]) != 0)
        is_worst = np.flatnonzero(away == worst[group])
        _, at = np.unique(group[is_worst], return_index=True)
        too_far = worst > tolerance
        keep[open_points[is_worst[at]][too_far]] = True
        open_points = open_points[too_far[group]]
        open_points = open_points[~keep[open_points]]
    return keep


def _away(x: Floats, y: Floats, points: Numbers, one: Numbers, other: Numbers) -> Floats:
    """Distance of each point from the straight piece between two kept points."""
    ax, ay = x[one], y[one]
    dx, dy = x[other] - ax, y[other] - ay
    px, py = x[points] - ax, y[points] - ay
    long = dx * dx + dy * dy
    share = np.clip((px * dx + py * dy) / np.where(long > 0, long, 1.0), 0.0, 1.0)
    found: Floats = np.hypot(px - share * dx, py - share * dy)
    return found


def _starts(counts: Numbers) -> Numbers:
    found: Numbers = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
    return found
