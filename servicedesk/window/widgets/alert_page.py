"""One alert with its buttons: head and acts stay, the rest scrolls."""

from PySide6.QtCore import Qt, QTimer, Slot
from PySide6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

from servicedesk.desk.alert_page import AlertPage
from servicedesk.desk.office import Desk
from servicedesk.desk.put_check import ChecksToDo
from servicedesk.window.actions import Actions
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.alert_detail import ChecksSheet, FleetSheet, TriedSheet, in_order
from servicedesk.window.widgets.alert_head import AlertHead
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.causes_sheet import CausesSheet
from servicedesk.window.widgets.site_rows import Flow
from servicedesk.words import say


class AlertView(QScrollArea):
    """Shows what `desk.alert_page` brought; its buttons are the place's actions."""

    def __init__(self, theme: Theme, keys: Actions) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.head = AlertHead(theme)
        self.causes = CausesSheet(theme, with_next=False)
        self.checks = ChecksSheet(theme)
        self.tried = TriedSheet(theme)
        self.fleet = FleetSheet(theme)
        self.head.body.addWidget(_buttons(theme, keys))
        self._inside = inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 4, 0)
        column.setSpacing(theme.tokens.space.sheet_gap)
        for sheet in (self.head, self.causes, self.checks, self.tried, self.fleet):
            column.addWidget(sheet)
        column.addStretch(1)
        self.setWidget(inside)
        self._shown: int | None = None
        self._later: tuple[AlertPage, Desk] | None = None
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(1)
        self._soon.timeout.connect(self._show_later)
        inside.hide()

    def show_page(self, page: AlertPage, desk: Desk, *, was_asked: bool) -> None:
        """Show an alert; another than before begins at its top."""
        self.head.show_alert(page, desk)
        if page.view is not None:
            self.causes.show_view(page.view, desk)
        self.causes.setVisible(page.view is not None)
        self.checks.show_detail(page.detail, desk)
        self.fleet.show_detail(page.detail, was_asked=was_asked)
        self._inside.show()
        self._later = (page, desk)
        self._soon.start()
        if self._shown != page.detail.line.id:
            self.verticalScrollBar().setValue(0)
        self._shown = page.detail.line.id

    @Slot()
    def _show_later(self) -> None:
        """The visits, once the rest stands: a long history is many texts to lay out."""
        if self._later is not None:
            page, desk = self._later
            self._later = None
            self.tried.show_page(page, desk)


def checks_to_do(page: AlertPage) -> ChecksToDo:
    """What is put on a visit for an alert."""
    line, detail = page.detail.line, page.detail
    return ChecksToDo(
        site_id=line.site_id or 0,
        system_id=line.system_id,
        checks=in_order(detail),
        to_bring=detail.to_bring,
    )


def _buttons(theme: Theme, keys: Actions) -> Flow:
    """One main act, then the others, as they are used."""
    row = Flow(gap=8)
    for act, words, key in (
        ("put_check", say("Put the check on the next visit"), "V"),
        ("plan", say("Plan a visit…"), "W"),
        ("site", say("Site file"), "F"),
        ("opinion", say("Second opinion"), "Ctrl+P"),
        ("seen", say("Looked at"), "L"),
        ("put_off", say("Put off…"), "P"),
        ("settle", say("Settle…"), "S"),
    ):
        is_main = act == "put_check"
        button = Button(
            theme, words, icon_name="plus" if is_main else "", key=key, shows_only=True,
            kind="main" if is_main else "plain",
        )  # fmt: skip
        button.setObjectName(act)
        button.clicked.connect(keys[act].trigger)
        keys[act].enabledChanged.connect(button.setEnabled)
        row.flow.addWidget(button)
    return row
