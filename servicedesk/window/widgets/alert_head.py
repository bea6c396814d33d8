"""The head of an alert: where, how loud, why, the untested part first, what to do next."""

from PySide6.QtCore import QPointF, QSize, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QWidget

from servicedesk.desk.alert_page import AlertPage, standing_text
from servicedesk.desk.coming import first_upper
from servicedesk.desk.office import Desk
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.came_back_rows import LEVELS, level_text
from servicedesk.window.widgets.cause_bars import percent
from servicedesk.window.widgets.causes_sheet import bring_text
from servicedesk.window.widgets.dashed_note import DashedNote
from servicedesk.window.widgets.label import LinkLabel, Words
from servicedesk.window.widgets.quiet_line import QuietLine
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.site_rows import SignedLine
from servicedesk.window.widgets.site_words import symptom_icon
from servicedesk.words import say, say_n

_PARTS_NAMED = 2


class LevelMark(QWidget):
    """The level of an alert: a triangle to act on, a diamond to watch, hollow once dealt with."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme, self._level, self._is_open = theme, "watch", True
        self.setFixedSize(self.sizeHint())

    def show_level(self, level: str, *, is_open: bool) -> None:
        """Show another level."""
        self._level, self._is_open = level, is_open
        self.setAccessibleName(level_text(level))
        self.update()

    def sizeHint(self) -> QSize:
        side = self._theme.px(20)
        return QSize(side, side)

    def paintEvent(self, event: QPaintEvent) -> None:
        shape, color = LEVELS[self._level]
        with QPainter(self) as painter:
            middle = QPointF(self.width() / 2, self.height() / 2 + 1)
            Ink(painter, self._theme).mark(
                shape, middle, self._theme.px(13), color, filled=self._is_open
            )


class AlertHead(Sheet):
    """`site_wanted` when the address is pressed."""

    site_wanted = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, stripe="plum")
        self._theme = theme
        row = QHBoxLayout()
        row.setSpacing(theme.px(8))
        self.mark = LevelMark(theme)
        self.address = LinkLabel(theme, "", role="sheet_title")
        self.address.clicked.connect(self.site_wanted)
        self.level = Words(theme, role="second", weight=600)
        # a reason may be long: it wraps below and never pushes the page beyond its edge
        self.standing = Words(theme, role="second", color="ink2", wraps=True)
        row.addWidget(self.mark)
        row.addWidget(self.address)
        row.addWidget(self.level)
        row.addStretch(1)
        self.why = Words(theme, role="row_lead_alone", wraps=True)
        self.more = Words(theme, color="ink2", wraps=True)
        self.quiet = QuietLine(theme)
        self.note = DashedNote(theme)
        self.bring = SignedLine(theme, "truck", "")
        self.next = SignedLine(theme, "forward", "", strong=True)
        self.body.addLayout(row)
        below = (self.why, self.more, self.quiet, self.note, self.bring, self.next)
        for widget in (self.standing, *below):
            self.body.addWidget(widget)

    def show_alert(self, page: AlertPage, desk: Desk) -> None:
        """Show another alert."""
        line = page.detail.line
        self.mark.show_level(line.level, is_open=line.state == "open")
        self.address.setText(" · ".join(part for part in (line.address, line.label) if part))
        self.address.setAccessibleName(self.address.text())
        self.address.updateGeometry()
        self.level.setText(level_text(line.level))
        self.level.set_color(LEVELS[line.level][1])
        self.standing.setText(first_upper(standing_text(desk, line)))
        self.setAccessibleName(line.address)
        self.why.setText(first_upper(line.why) + ".")
        self.more.setText(more_text(page, desk))
        if page.thread is not None:
            self.quiet.show_thread(page.thread, desk, symptom_icon(line.symptom))
        self.quiet.setVisible(page.thread is not None)
        self.note.tell(*never_tested(page, desk))
        bring = bring_text(page.view) if page.view is not None and page.view.to_bring else ""
        self.bring.words.setText(bring)
        self.bring.setVisible(bool(bring))
        self.next.words.setText(next_text(page))


def more_text(page: AlertPage, desk: Desk) -> str:
    """The chance that one trouble is behind it, since when, what called since, how quiet it is."""
    line = page.detail.line
    parts = []
    if line.about:
        parts.append(say("{about} that one trouble is behind these calls", about=line.about))
    day = desk.formats.day(line.raised_on, near=desk.today)
    parts.append(say("raised {day}", day=day))
    if line.n_since:
        parts.append(say_n("{n} call since then", "{n} calls since then", line.n_since))
    if page.thread is not None:
        parts += [page.thread.quiet, page.thread.chance]
    return first_upper("; ".join(part for part in parts if part)) + "."


def never_tested(page: AlertPage, desk: Desk) -> tuple[str, str]:
    """The parts that nobody ever tested, and the check to begin with."""
    detail = page.detail
    if not detail.untested:
        return "", ""
    parts = "; ".join(detail.untested[:_PARTS_NAMED])
    n_more = len(detail.untested) - _PARTS_NAMED
    title = say("Never tested here: {parts}", parts=parts)
    if n_more > 0:
        title = say_n("{parts}; {n} more", "{parts}; {n} more", n_more, parts=title)
    return title, check_text(page, desk)


def check_text(page: AlertPage, desk: Desk) -> str:
    """As "Possible cause 62%: splice wet · test first: open the splices, about 12 min".

    The cause is the likeliest in the first untested part.
    """
    view, detail = page.view, page.detail
    parts = []
    causes = view.causes if view is not None else ()
    there = next((one for one in causes if one.component == detail.untested[0]), None)
    if there is not None:
        chance = percent(there.chance)
        parts.append(say("Possible cause {chance}: {cause}", chance=chance, cause=there.name))
    check = next((one for one in detail.never_done if one.id == detail.first_check), None)
    if check is not None:
        minutes = desk.formats.minutes(max(1, round(check.minutes)))
        parts.append(say("test first: {check}, about {minutes}", check=check.name, minutes=minutes))
    return " · ".join(parts)


def next_text(page: AlertPage) -> str:
    """What to do next, in one sentence."""
    thread, state = page.thread, page.detail.line.state
    if state == "settled":
        return say("Settled; it opens again by itself if this trouble calls again.")
    waits = thread is not None and any(call.is_waiting for call in thread.thread.calls)
    if page.is_put and page.next_visit:
        day = page.next_visit
        return say("The check is owed and goes with the next visit, {day}.", day=day)
    if page.is_put and waits:
        return say("A call waits: give it a visit; the check is owed and goes with it.")
    if page.is_put:
        return say("The check is owed and goes with the next visit; none is planned yet.")
    if page.next_visit:
        day = page.next_visit
        return say("Next visit {day}: put the check on it, so that it is made first.", day=day)
    if waits:
        return say("A call waits: give it a visit, and let the untested part be tested first.")
    return say("No visit is planned: plan one, or put the check on the next.")
