"""Geometry of the route bench: data and a size become shapes. Paint, hits, keys read one list."""

from dataclasses import dataclass

from servicedesk.papers.figures import MinuteAxis
from servicedesk.values.shapes import (
    Box,
    Bracket,
    Font,
    Hatch,
    Icon,
    Line,
    Mark,
    Measure,
    Rect,
    Shape,
    TextBox,
)
from servicedesk.window.widgets.bench_data import BenchBlock, BenchData, BenchRow, hour_text
from servicedesk.words import say

# Lengths in px at 100 %.
HEAD, ROW, ROW_MOST = 30.0, 76.0, 96.0
LEFT, RIGHT = 138.0, 150.0
ABOVE, BLOCK, TIME = 21.0, 38.0, 15.0
LANE = 6.0
_EDGES = {"callback": "plum", "repair": "moss"}


@dataclass(frozen=True, slots=True)
class PlacedBlock:
    """Where a stop stands."""

    stop_id: str
    crew_id: str
    box: Box


@dataclass(frozen=True, slots=True)
class PlacedRow:
    """Where a ribbon stands."""

    crew_id: str
    box: Box


@dataclass(frozen=True, slots=True)
class BenchFigure:
    """All shapes, and the places that answer to the hand."""

    shapes: tuple[Shape, ...]
    blocks: tuple[PlacedBlock, ...]
    rows: tuple[PlacedRow, ...]
    axis: MinuteAxis

    def block_at(self, x: float, y: float) -> PlacedBlock | None:
        """The block at a point, the topmost first."""
        return next((b for b in reversed(self.blocks) if _holds(b.box, x, y)), None)

    def row_at(self, y: float) -> PlacedRow | None:
        """The ribbon at a height."""
        return next((r for r in self.rows if r.box.y <= y < r.box.bottom), None)


def natural_height(n_rows: int, scale: float) -> float:
    """The height at which `n_rows` ribbons stand without scrolling."""
    return (HEAD + max(1, n_rows) * (ROW + 6) + 4) * scale


def bench_figure(
    data: BenchData,
    width: float,
    height: float,
    measure: Measure,
    *,
    scale: float = 1.0,
    chosen: str = "",
) -> BenchFigure:
    """All ribbons in a box of `width` by `height`; rows never lower than they can be read."""
    left, right = LEFT * scale, width - RIGHT * scale
    axis = MinuteAxis(data.from_min, data.until_min, left, max(60.0, right - left - 14 * scale))
    n = max(1, len(data.rows))
    row_height = (height - (HEAD + 2) * scale) / n
    row_height = min(ROW_MOST * scale, max(ROW * scale, row_height))
    shapes: list[Shape] = []
    blocks: list[PlacedBlock] = []
    rows: list[PlacedRow] = []
    for index, row in enumerate(data.rows):
        box = Box(0, HEAD * scale + index * row_height, width, row_height)
        rows.append(PlacedRow(row.crew_id, box))
        if row.is_target:
            shapes.append(Rect(box.grown(-1), "soft.water", None))
    shapes += _grid(data, axis, rows, measure, scale)
    for index, (row, placed) in enumerate(zip(data.rows, rows, strict=True)):
        drawer = _Row(row, placed.box, axis, measure, scale, chosen)
        shapes += drawer.sides()
        shapes += drawer.end_of_day(is_first=index == 0)
        shapes += drawer.road()
        shapes += drawer.stops()
        blocks += drawer.placed
    return BenchFigure(tuple(shapes), tuple(blocks), tuple(rows), axis)


def _holds(box: Box, x: float, y: float) -> bool:
    return box.x <= x <= box.right and box.y <= y <= box.bottom


def _grid(
    data: BenchData, axis: MinuteAxis, rows: list[PlacedRow], measure: Measure, s: float
) -> list[Shape]:
    shapes: list[Shape] = []
    bottom = rows[-1].box.bottom if rows else HEAD * s
    font = Font(11 * s)
    free = 0.0
    for minute in range(data.from_min, data.until_min + 1, 60):
        x = axis.at(minute)
        shapes.append(Line(x, HEAD * s - 4 * s, x, bottom, "line"))
        text = hour_text(minute)
        width = measure(text, font) + 2
        if x - width / 2 >= free:
            box = Box(x - width / 2, 6 * s, width, 16 * s)
            shapes.append(TextBox(box, text, font, "ink2", "center", key="hour"))
            free = x + width / 2 + 6 * s
    shapes += [Line(12 * s, r.box.y, r.box.right - 12 * s, r.box.y, "line") for r in rows[1:]]
    return shapes


