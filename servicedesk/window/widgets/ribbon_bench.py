"""The route bench: one ribbon a technician; stops are moved by hand, arrivals follow at once.

Knows plans in memory only. What is let go goes out as a signal; the place writes it.
"""

from dataclasses import dataclass, replace

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QAccessibleInterface,
    QColor,
    QContextMenuEvent,
    QFocusEvent,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QApplication, QSizePolicy, QToolTip, QWidget

from servicedesk.desk.at_once import moved_at_once, without
from servicedesk.desk.rounds_page import RoundsPage
from servicedesk.routes.plan import DayPlan
from servicedesk.values.shapes import Box
from servicedesk.window.ink import Ink
from servicedesk.window.paint_shapes import ScreenMeasure, paint_shapes, rect_of
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.bench_data import BenchData, bench_data, block_words
from servicedesk.window.widgets.bench_shapes import (
    BLOCK,
    BenchFigure,
    bench_figure,
    natural_height,
)
from servicedesk.window.widgets.bench_steps import position_at, step_to
from servicedesk.window.widgets.list_accessible import ListAccessible, Painted, install
from servicedesk.words import say
from servicedesk.words.formats import Formats

_SHADOW = 0.16


@dataclass(frozen=True, slots=True)
class Drag:
    """A stop in hand: where the hand is, how it holds the block, where it would land."""

    stop_id: str
    at: QPointF
    grip: QPointF
    width: float
    base: DayPlan
    bare: DayPlan
    crew_id: str = ""
    position: int = -1
    covers: tuple[int, int] = (1440, 0)  # the axis never shrinks under the hand


