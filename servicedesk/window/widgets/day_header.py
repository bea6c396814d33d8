"""Head of the rounds of a day: the day, its week, how it stands, and what can be done with it."""

from collections.abc import Sequence
from datetime import date

from PySide6.QtCore import QPoint, QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import QAction, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QMenu, QSizePolicy, QWidget

from servicedesk.desk.rounds_page import WeekDay
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Chip, OneLine
from servicedesk.words import say, say_n


class DayChip(QAbstractButton):
    """A day of the week: its name, how many stops, how full."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.day: WeekDay | None = None
        self.is_here = False
        self.is_target = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.updateGeometry)

    def show_day(self, day: WeekDay, *, is_here: bool) -> None:
        """Carry another day."""
        self.day, self.is_here = day, is_here
        stops = say_n("{n} stop", "{n} stops", day.n_stops)
        used = say("{n} % of the shifts used", n=round(100 * day.used))
        here = (say("shown"),) if is_here else ()
        self.setAccessibleName(", ".join((day.name, stops, used, *here)))
        self.setToolTip(f"{stops}, {used}")
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(54), self._theme.px(36))

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        if self.day is None:
            return
        s = self._theme.scale
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            box = QRectF(self.rect())
            edge, width = ("water", 2.0) if self.is_here else ("line", 1.0)
            if self.is_target:
                edge, width = "focus", 2.0
            fill = "sheet" if self.is_here or self.underMouse() else "ground"
            ink.panel(box, fill=fill, edge=edge, radius=5, width=width)
            inner = box.adjusted(4 * s, 3 * s, -4 * s, -13 * s)  # a gap between name and number
            weight = 600 if self.is_here else 0
            color = "ink" if self.is_here else "ink2"
            ink.text(inner, self.day.name, role="second", color=color, weight=weight)
            count = str(self.day.n_stops)
            ink.text(inner, count, role="second", color=color, align="right", weight=weight)
            bar = QRectF(4 * s, box.bottom() - 11 * s, box.width() - 8 * s, 4 * s)
            ink.panel(bar, fill="sunken", radius=2)
            used = min(1.0, self.day.used)
            if used > 0:
                full = QRectF(bar.left(), bar.top(), bar.width() * used, bar.height())
                over = "clay" if self.day.used > 1.005 else "water" if self.is_here else "ink3"
                ink.panel(full, fill=over, radius=2)


_STATES = {
    "none": (lambda: say("No rounds yet"), "ochre", "ahead"),
    "draft": (lambda: say("Draft, not handed out"), "ochre", "look"),
    "handed out": (lambda: say("Handed out"), "moss", "check"),
    "changed": (lambda: say("Changed since handed out"), "clay", "warn"),
    "done": (lambda: say("Done"), "moss", "check"),
}


class DayHeader(QWidget):
    """One row; what finds no room goes behind *More*."""

    day_chosen = Signal(object)  # date

    def __init__(
        self, theme: Theme, *, plan: QAction, papers: QAction, hand_out: QAction,
        before: QAction, after: QAction,
    ) -> None:  # fmt: skip
        super().__init__()
        self._theme = theme
        self._short = self._long = ""
        self.title = OneLine(theme, "", role="page_title")
        self.title.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        self.before = Button(theme, icon_name="back", kind="bare", name=before.text())
        self.after = Button(theme, icon_name="forward", kind="bare", name=after.text())
        self.chips = [DayChip(theme) for _ in range(7)]
        self.state = Chip(theme, "", "ochre", "look")
        self.state_name = ""
        self.plan = Button(theme, plan.text(), icon_name="again")
        self.papers = Button(theme, papers.text(), icon_name="print")
        self.hand_out = Button(theme, hand_out.text(), icon_name="out", kind="main")
        self.take_back = Button(theme, say("Take back"), icon_name="undo")
        self.more = Button(theme, icon_name="more", kind="plain", name=say("More"))
        self.menu = QMenu(self)
        self.more.setMenu(self.menu)
        self.more.setStyleSheet("QPushButton::menu-indicator { image: none; width: 0; }")
        self.more.setFixedWidth(theme.px(36))
        for arrow in (self.before, self.after):
            arrow.setFixedWidth(theme.px(26))
        self._papers_action, self._plan_action = papers, plan
        for button, action in (
            (self.plan, plan), (self.papers, papers), (self.hand_out, hand_out),
            (self.take_back, hand_out), (self.before, before), (self.after, after),
        ):  # fmt: skip
            button.clicked.connect(action.trigger)
            action.changed.connect(self._follow_actions)
        self._pairs = ((self.plan, plan), (self.papers, papers), (self.hand_out, hand_out))
        self._lay_out()

    def _lay_out(self) -> None:
        theme = self._theme
        self._row = row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.px(6))
        row.addWidget(self.title)
        row.addWidget(self.before)
        row.addWidget(self.after)
        row.addSpacing(theme.px(2))
        chips = QHBoxLayout()
        chips.setSpacing(theme.px(4))
        for chip in self.chips:
            chips.addWidget(chip)
            chip.clicked.connect(self._chip_pressed)
        row.addLayout(chips)
        row.addWidget(self.state)
        row.addStretch(1)
        for button in (self.plan, self.papers, self.hand_out, self.take_back, self.more):
            row.addWidget(button)

    def show_day(self, long: str, short: str, week: Sequence[WeekDay], here: date) -> None:
        """Another day in its week; `short` stands where `long` finds no room."""
        self._long, self._short = long, short
        for n, chip in enumerate(self.chips):
            if n < len(week):
                chip.show_day(week[n], is_here=week[n].day == here)
            else:
                chip.day = None
        self._fit()

    def show_state(self, state: str) -> None:
        """How the day stands: "none", "draft", "handed out", "changed" or "done"."""
        words, tone, icon = _STATES[state]
        self.state_name = state
        self.state._icon = icon  # the chip has no verb for its icon
        self.state.set_text(words(), tone)
        self.plan.setText(say("Plan the day") if state == "none" else say("Plan again"))
        self.hand_out.setText(say("Hand out again") if state == "changed" else say("Hand out"))
        self.hand_out.setVisible(state in ("draft", "changed"))
        self.take_back.setVisible(state == "handed out")
        self._fit()

    def show_more(self, actions: Sequence[QAction]) -> None:
        """What stands behind *More*, besides what found no room."""
        self.menu.clear()
        for action in (self._plan_action, self._papers_action, *actions):
            self.menu.addAction(action)

    def day_at(self, at: QPoint) -> date | None:
        """The day of the chip at a point of the screen, None if there is none."""
        for chip in self.chips:
            is_shown = chip.isVisible() and chip.day is not None
            if is_shown and chip.rect().contains(chip.mapFromGlobal(at)):
                return chip.day.day if chip.day is not None else None
        return None

    def show_target(self, day: date | None) -> None:
        """Mark the day on which a stop in hand would land; None marks none."""
        for chip in self.chips:
            is_target = day is not None and chip.day is not None and chip.day.day == day
            if is_target != chip.is_target:
                chip.is_target = is_target
                chip.update()

    def minimumSizeHint(self) -> QSize:
        return QSize(400, super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Take the long words if there is room, then the short day, then fewer buttons."""
        self.title.set_text(self._long)
        self.plan.setVisible(True)
        self.papers.setVisible(True)
        for chip in self.chips:
            chip.setVisible(chip.day is not None)
        for step in (self._shorten, self.papers.hide, self.plan.hide, self._only_this_day):
            if self._row.sizeHint().width() <= self.width():
                return
            step()

    def _only_this_day(self) -> None:
        for chip in self.chips:
            chip.setVisible(chip.day is not None and chip.is_here)

    def _shorten(self) -> None:
        self.title.set_text(self._short)

    @Slot()
    def _follow_actions(self) -> None:
        """A button that cannot do its work now is grey and says why."""
        for button, action in self._pairs:
            button.setEnabled(action.isEnabled())
            button.setToolTip("" if action.isEnabled() else action.toolTip())

    @Slot()
    def _chip_pressed(self) -> None:
        chip = self.sender()
        if isinstance(chip, DayChip) and chip.day is not None:
            self.day_chosen.emit(chip.day.day)
