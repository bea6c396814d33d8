"""Set up: how this window looks on this computer."""

from typing import ClassVar

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QHBoxLayout, QVBoxLayout, QWidget

from servicedesk.window.places.base import Place
from servicedesk.window.settings import remember_look
from servicedesk.window.shell import Shell
from servicedesk.window.theme import TEXT_SIZES
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.words import say


class SetupPlace(Place):
    """Text size and light or dark, chosen with one press each and kept for this computer."""

    name: ClassVar[str] = "setup"

    def __init__(self, shell: Shell) -> None:
        super().__init__(shell)
        self.sizes = QButtonGroup(self)
        self.looks = QButtonGroup(self)
        margin = self.theme.tokens.space.page_margin
        column = QVBoxLayout(self)
        column.setContentsMargins(margin, 16, margin, margin)
        column.setSpacing(self.theme.tokens.space.sheet_gap)
        column.addWidget(Words(self.theme, say("Set up"), role="page_title"))
        self.sheet = Sheet(self.theme, say("This window"), say("kept on this computer only"))
        column.addWidget(self.sheet)
        column.addStretch(1)
        self._add_row(
            say("Text size"),
            self.sizes,
            [(str(size), say("{size} %", size=size)) for size in TEXT_SIZES],
        )
        self._add_row(
            say("Light or dark"),
            self.looks,
            [("", say("As the system")), ("light", say("Light")), ("dark", say("Dark"))],
        )
        self.sizes.buttonClicked.connect(self._size_chosen)
        self.looks.buttonClicked.connect(self._look_chosen)
        self.theme.changed.connect(self._show_chosen)

    def refresh(self, changed: object) -> None:
        self._show_chosen()

    def first_focus(self) -> QWidget:
        return self.sizes.checkedButton() or self.sizes.buttons()[0]

    def _add_row(self, label: str, group: QButtonGroup, choices: list[tuple[str, str]]) -> None:
        row = QHBoxLayout()
        row.setSpacing(8)
        lead = Words(self.theme, label, color="ink2")
        lead.setMinimumWidth(self.theme.px(112))
        row.addWidget(lead)
        for value, words in choices:
            button = Button(self.theme, words, kind="pill", name=f"{label}: {words}")
            button.setObjectName(value)
            group.addButton(button)
            row.addWidget(button, 0, Qt.AlignmentFlag.AlignVCenter)
        row.addStretch(1)
        self.sheet.body.addLayout(row)

    @Slot()
    def _show_chosen(self) -> None:
        for group, value in (
            (self.sizes, str(self.theme.text_size)),
            (self.looks, self.theme.chosen or ""),
        ):
            for button in group.buttons():
                button.setChecked(button.objectName() == value)

    @Slot(QAbstractButton)
    def _size_chosen(self, pressed: QAbstractButton) -> None:
        self.theme.set_text_size(int(pressed.objectName()))
        remember_look(self.theme)

    @Slot(QAbstractButton)
    def _look_chosen(self, pressed: QAbstractButton) -> None:
        name = pressed.objectName()
        self.theme.use("light" if name == "light" else "dark" if name == "dark" else None)
        remember_look(self.theme)
