"""How long the map takes: levels, tiles, frames while one pulls and zooms, drives along roads.

    python -m tests.bench.map AREA.osm.pbf

A tile is one of 512 px at ratio 1, painted for the first time and once more with its polygons
kept. A frame is one paint of the map of a window with 400 sites, its tiles ready. Milliseconds of
processor time, so that a busy machine does not count.
"""

import gc
import os
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from statistics import median
from types import SimpleNamespace
from typing import Any

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

SCALES = (104.0, 26.0, 6.5, 1.6)  # about zoom 10, 12, 14 and 16 at 47 degrees
N_SITES = 400
TARGET_FRAME_MS, TARGET_TILE_MS = 16.0, 50.0


def main(extract: Path) -> None:
    """Print the figures of one extract."""
    from servicedesk.desk.roads import build_roads_in

    with tempfile.TemporaryDirectory() as folder:
        roads = build_roads_in(Path(folder), extract, None, now=datetime.now(UTC))
        from servicedesk.travel.map_ground import Ground

        made, took = timed(lambda: Ground(roads.map, key="bench"))
        print(f"{extract.name}: ground {took:.0f} ms")
        for scale in SCALES:
            level, took = timed(lambda scale=scale: made.level(scale))
            n = sum(len(lines) for lines in level.layers.values())
            print(f"  level for {scale:g} m/px: {took:.0f} ms, {n} shapes")
        _tiles(made)
        _frames(made, roads)


def timed(do: Callable[[], Any]) -> tuple[Any, float]:
    """What it gives, and the milliseconds of this thread it took."""
    start = time.thread_time()
    found = do()
    return found, (time.thread_time() - start) * 1000


def _tiles(ground: Any) -> None:
    from PySide6.QtGui import QColor

    from servicedesk.values.tokens import load_tokens
    from servicedesk.window.app import make_application
    from servicedesk.window.widgets.map_tiles import (
        _TOKENS,
        SIDE,
        Polygons,
        TileKey,
        TileWork,
        paint_tile,
    )

    make_application(())
    gc.disable()  # as in the window, where garbage is collected in its own thread only
    tokens = load_tokens("light")
    colors = {name: QColor(tokens.color(name)) for name in _TOKENS}
    x0, y0 = ground.at(ground.corners[0])
    x1, y1 = ground.at(ground.corners[1])
    for scale in SCALES:
        side, polygons = SIDE * scale, Polygons()
        columns = range(int(x0 // side), int(x1 // side) + 1)
        rows = range(int(y0 // side), int(y1 // side) + 1)
        keys = [TileKey("b", "light", scale, 1.0, c, r) for c in columns for r in rows]
        keys = keys[:: max(1, len(keys) // 120)]
        works = [TileWork(key, ground, colors, polygons) for key in keys]
        first = [timed(partial(paint_tile, one))[1] for one in works]
        again = [timed(partial(paint_tile, one))[1] for one in works]
        print(
            f"  tiles at {scale:g} m/px ({len(keys)}): first median {median(first):.1f}, worst"
            f" {max(first):.1f}; again {median(again):.1f}, {max(again):.1f}"
            f"{'  OVER' if max(first) > TARGET_TILE_MS else ''}"
        )


def _frames(ground: Any, roads: Any) -> None:
    """Pulling and zooming the map of all sites."""
    from PySide6.QtCore import QPointF
    from PySide6.QtWidgets import QApplication

    from servicedesk.desk.map_ground import MapGround
    from servicedesk.values.position import Position
    from servicedesk.window.theme import Theme
    from servicedesk.window.widgets.site_map import SiteMap, SitePoint
    from servicedesk.window.work import Work

    app = QApplication.instance()
    theme, work = Theme(app), Work()
    theme.use("light")
    map_ = SiteMap(theme, metric=True)
    map_._shell = SimpleNamespace(work=work)
    map_.resize(1200, 800)
    north, south = ground.corners
    states = ("plain", "plain", "called", "owed")
    spots = [
        Position(
            south.lat_deg + (north.lat_deg - south.lat_deg) * ((n * 37) % 101) / 101,
            north.lon_deg + (south.lon_deg - north.lon_deg) * ((n * 61) % 97) / 97,
        )
        for n in range(N_SITES)
    ]
    points = tuple(SitePoint(n, at, states[n % 4], n % 11 == 0) for n, at in enumerate(spots))
    map_.show()
    map_.show_points(points, (), spots[0])
    map_.set_ground(MapGround(
        key="bench", name="bench", ground=ground, credit=roads.about.credit,
        credit_on_paper=roads.about.credit_on_paper, license="", in_use=roads,
    ))  # fmt: skip
    for closer in (0, 4, 6):
        map_.show_all()
        for _ in range(closer):
            map_.closer()
        _quiet(map_)
        pulls = []
        for step in range(60):
            map_.pull(QPointF(2 if step % 2 else -2, 1 if step % 3 else -2))
            pulls.append(timed(map_.repaint)[1])
        map_.settle()
        zooms = []
        for step in range(20):
            do = map_.closer if step % 2 else map_.farther
            zooms.append(timed(lambda do=do: (do(), map_.repaint()))[1])
            _quiet(map_)
        print(
            f"  frames at {map_.view.meters_per_unit:.1f} m/px: pull median {median(pulls):.1f},"
            f" worst {max(pulls):.1f}; zoom {median(zooms):.1f}, {max(zooms):.1f}"
            f"{'  OVER' if max(*pulls, *zooms) > TARGET_FRAME_MS else ''}"
        )
    map_.close()
    work.close()
    gc.collect()


def _quiet(map_: Any) -> None:
    """Wait until all tiles are painted."""
    from tests.looping import wait_ms

    for _ in range(400):
        wait_ms(10)
        if map_.tiles.is_settled:
            return


if __name__ == "__main__":
    main(Path(sys.argv[1]))
