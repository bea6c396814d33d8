"""One job of a visit: its outcome, why not, what was found and done, how lasting it is."""

from dataclasses import replace

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QButtonGroup,
    QGridLayout,
    QHBoxLayout,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from servicedesk.desk.writeup_behind import WORKAROUNDS
from servicedesk.desk.writeup_entry import JobEntry
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.choice import Tick
from servicedesk.window.widgets.field import SentenceField
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.writeup_keys import outcome_letters, outcome_name
from servicedesk.words import say
from servicedesk.words.jobs import COULD_NOT_REASONS, could_not_text

_LABEL_PX = 62


def fix_text(fix: str) -> str:
    """How lasting a mending is, in words."""
    return {
        "fixed": say("Lasting fix"),
        "patched": say("Workaround"),
        "reset only": say("Only freed, dried or reset"),
    }[fix]


class JobPanel(QWidget):
    """`edited` after each change; `fill` puts what stands here into an entry.

    `patched` is sent when the mending does not last: what is owed is asked next.
    """

    edited = Signal()
    patched = Signal()

    def __init__(
        self, theme: Theme, *, job_id: int, title: str, about: str, is_inspection: bool
    ) -> None:
        super().__init__()
        self._theme = theme
        self.job_id = job_id
        self.is_inspection = is_inspection
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(6)
        self._title = Words(theme, title, role="row_lead", wraps=True)
        self._column.addWidget(self._title)
        if about:
            self._column.addWidget(Words(theme, about, role="second", color="ink2", wraps=True))
        self.outcomes = self._outcome_row()
        self._wrong = Words(theme, color="clay", role="second", weight=500, wraps=True)
        self._column.addWidget(self._wrong)
        self._wrong.hide()
        self._why = self._why_box()
        self._work = self._work_box()
        self._column.addWidget(self._why)
        self._column.addWidget(self._work)
        self._show_parts()

    @property
    def outcome(self) -> str:
        """Its outcome, "" if not said yet."""
        pressed = self.outcomes.checkedButton()
        return pressed.objectName() if pressed is not None else ""

    @property
    def asks_why(self) -> bool:
        """Whether the reason is still open."""
        return self.outcome == "could not" and self.reasons.checkedButton() is None

    def set_outcome(self, outcome: str) -> None:
        """Say how it went; *could not* asks for the reason next."""
        for button in self.outcomes.buttons():
            button.setChecked(button.objectName() == outcome)
        self._outcome_pressed()

    def set_reason(self, n: int) -> bool:
        """Say the nth reason, from 1; whether there is one."""
        buttons = self.reasons.buttons()
        if not 1 <= n <= len(buttons):
            return False
        buttons[n - 1].click()
        return True

    def show_entry(self, job: JobEntry) -> None:
        """Show what is written of it."""
        for group, value in (
            (self.outcomes, job.outcome),
            (self.reasons, job.could_not),
            (self.fixes, job.fix),
        ):
            _check(group, value)
        self.found.setText(job.found)
        self.did.setText(job.did)
        self.told.setText(job.told_whom)
        self.note_left.setChecked(job.note_left)
        self._show_parts()

    def fill(self, job: JobEntry) -> JobEntry:
        """The entry with what stands here."""
        return replace(
            job,
            outcome=self.outcome,
            could_not=_checked(self.reasons) if self.outcome == "could not" else "",
            found=self.found.text(),
            did=self.did.text(),
            told_whom=self.told.text(),
            note_left=self.note_left.isChecked(),
            fix=_checked(self.fixes),
        )

    def show_wrong(self, field: str, sentence: str) -> None:
        """Say under the outcome, or under the pills it is about, what is wrong."""
        target = self._fix_wrong if field == "fix" and not self.is_inspection else self._wrong
        target.setText(sentence)
        target.setVisible(bool(sentence))

    def clear_wrong(self) -> None:
        """Nothing is wrong, or not judged yet."""
        self._wrong.hide()
        self._fix_wrong.hide()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        digit = event.text() if not event.modifiers() else ""
        if digit.isdigit() and self.outcome == "could not" and self.set_reason(int(digit)):
            return
        fixes = self.fixes.buttons()
        if digit in ("1", "2", "3") and any(button.hasFocus() for button in fixes):
            fixes[int(digit) - 1].click()
            return
        super().keyPressEvent(event)

    def _outcome_row(self) -> QButtonGroup:
        group = QButtonGroup(self)
        row = QHBoxLayout()
        row.setContentsMargins(3, 3, 3, 3)
        row.setSpacing(8)
        for outcome, letter in outcome_letters().items():
            button = Button(
                self._theme, outcome_name(outcome), kind="pill", key=letter, shows_only=True
            )
            button.setObjectName(outcome)
            group.addButton(button)
            row.addWidget(button)
        row.addStretch(1)
        self._column.addLayout(row)
        group.buttonClicked.connect(self._outcome_pressed)
        return group

    def _why_box(self) -> QWidget:
        box = QWidget()
        column = QVBoxLayout(box)
        column.setContentsMargins(3, 0, 3, 0)
        column.setSpacing(6)
        column.addWidget(Words(self._theme, say("Why not?"), role="second", weight=600))
        self.reasons = QButtonGroup(self)
        grid = QGridLayout()
        grid.setSpacing(6)
        for n, reason in enumerate(COULD_NOT_REASONS, start=1):
            button = Button(
                self._theme, could_not_text(reason), kind="pill", key=str(n), shows_only=True
            )
            button.setObjectName(reason)
            self.reasons.addButton(button)
            grid.addWidget(button, (n - 1) // 2, (n - 1) % 2)
        column.addLayout(grid)
        self.told = QLineEdit()
        column.addWidget(SentenceField(self._theme, say("Told"), self.told, label_px=_LABEL_PX))
        self.note_left = Tick(self._theme, say("A note was left"))
        column.addWidget(self.note_left)
        self.reasons.buttonClicked.connect(self._reason_pressed)
        self.told.textEdited.connect(self._text_edited)
        self.note_left.toggled.connect(self._toggled)
        return box

    def _work_box(self) -> QWidget:
        box = QWidget()
        column = QVBoxLayout(box)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        self.found, self.did = QLineEdit(), QLineEdit()
        for label, field in ((say("Found"), self.found), (say("Did"), self.did)):
            column.addWidget(SentenceField(self._theme, label, field, label_px=_LABEL_PX))
            field.textEdited.connect(self._text_edited)
        self.fixes = QButtonGroup(self)
        self.fixes.setExclusive(False)  # pressed again, a pill is let go
        grid = QGridLayout()
        grid.setContentsMargins(3, 4, 3, 2)
        grid.setSpacing(8)
        for n, fix in enumerate(("fixed", "patched", "reset only")):
            button = Button(
                self._theme, fix_text(fix), kind="pill", key=str(n + 1), shows_only=True
            )
            button.setObjectName(fix)
            self.fixes.addButton(button)
            grid.addWidget(button, n // 2, n % 2, 1, 2 if fix == "reset only" else 1)
        grid.setColumnStretch(2, 1)
        column.addLayout(grid)
        self._fix_wrong = Words(self._theme, color="clay", role="second", weight=500, wraps=True)
        self._fix_wrong.hide()
        column.addWidget(self._fix_wrong)
        self.fixes.buttonClicked.connect(self._fix_pressed)
        return box

    @Slot()
    def _outcome_pressed(self) -> None:
        self._show_parts()
        if self.asks_why:
            self.reasons.buttons()[0].setFocus(Qt.FocusReason.OtherFocusReason)
        self.edited.emit()

    @Slot(QAbstractButton)
    def _reason_pressed(self, pressed: QAbstractButton) -> None:
        self.edited.emit()

    @Slot(QAbstractButton)
    def _fix_pressed(self, pressed: QAbstractButton) -> None:
        for button in self.fixes.buttons():
            if button is not pressed:
                button.setChecked(False)
        self.edited.emit()
        if pressed.isChecked() and pressed.objectName() in WORKAROUNDS:
            self.patched.emit()

    @Slot(bool)
    def _toggled(self, on: bool) -> None:
        self.edited.emit()

    @Slot(str)
    def _text_edited(self, text: str) -> None:
        self.edited.emit()

    def _show_parts(self) -> None:
        could_not = self.outcome == "could not"
        self._why.setVisible(could_not)
        self._work.setVisible(not self.is_inspection and not could_not)


def _check(group: QButtonGroup, value: str) -> None:
    exclusive = group.exclusive()
    group.setExclusive(False)
    for button in group.buttons():
        button.setChecked(button.objectName() == value)
    group.setExclusive(exclusive)


def _checked(group: QButtonGroup) -> str:
    return next((b.objectName() for b in group.buttons() if b.isChecked()), "")
