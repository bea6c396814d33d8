"""The top of the year: title and papers, then which sheet, which span, which rows."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QBoxLayout, QButtonGroup, QHBoxLayout, QWidget

from servicedesk.window.actions import Actions
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button, Kind
from servicedesk.window.widgets.choice import Choice
from servicedesk.window.widgets.label import OneLine, Words
from servicedesk.window.widgets.site_rows import Flow
from servicedesk.words import say
from servicedesk.words.renewal_reasons import decision_text

RENEWALS, INSPECTIONS, OUTLOOK = "renewals", "inspections", "outlook"
SOON, OTHER = "soon", "other"


class YearHead(QWidget):
    """Papers stand beside the title, or below it where both have no room side by side."""

    sheet_wanted = Signal(str)
    span_wanted = Signal(str)
    rows_wanted = Signal(str)

    def __init__(self, theme: Theme, keys: Actions) -> None:
        super().__init__()
        self._theme = theme
        column = QBoxLayout(QBoxLayout.Direction.TopToBottom, self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._row.setSpacing(8)
        title = QHBoxLayout()
        self.heading = Words(theme, say("Year"), role="page_title")
        self.of = OneLine(theme, color="ink2")
        title.addWidget(self.heading)
        title.addSpacing(14)
        title.addWidget(self.of, 1)
        self._buttons = QHBoxLayout()
        self._buttons.setSpacing(8)
        self._row.addLayout(title, 1)
        self._row.addLayout(self._buttons)
        column.addLayout(self._row)
        self._add_papers(keys)
        column.addWidget(self._filters())

    def _add_papers(self, keys: Actions) -> None:
        self.again = self._button(keys, "again", say("Work out"), "again", "R")
        self.wording = self._button(keys, "wording", say("Wording…"), "note", "W")
        self.letters = self._button(keys, "letters", say("Letters…"), "print", "Ctrl+P")
        self.sheet = self._button(
            keys, "sheet", say("Write the renewals sheet"), "out", "S", kind="main"
        )
        self.list = self._button(keys, "list", say("List of it"), "out", "L")
        self.again.hide()
        self._buttons.addStretch(1)

    def _button(
        self, keys: Actions, act: str, words: str, icon: str, key: str, kind: Kind = "plain"
    ) -> Button:
        button = Button(self._theme, words, icon_name=icon, key=key, kind=kind, shows_only=True)
        button.clicked.connect(keys[act].trigger)
        keys[act].enabledChanged.connect(button.setEnabled)
        self._buttons.addWidget(button)
        return button

    def _filters(self) -> QWidget:
        flow = Flow(gap=6)
        self.sheets = self._pills(flow, {
            RENEWALS: say("Renewals"), INSPECTIONS: say("Inspections of the year"),
            OUTLOOK: say("Outlook"),
        })  # fmt: skip
        self.sheets.buttonClicked.connect(self._sheet_pressed)
        self._gap = Words(self._theme, "\u2002")
        flow.flow.addWidget(self._gap)
        self.spans = self._pills(flow, {SOON: "", "this": "", "next": "", OTHER: ""})
        self.spans.buttonClicked.connect(self._span_pressed)
        self.which = Choice(self._theme, say("Which rows"))
        for name, words in _which_words():
            self.which.addItem(words, name)
        self.which.activated.connect(self._which_chosen)
        flow.flow.addWidget(self.which)
        return flow

    def _pills(self, flow: Flow, names: dict[str, str]) -> QButtonGroup:
        group = QButtonGroup(self)
        for name, words in names.items():
            pill = Button(self._theme, words, kind="pill")
            pill.setObjectName(name)
            group.addButton(pill)
            flow.flow.addWidget(pill)
        return group

    def show_sheet(self, sheet: str) -> None:
        """Which sheet is shown; what belongs to another is put away."""
        _press(self.sheets, sheet)
        has_rows = sheet == RENEWALS
        for widget in (*self.spans.buttons(), self.which, self._gap, self.letters, self.wording,
                       self.sheet):  # fmt: skip
            widget.setVisible(has_rows)
        self.list.setVisible(not has_rows)
        self._settle()

    @property
    def chosen_sheet(self) -> QWidget:
        """The button of the sheet that is shown: it takes the keys where no list can."""
        pressed = [one for one in self.sheets.buttons() if one.isChecked()]
        return pressed[0] if pressed else self.sheets.buttons()[0]

    def show_spans(self, words: dict[str, str], chosen: str) -> None:
        """What the spans are called, and which is chosen."""
        for pill in self.spans.buttons():
            pill.setText(words[pill.objectName()])
        _press(self.spans, chosen)

    @Slot(QAbstractButton)
    def _sheet_pressed(self, button: QAbstractButton) -> None:
        self.sheet_wanted.emit(button.objectName())

    @Slot(QAbstractButton)
    def _span_pressed(self, button: QAbstractButton) -> None:
        self.span_wanted.emit(button.objectName())

    @Slot(int)
    def _which_chosen(self, _at: int) -> None:
        self.rows_wanted.emit(str(self.which.currentData()))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._settle()

    def _settle(self) -> None:
        wanted = self.heading.sizeHint().width() + self._buttons.sizeHint().width() + 190
        turn = QBoxLayout.Direction
        self._row.setDirection(turn.LeftToRight if wanted <= self.width() else turn.TopToBottom)


def _press(group: QButtonGroup, name: str) -> None:
    for button in group.buttons():
        button.setChecked(button.objectName() == name)


def _which_words() -> tuple[tuple[str, str], ...]:
    decisions = ("raise", "call_first", "renew", "after_visit", "not_renew", "renewed")
    return (
        ("all", say("All contracts")),
        ("open", say("Not decided yet")),
        *((code, decision_text(code)) for code in decisions),
        ("to_offer", say("Offer not sent yet")),
        ("unanswered", say("Offer not answered")),
        ("to_remind", say("To be reminded now")),
    )
