"""Today: it came back. The most pressing trouble with its untested part, the others below."""

from typing import Any

from PySide6.QtCore import QTimer, Signal, Slot
from PySide6.QtWidgets import QHBoxLayout

from servicedesk.desk.alert_lines import AlertLine
from servicedesk.desk.alerts import look_for_alerts
from servicedesk.desk.came_back import CameBack, came_back
from servicedesk.desk.coming import first_upper
from servicedesk.desk.office import Desk
from servicedesk.desk.put_check import put_on_next_visit
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.alert_head import LevelMark, never_tested
from servicedesk.window.widgets.alert_page import checks_to_do
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.came_back_rows import LEVELS, AlertPainter, alert_row, level_text
from servicedesk.window.widgets.dashed_note import DashedNote
from servicedesk.window.widgets.label import LinkLabel, Words
from servicedesk.window.widgets.quiet_line import QuietLine
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.site_rows import Flow
from servicedesk.window.widgets.site_words import symptom_icon
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say, say_n

_LOOK_AFTER_MS = 4_000


class CameBackSheet(Sheet):
    """`told` carries how many stand open. Looks once a day, each morning, for what is new."""

    told = Signal(int)

    def __init__(self, shell: Shell) -> None:
        theme = shell.theme
        super().__init__(theme, say("It came back"), " ", stripe="plum", title_color="plum")
        self._shell = shell
        self._asked: object = None
        self._looked_on: object = None
        self.back: CameBack | None = None
        self.all = Button(theme, say("All of them"), kind="link")
        self.all.clicked.connect(self._open_all)
        self.head.addWidget(self.all)
        row = QHBoxLayout()
        row.setSpacing(theme.px(8))
        self.mark = LevelMark(theme)
        self.level = Words(theme, role="second", weight=600)
        self.address = LinkLabel(theme, "", color="ink")
        self.address.clicked.connect(self._open_first)
        row.addWidget(self.mark)
        row.addWidget(self.address)
        row.addWidget(self.level)
        row.addStretch(1)
        self.why = Words(theme, color="ink2", wraps=True)
        self.quiet = QuietLine(theme)
        self.note = DashedNote(theme)
        self.others = RowsView(theme, say("Others that came back"), AlertPainter(theme))
        self.others.opened.connect(self._open_thing)
        self.more = Words(theme, role="second", color="ink2")
        self.none = Words(theme, color="ink2", wraps=True)
        self.none.setText(
            say("Nothing has come back. A site that calls again for one trouble stands here.")
        )
        self._lay_out(row)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_LOOK_AFTER_MS)
        self._soon.timeout.connect(self._look)
        self._show()

    def _lay_out(self, head: QHBoxLayout) -> None:
        self.body.addWidget(self.none)
        self.body.addLayout(head)
        for widget in (self.why, self.quiet, self.note):
            self.body.addWidget(widget)
        self.body.addWidget(self._buttons())
        self.body.addWidget(self.others)
        self.body.addWidget(self.more)

    def _buttons(self) -> Flow:
        row = Flow(gap=8)
        theme = self._theme
        self.open = Button(theme, say("Open it"), icon_name="again", kind="main")
        self.open.clicked.connect(self._open_first)
        self.put = Button(theme, say("Put the check on the visit"))
        self.put.clicked.connect(self._put_check)
        row.flow.addWidget(self.open)
        row.flow.addWidget(self.put)
        return row

    @property
    def _desk(self) -> Desk:
        found: Desk = self._shell.office.desk  # type: ignore[attr-defined]
        return found

    def read(self) -> None:
        """Ask anew; a day that has not been looked at yet is looked at in a moment."""
        job = self._shell.ask(came_back, self._desk)
        self._asked = job
        job.done.connect(self._arrived)

    @Slot(object)
    def _arrived(self, back: CameBack) -> None:
        if self.sender() is not self._asked:
            return
        self.back = back
        self._show()
        self.told.emit(back.n_open)
        if self._looked_on != self._desk.today:
            self._soon.start()

    def _show(self) -> None:
        back = self.back
        page = back.first if back is not None else None
        self.none.setVisible(page is None)
        self.set_stripe("plum" if page is not None else "")
        for widget in (
            self.mark,
            self.address,
            self.level,
            self.why,
            self.open,
            self.put,
            self.all,
        ):
            widget.setVisible(page is not None)
        self.quiet.setVisible(page is not None and page.thread is not None)
        rest = back.lines[1:] if back is not None else ()
        self.others.setVisible(bool(rest))
        self.more.hide()
        if back is None or page is None:
            self.note.tell("", "")
            self.hint_label.setText("")
            return
        desk, line = self._desk, page.detail.line
        self.hint_label.setText(say_n("{n} open", "{n} open", back.n_open))
        self.mark.show_level(line.level, is_open=True)
        self.level.setText(level_text(line.level))
        self.level.set_color(LEVELS[line.level][1])
        self.address.setText(line.address)
        self.address.updateGeometry()
        self.why.setText(first_upper(line.why) + ".")
        if page.thread is not None:
            self.quiet.show_thread(page.thread, desk, symptom_icon(line.symptom))
        self.note.tell(*never_tested(page, desk))
        self.put.setEnabled(bool(page.detail.never_done))
        self.others.show_rows([alert_row(desk, one) for one in rest])
        n_more = back.n_open - len(back.lines)
        self.more.setText(say_n("and {n} more", "and {n} more", n_more))
        self.more.setVisible(n_more > 0)

    # what is pressed

    @Slot()
    def _open_first(self) -> None:
        if self.back is not None and self.back.first is not None:
            self._shell.go("came_back", self.back.first.detail.line.id)

    @Slot()
    def _open_all(self) -> None:
        self._shell.go("came_back")

    @Slot(object, bool)
    def _open_thing(self, thing: object, beside: bool) -> None:
        if isinstance(thing, AlertLine):
            self._shell.go("came_back", thing.id, beside=beside)

    @Slot()
    def _put_check(self) -> None:
        if self.back is not None and self.back.first is not None:
            self._shell.change(put_on_next_visit, self._desk, checks_to_do(self.back.first))

    @Slot()
    def _look(self) -> None:
        """Each morning: is anything new among the calls?"""
        self._looked_on = self._desk.today
        job = self._shell.ask(look_for_alerts, self._desk, title=say("Looking at all calls"))
        job.done.connect(self._looked)

    @Slot(object)
    def _looked(self, changed: Any) -> None:
        if changed.rows:
            self._shell.bus.changed.emit(changed)
