"""A map one can move: the ground in tiles, a view onto it, mouse, wheel and keys."""

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, QTimer, Signal, Slot
from PySide6.QtGui import (
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QResizeEvent,
    QShowEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from servicedesk.desk.map_ground import MapGround, map_ground
from servicedesk.desk.office import Desk
from servicedesk.papers.projection import Projection, fit, local_meters
from servicedesk.values.position import Position
from servicedesk.values.shapes import Box
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.map_button import MapButton
from servicedesk.window.widgets.map_tiles import MapTiles
from servicedesk.words import say

if TYPE_CHECKING:
    from servicedesk.window.shell import Shell

NOTCH = math.sqrt(2)  # what one notch of the wheel or one key comes closer
CLOSEST, FARTHEST = 0.25, 2000.0  # meters a pixel
_STILL_PX = 4  # a hand that moves less has pressed, not pulled
_STEP_PX = 96
_SETTLE_MS = 90
_KEYS = {Qt.Key.Key_Plus: "closer", Qt.Key.Key_Equal: "closer", Qt.Key.Key_Minus: "farther",
         Qt.Key.Key_Home: "all"}  # fmt: skip
_ARROWS = {Qt.Key.Key_Left: (1, 0), Qt.Key.Key_Right: (-1, 0), Qt.Key.Key_Up: (0, 1),
           Qt.Key.Key_Down: (0, -1)}  # fmt: skip


class MapView(QWidget):
    """What lies on the ground is a subclass's: it says what to show whole and paints over it."""

    edges = (26, 26, 56, 56)  # left, top, right, bottom: px at 100 % kept free around it all
    pointed = Signal(object)  # Position pressed while a place is asked for

    def __init__(self, theme: Theme, *, metric: bool) -> None:
        super().__init__()
        self._theme, self._metric = theme, metric
        self._shell: Shell | None = None
        self._desk: Callable[[], Desk] | None = None
        self.ground: MapGround | None = None
        self.tiles = MapTiles(theme, self)
        self.tiles.came.connect(self.update)
        self._view: Projection | None = None
        self._moved = QPointF()  # since what lies over the ground was laid out
        self._by_hand = False
        self._pulled_from: QPointF | None = None
        self._is_pulling = False
        self._asks = False
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(_SETTLE_MS)
        self._settle.timeout.connect(self.settle)
        self.buttons = self._made_buttons()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        theme.changed.connect(self._theme_changed)

    # what a subclass says

    def whole(self) -> Sequence[Position]:
        """What must be seen when everything is shown; empty for nothing yet."""
        return ()

    def laid_out_anew(self) -> None:
        """The view is another one: what lies over the ground has to be laid out again."""

    def paint_over(self, ink: Ink) -> None:
        """Paint what moves with the ground; the painter is moved already."""

    def paint_fixed(self, ink: Ink) -> None:
        """Paint legend, scale and credit."""

    def pressed(self, at: QPointF) -> None:
        """Somebody pressed there and did not pull."""

    # the ground

    def use(self, shell: "Shell", desk: Callable[[], Desk]) -> None:
        """Read the ground of this desk's roads whenever the map comes into sight."""
        self._shell, self._desk = shell, desk
        shell.bus.changed.connect(self._changed)
        if self.isVisible():
            self._ask_ground()

    @Slot(object)
    def _changed(self, touched: object) -> None:
        """Something else than rows of the store changed: perhaps the roads."""
        if touched is None and self.isVisible():
            self._ask_ground()

    @Slot(object)
    def _ground_came(self, ground: MapGround | None) -> None:
        self.set_ground(ground)

    def set_ground(self, ground: MapGround | None) -> None:
        """Draw on this ground, None for none."""
        if ground is self.ground or self._shell is None:
            return
        self.ground = ground
        self.tiles.use(ground.ground if ground else None, self._shell.work.start_apart)
        self.setToolTip(ground.credit_on_paper if ground else "")
        self.show_all()

    def _ask_ground(self) -> None:
        if self._shell is not None and self._desk is not None:
            self._shell.ask(map_ground, self._desk()).done.connect(self._ground_came)

    # the view

    @property
    def view(self) -> Projection | None:
        """Where positions stand on the widget; None while there is nothing to show."""
        if self._view is None:
            ground = self.ground.ground if self.ground else None
            whole = self.whole() or (ground.corners if ground else ())
            if whole:
                self._view = fit(whole, self._inner(), ground.origin if ground else whole[0])
                self._moved = QPointF()
        return self._view

    @Slot()
    def show_all(self) -> None:
        """Show everything again, and follow what is to be shown."""
        self._by_hand = False
        self.follow()

    def follow(self) -> None:
        """Show what is to be shown now, unless the map was moved by hand."""
        if not self._by_hand:
            self._view = None
        self._moved = QPointF()
        self.laid_out_anew()
        self.update()

    @Slot()
    def closer(self) -> None:
        """Come closer to the middle."""
        self.zoom(1 / NOTCH, QPointF(self.width() / 2, self.height() / 2))

    @Slot()
    def farther(self) -> None:
        """Go farther from the middle."""
        self.zoom(NOTCH, QPointF(self.width() / 2, self.height() / 2))

    def zoom(self, factor: float, at: QPointF) -> None:
        """Change meters a pixel by `factor`; what lies under `at` stays there."""
        view = self.view
        if view is None:
            return
        self.settle()
        view = self._view or view
        meters = min(FARTHEST, max(CLOSEST, view.meters_per_unit * factor))
        dx, dy = at.x() - view.center[0], at.y() - view.center[1]
        change = view.meters_per_unit - meters
        middle = (view.middle_m[0] + dx * change, view.middle_m[1] - dy * change)
        self._by_hand = True
        self._view = replace(view, meters_per_unit=meters, middle_m=middle)
        self.laid_out_anew()
        self.update()

    def pull(self, by: QPointF) -> None:
        """Move the ground by so many pixels; names and marks are laid out again a moment later."""
        view = self.view
        if view is None:
            return
        meters = view.meters_per_unit
        middle = (view.middle_m[0] - by.x() * meters, view.middle_m[1] + by.y() * meters)
        self._by_hand = True
        self._view = replace(view, middle_m=middle)
        self._moved += by
        self._settle.start()
        self.update()

    @Slot()
    def settle(self) -> None:
        """Lay out marks and names for where the map stands now."""
        self._settle.stop()
        if not self._moved.isNull():
            self._moved = QPointF()
            self.laid_out_anew()
            self.update()

    def go_to(self, position: Position) -> None:
        """Bring a position to the middle if it is out of sight."""
        view = self.view
        if view is None:
            return
        x, y = view.at(position)
        if not QRectF(self.rect()).adjusted(20, 20, -20, -20).contains(x, y):
            self.pull(QPointF(view.center[0] - x, view.center[1] - y))
            self.settle()

    def look_at(self, position: Position, meters_per_px: float) -> None:
        """Bring a position to the middle, no farther away than this scale."""
        view = self.view
        if view is None:
            return
        meters = min(view.meters_per_unit, meters_per_px)
        x, y = local_meters(view.origin, position)
        self._by_hand = True
        center = (self.width() / 2, self.height() / 2)
        self._view = replace(view, meters_per_unit=meters, middle_m=(x, y), center=center)
        self.follow()

    def position_of(self, at: QPointF) -> Position | None:
        """The position under a point of the widget."""
        view = self.view
        if view is None:
            return None
        return view.position(at.x(), at.y())

    # asking for a place

    def ask_for_place(self, *, asks: bool) -> None:
        """While asked, a press (Enter: the middle) sends `pointed` with its position."""
        self._asks = asks
        if asks:
            self.setCursor(Qt.CursorShape.CrossCursor)
        else:
            self.unsetCursor()
        self.update()

    # what happens to it

    def sizeHint(self) -> QSize:
        return QSize(720, 400)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._ask_ground()

    def resizeEvent(self, event: QResizeEvent) -> None:
        view = self._view
        if self._by_hand and view is not None:
            self._view = replace(view, center=(self.width() / 2, self.height() / 2))
        self._place_buttons()
        self.follow()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._pulled_from, self._is_pulling = event.position(), False

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._pulled_from is None:
            return
        by = event.position() - self._pulled_from
        if self._is_pulling or by.manhattanLength() > _STILL_PX:
            self._is_pulling = True
            self._pulled_from = event.position()
            self.pull(by)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton or self._pulled_from is None:
            return
        was_pulling, self._pulled_from, self._is_pulling = self._is_pulling, None, False
        self.settle()
        if not was_pulling:
            self._pressed_at(event.position())

    def wheelEvent(self, event: QWheelEvent) -> None:
        turned = event.angleDelta().y()
        if turned:
            self.zoom(NOTCH ** (-turned / 120), event.position())
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        plain = event.modifiers() & ~(
            Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier
        )
        if plain:
            super().keyPressEvent(event)
        elif key in _ARROWS:
            dx, dy = _ARROWS[key]
            self.pull(QPointF(dx * _STEP_PX, dy * _STEP_PX))
        elif key in _KEYS:
            {"closer": self.closer, "farther": self.farther, "all": self.show_all}[_KEYS[key]]()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.settle()
            self._pressed_at(QPointF(self.width() / 2, self.height() / 2))
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        view = self.view
        box = QRectF(self.rect())
        radius = self._theme.tokens.radius.sheet
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            path = QPainterPath()
            path.addRoundedRect(box, radius, radius)
            painter.setClipPath(path)
            ink.panel(box, fill="map.land")
            if view is not None:
                if self.ground is not None:
                    self.tiles.draw(painter, view, box, self.devicePixelRatioF())
                painter.translate(self._moved)
                self.paint_over(ink)
                painter.translate(-self._moved)
                self.paint_fixed(ink)
            if self._asks and self.hasFocus():
                self._paint_cross(ink)
            painter.setClipping(False)
            ink.panel(box, edge="line", radius=radius)

    @Slot()
    def _theme_changed(self) -> None:
        self.redress()

    def redress(self) -> None:
        """Another look: laid out again, and tiles in other colors."""
        self._place_buttons()
        self.follow()

    def reserved(self) -> tuple[Box, ...]:
        """Room on the widget that nothing else may take: the buttons."""
        return tuple(Box(b.x() - 4, b.y() - 4, b.width() + 8, b.height() + 8) for b in self.buttons)

    def _pressed_at(self, at: QPointF) -> None:
        position = self.position_of(at) if self._asks else None
        if position is not None:
            self.pointed.emit(position)
        else:
            self.pressed(at)

    def _inner(self) -> Box:
        """Where positions stand when all is shown: off the edges, legend, credit and buttons.

        On a small map less is kept free: marks move aside for legend and credit anyhow.
        """
        s = self._theme.scale
        left, top, right, bottom = (side * s for side in self.edges)
        top, bottom = min(top, self.height() * 0.1), min(bottom, self.height() * 0.18)
        width, height = self.width() - left - right, self.height() - top - bottom
        return Box(left, top, max(40.0, width), max(40.0, height))

    def _made_buttons(self) -> tuple[MapButton, ...]:
        found = []
        for text, name, do in (
            ("+", say("Closer: +"), self.closer),
            ("\u2212", say("Farther: \u2212"), self.farther),
            (say("All"), say("Show all on the map: Home"), self.show_all),
        ):
            button = MapButton(self._theme, text, name, self)
            button.clicked.connect(do)
            found.append(button)
        return tuple(found)

    def _place_buttons(self) -> None:
        """One above the other in the upper right, all as wide as the widest."""
        wide = max(button.sizeHint().width() for button in self.buttons)
        top = self._theme.px(10)
        for button in self.buttons:
            high = button.sizeHint().height()
            button.setGeometry(self.width() - self._theme.px(10) - wide, top, wide, high)
            top += high + self._theme.px(4)

    def _paint_cross(self, ink: Ink) -> None:
        x, y, r = self.width() / 2, self.height() / 2, self._theme.px(11)
        ink.line(QPointF(x - r, y), QPointF(x + r, y), "focus", width=2)
        ink.line(QPointF(x, y - r), QPointF(x, y + r), "focus", width=2)


def place_names(
    ground: MapGround | None, view: Projection, width: float, height: float
) -> tuple[tuple[str, Position], ...] | None:
    """Towns and villages to name in a view, the largest first, and close by its roads; None where
    no ground knows them.
    """
    if ground is None or not ground.ground.places:
        return None
    places = tuple(
        (place.name, Position(place.lat_deg, place.lon_deg))
        for place in ground.ground.named_places(view.meters_per_unit)
    )
    corners = view.position(0, 0), view.position(width, height)
    return (*places, *ground.ground.named_roads(corners, view.meters_per_unit))
