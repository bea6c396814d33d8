"""The bar on top: back and forward, where one is, the find box, log a call."""

from collections.abc import Sequence

from PySide6.QtCore import QObject, QRectF, QSize, Qt, Slot
from PySide6.QtGui import QAction, QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QSizePolicy, QWidget

from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import key_cap_size
from servicedesk.words import say


class FindButton(QAbstractButton):
    """Looks like the field that it opens."""

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme = theme
        self.setText(say("Find a site, person, phone, part — or type what to do"))
        self.setAccessibleName(say("Find or do"))
        self.setCursor(Qt.CursorShape.IBeamCursor)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.updateGeometry)

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(430), self._theme.height("control"))

    def minimumSizeHint(self) -> QSize:
        return QSize(self._theme.px(180), self._theme.height("control"))

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._theme
        with QPainter(self) as painter:
            ink = Ink(painter, theme)
            box = QRectF(self.rect())
            edge = "ink2" if self.underMouse() else "edge"
            ink.panel(box, fill="sheet", edge=edge, radius=theme.tokens.radius.control)
            side = theme.px(16)
            ink.icon("find", QRectF(10, 0, side, box.height()), "ink2")
            cap = key_cap_size(theme, say("Ctrl K"))
            top = (box.height() - cap.height()) / 2
            key = QRectF(box.right() - cap.width() - 9, top, cap.width(), cap.height())
            left = 10 + side + 8
            words = QRectF(left, 0, key.left() - left - 8, box.height())
            ink.text(words, self.text(), color="ink3")
            ink.key_cap(key, say("Ctrl K"))


class Trail(QWidget):
    """Where one is: *Rounds › Thu, Oct 15*; the last part in ink."""

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme = theme
        self._parts: tuple[str, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        theme.changed.connect(self.update)

    @property
    def parts(self) -> tuple[str, ...]:
        """What it shows."""
        return self._parts

    def show_parts(self, parts: Sequence[str]) -> None:
        """Show other parts, outermost first."""
        self._parts = tuple(part for part in parts if part)
        self.setAccessibleName(" › ".join(self._parts))
        self.setToolTip(" › ".join(self._parts))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            left = 0.0
            for at, part in enumerate(self._parts):
                is_last = at == len(self._parts) - 1
                role, color = ("row_lead", "ink") if is_last else ("text", "ink2")
                box = QRectF(left, 0, max(self.width() - left, 0), self.height())
                left = ink.text(box, part, role=role, color=color).right() + 8
                if not is_last:
                    sign = QRectF(left, 0, 14, self.height())
                    ink.icon("forward", sign.adjusted(2, 0, -2, 0), "ink3")
                    left += 20


class TopBar(QWidget):
    """Takes the frame's actions so that buttons, keys and tooltips agree."""

    def __init__(
        self,
        theme: Theme,
        *,
        back: QAction,
        forward: QAction,
        find: QAction,
        log_call: QAction | None,
    ) -> None:
        super().__init__()
        self._theme = theme
        row = QHBoxLayout(self)
        row.setContentsMargins(16, 0, 20, 0)
        row.setSpacing(4)
        self.back = _bare(theme, "back", back)
        self.forward = _bare(theme, "forward", forward)
        self.trail = Trail(theme, self)
        self.find_box = FindButton(theme, self)
        self.find_box.clicked.connect(find.trigger)
        row.addWidget(self.back)
        row.addWidget(self.forward)
        row.addSpacing(10)
        row.addWidget(self.trail, 3)
        row.addWidget(self.find_box, 4)
        row.addStretch(2)
        if log_call is not None:
            self.log_call = Button(
                theme, log_call.text(), icon_name="phone", key="F4", kind="main", shows_only=True
            )
            self.log_call.clicked.connect(log_call.trigger)
            row.addWidget(self.log_call)
        self._resized()
        theme.changed.connect(self._resized)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.fillRect(self.rect(), self._theme.color("ground"))
            painter.fillRect(
                QRectF(0, self.height() - 1, self.width(), 1), self._theme.color("line")
            )

    @Slot()
    def _resized(self) -> None:
        self.setFixedHeight(self._theme.height("top_bar"))


def _bare(theme: Theme, icon_name: str, action: QAction) -> Button:
    """An icon alone, as wide as a finger needs; it follows its action."""
    button = Button(theme, icon_name=icon_name, kind="bare", name=action.text())
    button.setFixedWidth(theme.px(28))
    button.clicked.connect(action.trigger)
    follower = _Follows(button, action)
    action.changed.connect(follower.follow)
    follower.follow()
    return button


class _Follows(QObject):
    """Keeps a button as enabled as its action."""

    def __init__(self, button: Button, action: QAction) -> None:
        super().__init__(button)
        self._button, self._action = button, action

    @Slot()
    def follow(self) -> None:
        self._button.setEnabled(self._action.isEnabled())
        self._button.setToolTip(self._action.toolTip())