class RibbonBench(QWidget):
    """Ribbons of one day. Feed it with `show_page`; it tells what the hands did."""

    chosen = Signal(str)  # stop id
    opened = Signal(str)  # stop id
    dropped = Signal(str, str, int)  # stop id, crew id, position without the stop itself
    previewed = Signal(object)  # the plan as if dropped, None when it was put back
    roams = Signal(str, QPoint)  # stop id in hand, where on the screen
    let_go_at = Signal(str, QPoint)  # let go outside every ribbon
    crew_menu = Signal(str, QPoint)  # crew id: its menu is wanted, where on the screen

    def __init__(self, theme: Theme, formats: Formats, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme, self._formats = theme, formats
        self._measure = ScreenMeasure(theme)
        self._page: RoundsPage | None = None
        self._plan: DayPlan | None = None
        self._base: DayPlan | None = None
        self._preview: DayPlan | None = None
        self._drag: Drag | None = None
        self._pressed: tuple[str, QPointF] | None = None
        self._figure: BenchFigure | None = None
        self._data: BenchData | None = None
        self._stop = ""
        self.may_move = True
        self._accessible: ListAccessible | None = None
        install(RibbonBench)
        self.setProperty("ownFocus", True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.setMouseTracking(True)
        self.setAccessibleName(say("Rounds of the day"))
        theme.changed.connect(self._redress)

    def accessible(self) -> QAccessibleInterface:
        """How a screen reader sees it."""
        if self._accessible is None:
            painted = Painted(
                boxes=lambda: [(block.stop_id, block.box) for block in self.figure.blocks],
                key_at=self._stop_at,
                current=lambda: self.stop,
                spoken=self.spoken,
            )
            self._accessible = ListAccessible(self, painted)
        return self._accessible

    def _stop_at(self, at: QPoint) -> str:
        block = self.figure.block_at(at.x(), at.y())
        return block.stop_id if block is not None else ""

    # what is shown

    def show_page(self, page: RoundsPage, plan: DayPlan, *, base: DayPlan | None = None) -> None:
        """Show `plan`; differences are told from `base` if it is given."""
        self._page, self._plan, self._base = page, plan, base
        self._drag = self._preview = None
        if self._stop not in plan.crew_id_of:
            self._stop = ""
        self._anew()
        self.updateGeometry()

    def set_formats(self, formats: Formats) -> None:
        """Write times in another way from now on."""
        self._formats = formats
        self._anew()

    @property
    def plan(self) -> DayPlan | None:
        """The plan shown, as if dropped while a stop is in hand."""
        return self._preview or self._plan

    @property
    def stop(self) -> str:
        """The stop that the keys act on, "" for none."""
        return self._stop

    @property
    def drag(self) -> Drag | None:
        """What is in hand."""
        return self._drag

    @property
    def figure(self) -> BenchFigure:
        """Geometry of what is shown."""
        if self._figure is None:
            self._figure = self._laid_out()
        return self._figure

    def choose(self, stop_id: str) -> None:
        """Let the keys act on this stop."""
        if stop_id == self._stop:
            return
        self._stop = stop_id
        self._anew()
        self.setAccessibleDescription(self.spoken(stop_id))
        event = QAccessibleEvent(self, QAccessible.Event.DescriptionChanged)
        QAccessible.updateAccessibility(event)
        self.chosen.emit(stop_id)

    def step_of(self, stop_id: str, *, by: int = 0, ribbons: int = 0) -> tuple[str, int] | None:
        """Crew and position for a stop moved `by` slots or to a neighbor ribbon; None if it
        cannot go there. On the neighbor it takes the slot nearest in time.
        """
        if self._plan is None:
            return None
        return step_to(self._plan, stop_id, self._made(), by=by, ribbons=ribbons)

    # a stop in hand

    def carry(self, stop_id: str, at: QPointF, grip: QPointF | None = None) -> None:
        """Take a stop in hand (or move it there): recompute as if it were dropped."""
        if self._plan is None or not self.may_move or stop_id in self._made():
            return
        drag = self._drag
        if drag is None or drag.stop_id != stop_id:
            drag = self._taken(stop_id, at, grip)
        crew_id, position = self._target(drag, at)
        if (crew_id, position) != (drag.crew_id, drag.position):
            self._preview = (
                moved_at_once(drag.base, stop_id, to_crew=crew_id, position=position)
                if crew_id
                else None
            )
            self.previewed.emit(self._preview)
        self._drag = replace(drag, at=at, crew_id=crew_id, position=position)
        self._anew()

    def put_back(self) -> None:
        """Everything as before the drag."""
        self._pressed = None
        if self._drag is None:
            return
        self._drag = self._preview = None
        self.previewed.emit(None)
        self._anew()

    def let_go(self) -> None:
        """Drop what is in hand where the slot shows it; outside every ribbon it goes back."""
        drag = self._drag
        self._pressed = None
        if drag is None:
            return
        is_same = self._preview is not None and self._preview.orders == drag.base.orders
        if not drag.crew_id or is_same:
            self.put_back()
            return
        shown, self._drag, self._preview = self._preview, None, None
        self._plan = shown
        self._anew()
        self.dropped.emit(drag.stop_id, drag.crew_id, drag.position)

    def _taken(self, stop_id: str, at: QPointF, grip: QPointF | None) -> Drag:
        assert self._plan is not None  # noqa: S101 (asked by every caller)
        axis = self.figure.axis
        minutes = self._plan.problem.stop_of[stop_id].service_min
        width = max(24.0, axis.at(minutes) - axis.at(0))
        height = BLOCK * self._theme.scale
        middle = QPointF(width / 2, height / 2)
        bare = without(self._plan, stop_id)
        covers = (round(axis.from_min), round(axis.until_min))
        return Drag(stop_id, at, grip or middle, width, self._plan, bare, covers=covers)

    def _target(self, drag: Drag, at: QPointF) -> tuple[str, int]:
        slack = 30.0
        rows = self.figure.rows
        if not rows or not -slack <= at.y() <= self.height() + slack:
            return "", -1
        row = self.figure.row_at(at.y())
        if row is None:
            row = rows[0] if at.y() < rows[0].box.y else rows[-1]
        left = at.x() - drag.grip.x()
        minute = self.figure.axis.minute(left + drag.width / 2)
        half = drag.base.problem.stop_of[drag.stop_id].service_min / 2
        return row.crew_id, position_at(drag.bare, row.crew_id, minute - half, self._made())

    def _made(self) -> frozenset[str]:
        """The stops that were made already: they stay where they were."""
        if self._page is None:
            return frozenset()
        return frozenset(i for i, words in self._page.stops.items() if words.is_made)

    # hands and keys

    def mousePressEvent(self, event: QMouseEvent) -> None:
        at = event.position()
        block = self.figure.block_at(at.x(), at.y())
        if event.button() != Qt.MouseButton.LeftButton or block is None:
            return
        self.choose(block.stop_id)
        self._pressed = (block.stop_id, at)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        at = event.position()
        if self._pressed is None:
            over = self.figure.block_at(at.x(), at.y())
            hand = Qt.CursorShape.OpenHandCursor if over else Qt.CursorShape.ArrowCursor
            self.setCursor(hand)
            return
        stop_id, start = self._pressed
        far = (at - start).manhattanLength() >= QApplication.startDragDistance()
        if self._drag is None and not far:
            return
        grip = None
        if self._drag is None:
            box = next(b.box for b in self.figure.blocks if b.stop_id == stop_id)
            grip = QPointF(start.x() - box.x, start.y() - box.y)
        self.setCursor(Qt.CursorShape.ClosedHandCursor)
        self.carry(stop_id, at, grip)
        self.roams.emit(stop_id, event.globalPosition().toPoint())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self.unsetCursor()
        drag = self._drag
        self.let_go()
        if drag is not None and not drag.crew_id:
            self.let_go_at.emit(drag.stop_id, event.globalPosition().toPoint())

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        by_key = event.reason() == QContextMenuEvent.Reason.Keyboard
        chosen = self._plan.crew_id_of.get(self._stop, "") if self._plan is not None else ""
        row = self.figure.row_at(event.pos().y())
        crew = chosen if by_key or row is None else row.crew_id
        if crew:
            self.crew_menu.emit(crew, event.globalPos())

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        block = self.figure.block_at(event.position().x(), event.position().y())
        if block is not None:
            self.opened.emit(block.stop_id)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key == Qt.Key.Key_Escape and (self._drag is not None or self._pressed is not None):
            self.put_back()
            return
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self._stop:
            self.opened.emit(self._stop)
            return
        steps = {Qt.Key.Key_Left: (-1, 0), Qt.Key.Key_Right: (1, 0),
                 Qt.Key.Key_Up: (0, -1), Qt.Key.Key_Down: (0, 1),
                 Qt.Key.Key_Home: (-999, 0), Qt.Key.Key_End: (999, 0)}  # fmt: skip
        if key in steps and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self._walk(*steps[Qt.Key(key)])
            return
        super().keyPressEvent(event)

    def focusNextPrevChild(self, next_: bool) -> bool:
        """Tab goes from block to block, and on from the last one."""
        ids = [block.stop_id for block in self.figure.blocks]
        at = ids.index(self._stop) if self._stop in ids else -1
        to = at + (1 if next_ else -1)
        if self._stop and 0 <= to < len(ids):
            self.choose(ids[to])
            return True
        return super().focusNextPrevChild(next_)

    def focusInEvent(self, event: QFocusEvent) -> None:
        blocks = self.figure.blocks
        by_tab = event.reason() in (
            Qt.FocusReason.TabFocusReason,
            Qt.FocusReason.BacktabFocusReason,
        )
        if blocks and by_tab and self._pressed is None:
            last = event.reason() == Qt.FocusReason.BacktabFocusReason
            self.choose(blocks[-1 if last else 0].stop_id)
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()

    def _walk(self, by: int, ribbons: int) -> None:
        blocks = self.figure.blocks
        here = next((b for b in blocks if b.stop_id == self._stop), None)
        if here is None:
            if blocks:
                self.choose(blocks[0].stop_id)
            return
        if by:
            row = [b for b in blocks if b.crew_id == here.crew_id]
            at = min(max(row.index(here) + by, 0), len(row) - 1)
            self.choose(row[at].stop_id)
            return
        crews = [r.crew_id for r in self.figure.rows]
        at = crews.index(here.crew_id) + ribbons
        while 0 <= at < len(crews):
            row = [b for b in blocks if b.crew_id == crews[at]]
            if row:
                x = here.box.center[0]
                self.choose(min(row, key=lambda b: abs(b.box.center[0] - x)).stop_id)
                return
            at += ribbons

    # look

    def sizeHint(self) -> QSize:
        n = len(self._plan.days) if self._plan is not None else 3
        return QSize(900, round(natural_height(n, self._theme.scale)))

    def minimumSizeHint(self) -> QSize:
        return QSize(560, self.sizeHint().height() - round(self._theme.px(6) * 3))

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._figure = None

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            block = self.figure.block_at(event.pos().x(), event.pos().y())
            QToolTip.showText(event.globalPos(), self.spoken(block.stop_id) if block else "", self)
            return True
        return super().event(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            figure = self.figure
            paint_shapes(ink, figure.shapes)
            if self.hasFocus() and self._stop and self._drag is None:
                block = next((b for b in figure.blocks if b.stop_id == self._stop), None)
                if block is not None:
                    ink.focus_ring(rect_of(block.box.grown(4)), 7)
            if self._drag is not None:
                self._paint_carried(ink, self._drag)

    def _paint_carried(self, ink: Ink, drag: Drag) -> None:
        if self._page is None:
            return
        s = self._theme.scale
        corner = drag.at - drag.grip + QPointF(0, 6 * s)
        box = QRectF(corner.x(), corner.y(), drag.width, BLOCK * s)
        shade = QColor(self._theme.color("ink" if self._theme.name == "light" else "sunken"))
        shade.setAlphaF(_SHADOW)
        ink.painter.setPen(Qt.PenStyle.NoPen)
        ink.painter.setBrush(shade)
        ink.painter.drawRoundedRect(box.adjusted(1, 2, 3, 5), 5, 5)
        ink.panel(box, fill="sheet", edge="focus", radius=4 * s, width=2)
        lead, second = block_words(self._page.stops[drag.stop_id])
        inner = box.adjusted(6 * s, 3 * s, -3 * s, 0)
        ink.text(QRectF(inner.topLeft(), inner.size()).adjusted(0, 0, 0, -19 * s), lead,
                 role="second", weight=600)  # fmt: skip
        ink.text(inner.adjusted(0, 15 * s, 0, -4 * s), second, role="axis", color="ink2")

    def _laid_out(self) -> BenchFigure:
        if self._page is None or self._plan is None:
            return bench_figure(BenchData((), 420, 1080), self.width(), self.height(),
                                self._measure, scale=self._theme.scale)  # fmt: skip
        drag = self._drag
        self._data = bench_data(
            self._page,
            self._preview or self._plan,
            self._formats,
            base=drag.base if drag is not None else self._base,
            carried=drag.stop_id if drag is not None else "",
            target=drag.crew_id if drag is not None else "",
            covers=drag.covers if drag is not None else (1440, 0),
        )
        if drag is not None:
            covers = (self._data.from_min, self._data.until_min)
            self._drag = replace(drag, covers=covers)
        return bench_figure(
            self._data,
            self.width(),
            self.height(),
            self._measure,
            scale=self._theme.scale,
            chosen="" if drag is not None else self._stop,
        )

    def spoken(self, stop_id: str) -> str:
        """A stop as one sentence with its technician, "" if it is not on a ribbon."""
        _ = self.figure  # laid out, so that the words are those of what is shown
        if self._data is None or not stop_id:
            return ""
        rows = ((row.name, block) for row in self._data.rows for block in row.blocks)
        for name, block in rows:
            if block.stop_id == stop_id:
                return f"{name}: {block.spoken}"
        return ""

    def _anew(self) -> None:
        self._figure = None
        self.update()

    @Slot()
    def _redress(self) -> None:
        self._measure = ScreenMeasure(self._theme)
        self._anew()
        self.updateGeometry()


def hit_box(bench: RibbonBench, stop_id: str) -> Box | None:
    """Where a stop stands on the bench."""
    return next((b.box for b in bench.figure.blocks if b.stop_id == stop_id), None)
