"""Icons of ``resources/icons`` as lines and curves, for painters that know no SVG.

Reads what our own icons use of SVG 1.1: path (all commands but T and Q), circle, ellipse, rect.
"""

import math
import re
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from xml.etree import ElementTree as ET  # our own files, not input

from servicedesk.values.resources import resource

Point = tuple[float, float]
_TOKEN = re.compile(r"[A-Za-z]|[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?")
_COUNTS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "A": 7, "Z": 0}
_KAPPA = 0.5522847498  # handle length of a quarter circle, 4/3 (sqrt 2 - 1)


@dataclass(frozen=True, slots=True)
class Stroke:
    """One pen stroke: a start, then points to reach (2 numbers) or curves (6 numbers)."""

    start: Point
    steps: tuple[tuple[float, ...], ...]
    closed: bool


@cache
def icon_strokes(name: str) -> tuple[Stroke, ...]:
    """The strokes of an icon in its 20 × 20 box, y downwards. Raises FileNotFoundError."""
    root = ET.fromstring(  # noqa: S314 - a file of ours
        resource("icons", f"{name}.svg").read_text(encoding="utf-8")
    )
    strokes: list[Stroke] = []
    for node in root:
        tag = node.tag.rpartition("}")[2]
        number = {key: float(text) for key, text in node.attrib.items() if _is_number(text)}
        if tag == "path":
            strokes += path_strokes(node.attrib["d"])
        elif tag == "circle":
            strokes.append(_ellipse(number["cx"], number["cy"], number["r"], number["r"]))
        elif tag == "ellipse":
            strokes.append(_ellipse(number["cx"], number["cy"], number["rx"], number["ry"]))
        elif tag == "rect":
            strokes.append(_rect(number))
        else:
            raise ValueError(f"{name}.svg: <{tag}> is not understood")
    return tuple(strokes)


def path_strokes(data: str) -> list[Stroke]:
    """The strokes of an SVG path (SVG 1.1, section 8.3)."""
    reader = _PathReader()
    tokens = _TOKEN.findall(data)
    at, command = 0, ""
    while at < len(tokens):
        if tokens[at].isalpha():
            command, at = tokens[at], at + 1
        count = _COUNTS[command.upper()]
        reader.do(command, [float(text) for text in tokens[at : at + count]])
        at += count
        if command in "Mm":  # further pairs after a move are lines
            command = "L" if command == "M" else "l"
    reader.end(closed=False)
    return reader.strokes


class _PathReader:
    def __init__(self) -> None:
        self.strokes: list[Stroke] = []
        self.start: Point = (0.0, 0.0)
        self.at: Point = (0.0, 0.0)
        self.handle: Point | None = None
        self.steps: list[tuple[float, ...]] = []

    def end(self, *, closed: bool) -> None:
        if self.steps:
            self.strokes.append(Stroke(self.start, tuple(self.steps), closed))
        self.steps = []
        self.at = self.start if closed else self.at

    def do(self, command: str, n: list[float]) -> None:
        kind = command.upper()
        x0, y0 = self.at if command.islower() else (0.0, 0.0)
        handle, self.handle = self.handle, None
        if kind == "Z":
            self.end(closed=True)
        elif kind == "M":
            self.end(closed=False)
            self.start = self.at = (x0 + n[0], y0 + n[1])
        elif kind in "LHV":
            x = self.at[0] if kind == "V" else x0 + n[0]
            y = self.at[1] if kind == "H" else y0 + n[-1]
            self._reach((x, y))
        elif kind in "CS":
            points = [(x0 + n[i], y0 + n[i + 1]) for i in range(0, len(n), 2)]
            if kind == "S":
                first = self.at if handle is None else _mirrored(handle, self.at)
                points.insert(0, first)
            self._reach(*points)
            self.handle = points[1]
        else:
            end = (x0 + n[5], y0 + n[6])
            for curve in _arc(self.at, end, (n[0], n[1]), (n[2], n[3], n[4])):
                self._reach(*curve)

    def _reach(self, *points: Point) -> None:
        if not self.steps:
            self.start = self.at
        self.steps.append(tuple(value for point in points for value in point))
        self.at = points[-1]