class _Row:
    """Draws one ribbon."""

    def __init__(
        self,
        row: BenchRow,
        box: Box,
        axis: MinuteAxis,
        measure: Measure,
        scale: float,
        chosen: str,
    ) -> None:
        self.row, self.box, self.axis = row, box, axis
        self.measure, self.s, self.chosen = measure, scale, chosen
        spare = max(0.0, box.height - (ABOVE + BLOCK + TIME) * scale)
        self.top = box.y + ABOVE * scale + spare / 2
        self.middle = self.top + BLOCK * scale / 2
        self.placed: list[PlacedBlock] = []

    def sides(self) -> list[Shape]:
        """Name and figures at the left, coming home at the right."""
        s, look = self.s, self.row.look
        y = self.box.y + (self.box.height - 52 * s) / 2
        bar_x = 15 * s
        dash = tuple(d * 1.0 for d in look.dash)
        shapes: list[Shape] = [Line(bar_x, y + 1, bar_x, y + 50 * s, look.color, 4 * s, dash)]
        x, width = 27 * s, (LEFT - 31) * s
        name = Font(16 * s, 600, "title")
        shapes.append(TextBox(Box(x, y - 1, width, 20 * s), self.row.name, name, key="name"))
        small = Font(11.5 * s)
        for n, fact in enumerate(self.row.facts):
            box = Box(x, y + (20 + 16 * n) * s, width, 16 * s)
            shapes.append(TextBox(box, fact, small, "ink2", key="fact"))
        x = self.box.right - (RIGHT - 8) * s
        width = self.box.right - x - 10 * s
        home = Font(15 * s, 600, "title")
        shapes.append(TextBox(Box(x, y, width, 20 * s), self.row.home, home, key="home"))
        for n, line in enumerate(self.row.side):
            box = Box(x, y + (20 + 16 * n) * s, width, 16 * s)
            if line.icon:
                side = 12 * s
                shapes.append(Icon(line.icon, Box(x, box.y + 2 * s, side, side), line.color))
                box = Box(x + 16 * s, box.y, width - 16 * s, box.height)
            font = Font(11.5 * s, 600 if line.strong else 400)
            shapes.append(TextBox(box, line.text, font, line.color, key="side"))
        return shapes

    def end_of_day(self, *, is_first: bool) -> list[Shape]:
        """The dashed upright at the end of the shift; what goes beyond it is hatched."""
        s, x = self.s, self.axis.at(self.row.shift_until_min)
        top, bottom = self.box.y + 8 * s, self.top + (BLOCK + 1) * s
        shapes: list[Shape] = [Line(x, top, x, bottom, "ink2", 1.2, (4, 3))]
        if is_first:
            text = say("end of day")
            font = Font(11 * s)
            width = self.measure(text, font) + 2
            room = self.axis.x + self.axis.width + 12 * s - x - 5 * s
            if width <= room and self.row.home_min <= self.row.shift_until_min:
                box = Box(x + 5 * s, top - 1, width, 13 * s)
                shapes.append(TextBox(box, text, font, "ink3", key="end"))
        if self.row.blocks and self.row.home_min > self.row.shift_until_min:
            over = Box(x, self.middle - 5 * s, self.axis.at(self.row.home_min) - x, 10 * s)
            shapes.append(Hatch(over, "clay", 5 * s, 1.2))
        return shapes

    def road(self) -> list[Shape]:
        """Lines for driving, dots for waiting and the break, a ring at the start, a disc home."""
        if not self.row.blocks:
            return []
        s, color, dash, y = self.s, self.row.look.color, self.row.look.dash, self.middle
        at = self.row.leave_min
        shapes: list[Shape] = []
        for block in self.row.blocks:
            shapes += self._wait(at, block.begin_min, block.arrival_min)
            at = block.end_min
        pause_until = self.row.break_until_min or 0
        if self.row.break_from_min is not None and self.row.break_from_min >= at:
            shapes.append(self._dots(at, pause_until))
            at = pause_until
        x1, x2 = self.axis.at(at), self.axis.at(self.row.home_min)
        shapes.append(Line(x1, y, x2, y, color, 1.8, dash))
        start = self.axis.at(self.row.leave_min)
        shapes.append(Mark("disc", start, y, 8 * s, color, filled=False, key="start"))
        shapes.append(Mark("disc", x2, y, 7 * s, color, key="home"))
        return shapes

    def _wait(self, left_min: int, begin_min: int, arrival_min: int) -> list[Shape]:
        """The way to a stop: the break first if it is taken before leaving, then drive, wait."""
        y, look = self.middle, self.row.look
        shapes: list[Shape] = []
        from_, until = self.row.break_from_min, self.row.break_until_min
        if from_ is not None and until is not None and left_min <= from_ < arrival_min:
            shapes.append(self._dots(left_min, until))
            left_min = until
        x1, x2 = self.axis.at(left_min), self.axis.at(arrival_min)
        if x2 > x1:
            shapes.append(Line(x1, y, x2, y, look.color, 1.8, look.dash))
        if begin_min > arrival_min:
            shapes.append(self._dots(arrival_min, begin_min))
        return shapes

    def _dots(self, from_min: int, until_min: int) -> Shape:
        x1, x2 = self.axis.at(from_min), self.axis.at(until_min)
        return Line(x1, self.middle, x2, self.middle, "ink3", 1.4, (1.4, 3))

    def stops(self) -> list[Shape]:
        """Blocks, times under them, promises above them."""
        shapes: list[Shape] = []
        blocks = self.row.blocks
        lanes: list[float] = []
        for index, block in enumerate(blocks):
            box = self._box(block)
            self.placed.append(PlacedBlock(block.stop_id, self.row.crew_id, box))
            shapes += self._promise(block, lanes)
            shapes += self._block(block, box)
            following = blocks[index + 1] if index + 1 < len(blocks) else None
            until = self._box(following).x if following else self.axis.x + self.axis.width
            shapes += self._time(block, box, until)
        return shapes

    def _box(self, block: BenchBlock) -> Box:
        x = self.axis.at(block.begin_min)
        width = max(self.axis.at(block.end_min) - x, 4 * self.s)
        return Box(x, self.top, width, BLOCK * self.s)

    def _block(self, block: BenchBlock, box: Box) -> list[Shape]:
        s = self.s
        fill, stroke, width, dash = "sheet", "edge", 1.0, ()
        if block.is_made:
            fill = "sunken"
        if block.late_min:
            fill, stroke = "soft.clay", "clay"
        if block.stop_id == self.chosen:
            stroke, width = "focus", 2.0
        if block.is_slot:
            return self._slot(block, box)
        shapes: list[Shape] = [Rect(box, fill, stroke, width, 4 * s, dash, key=block.stop_id)]
        edge = _EDGES.get(block.kind)
        if edge:
            inner = Box(box.x + 0.5, box.y + 0.5, 4 * s, box.height - 1)
            shapes.append(Rect(inner, edge, None, 0, 2 * s))
        return shapes + self._words(block, box)

    def _slot(self, block: BenchBlock, box: Box) -> list[Shape]:
        rect = Rect(box, "soft.water", "focus", 2.0, 4 * self.s, (5, 3), key=block.stop_id)
        return [rect, *self._words(block, box)]

    def _words(self, block: BenchBlock, box: Box) -> list[Shape]:
        s = self.s
        pad = (8 if block.kind in _EDGES else 5) * s
        x, width = box.x + pad, box.width - pad - 3 * s
        sign = "check" if block.is_made else "hold" if block.is_held else ""
        shapes: list[Shape] = []
        second_width = width
        if sign and box.width >= 20 * s:
            side = 11 * s
            at = Box(box.right - side - 3 * s, box.bottom - side - 4 * s, side, side)
            shapes.append(Icon(sign, at, "moss"))
            second_width -= side + 2 * s
        if width >= 12 * s:
            lead, small = Font(12 * s, 600), Font(11 * s)
            upper = Box(x, box.y + 3 * s, width, 16 * s)
            shapes.append(TextBox(upper, block.lead, lead, key=block.stop_id))
            if second_width >= 14 * s:
                lower = Box(x, box.y + 19 * s, second_width, 15 * s)
                shapes.append(TextBox(lower, block.second, small, "ink2", key=block.stop_id))
        return shapes

    def _time(self, block: BenchBlock, box: Box, until: float) -> list[Shape]:
        s = self.s
        color = "ink2"
        if block.is_slot:
            color = "focus"
        elif block.delta_min > 0 or block.late_min:
            color = "clay"
        elif block.delta_min < 0:
            color = "moss"
        font = Font(11 * s, 400 if color == "ink2" else 600)
        text = f"{block.time}  {block.delta}" if block.delta else block.time
        room = until - box.x
        if self.measure(text, font) > room - 7 * s:
            text = block.time
        if self.measure(text, font) > room - 1 * s:
            return []
        place = Box(box.x + 1, box.bottom + 1 * s, self.measure(text, font) + 2, 14 * s)
        return [TextBox(place, text, font, color, key=f"time:{block.stop_id}")]

    def _promise(self, block: BenchBlock, lanes: list[float]) -> list[Shape]:
        if block.promise_until_min is None and block.promise_from_min is None:
            return []
        s, left, right = self.s, self.axis.x, self.axis.x + self.axis.width
        begin = self._at(block.promise_from_min, left)
        end = self._at(block.promise_until_min, right)
        x1, x2 = min(max(begin, left), right), min(max(end, left), right)
        lane = next((i for i, free in enumerate(lanes) if free < x1), len(lanes))
        late_to = min(self.axis.at(block.begin_min), right)
        lanes[lane : lane + 1] = [max(x2, late_to)]
        y = self.top - (7 + min(lane, 2) * LANE) * s
        color = "clay" if block.late_min else "ink2"
        shapes: list[Shape] = []
        if x2 > x1:
            shapes.append(
                Bracket(x1, x2, y, 5 * s, color, 1.6,
                        open_left=block.promise_from_min is None or begin < left,
                        open_right=block.promise_until_min is None or end > right)
            )  # fmt: skip
        if block.late_min and late_to > x2:
            shapes.append(Hatch(Box(x2, y, late_to - x2, 6 * s), "clay", 4 * s, 1.2))
        if block.late:
            font = Font(11 * s, 600)
            width = self.measure(block.late, font) + 2
            x = min(max(late_to, x2) + 4 * s, right - width)
            box = Box(x, y - 9 * s, width, 14 * s)
            shapes.append(TextBox(box, block.late, font, "clay", key=f"late:{block.stop_id}"))
        return shapes

    def _at(self, minute: int | None, otherwise: float) -> float:
        return otherwise if minute is None else self.axis.at(minute)