def _mirrored(point: Point, around: Point) -> Point:
    return 2 * around[0] - point[0], 2 * around[1] - point[1]


def _arc(
    start: Point, end: Point, radii: Point, turn_large_sweep: tuple[float, float, float]
) -> list[tuple[Point, Point, Point]]:
    """An elliptic arc as cubic curves (SVG 1.1, appendix F.6)."""
    rx, ry = abs(radii[0]), abs(radii[1])
    if start == end or rx == 0 or ry == 0:
        return [(start, end, end)]
    turn = math.radians(turn_large_sweep[0])
    large, sweep = turn_large_sweep[1] != 0, turn_large_sweep[2] != 0
    cos, sin = math.cos(turn), math.sin(turn)
    half_x, half_y = (start[0] - end[0]) / 2, (start[1] - end[1]) / 2
    px, py = cos * half_x + sin * half_y, -sin * half_x + cos * half_y
    grow = math.sqrt(max(1.0, (px / rx) ** 2 + (py / ry) ** 2))
    rx, ry = rx * grow, ry * grow
    rest = (rx * ry) ** 2 - (rx * py) ** 2 - (ry * px) ** 2
    factor = math.sqrt(max(0.0, rest) / ((rx * py) ** 2 + (ry * px) ** 2))
    factor = -factor if large == sweep else factor
    qx, qy = factor * rx * py / ry, -factor * ry * px / rx
    cx = cos * qx - sin * qy + (start[0] + end[0]) / 2
    cy = sin * qx + cos * qy + (start[1] + end[1]) / 2
    first = math.atan2((py - qy) / ry, (px - qx) / rx)
    swing = math.atan2((-py - qy) / ry, (-px - qx) / rx) - first
    if sweep and swing < 0:
        swing += 2 * math.pi
    elif not sweep and swing > 0:
        swing -= 2 * math.pi
    parts = max(1, math.ceil(abs(swing) / (math.pi / 2) - 1e-9))
    step = swing / parts
    length = 4 / 3 * math.tan(step / 4)

    def on(angle: float, along: float) -> Point:
        x = rx * (math.cos(angle) - along * math.sin(angle))
        y = ry * (math.sin(angle) + along * math.cos(angle))
        return cx + cos * x - sin * y, cy + sin * x + cos * y

    angles = [first + step * i for i in range(parts + 1)]
    return [(on(a, length), on(b, -length), on(b, 0.0)) for a, b in pairwise(angles)]


def _ellipse(cx: float, cy: float, rx: float, ry: float) -> Stroke:
    hx, hy = rx * _KAPPA, ry * _KAPPA
    return Stroke(
        (cx + rx, cy),
        (
            (cx + rx, cy + hy, cx + hx, cy + ry, cx, cy + ry),
            (cx - hx, cy + ry, cx - rx, cy + hy, cx - rx, cy),
            (cx - rx, cy - hy, cx - hx, cy - ry, cx, cy - ry),
            (cx + hx, cy - ry, cx + rx, cy - hy, cx + rx, cy),
        ),
        closed=True,
    )


def _rect(n: dict[str, float]) -> Stroke:
    x, y, w, h = n.get("x", 0.0), n.get("y", 0.0), n["width"], n["height"]
    r = min(n.get("rx", n.get("ry", 0.0)), w / 2, h / 2)
    corner = f"a{r} {r} 0 0 1" if r else "l"
    turn = [f"{corner} {dx} {dy}" for dx, dy in ((r, r), (-r, r), (-r, -r), (r, -r))]
    data = f"M{x + r} {y}h{w - 2 * r}{turn[0]}v{h - 2 * r}{turn[1]}h{2 * r - w}{turn[2]}"
    return path_strokes(f"{data}v{2 * r - h}{turn[3]}z")[0]


def _is_number(text: str) -> bool:
    return re.fullmatch(r"[-+]?(\d+\.?\d*|\.\d+)", text) is not None
