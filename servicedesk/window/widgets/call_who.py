"""Who and where: three signs find the site; a caller in no book is written as they say it."""

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from servicedesk.desk.intake import SIGNS, CallDraft, CallerHit, find_callers
from servicedesk.desk.office import Desk
from servicedesk.window.models.row_delegate import RowPainter
from servicedesk.window.models.row_list import Row
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.call_keys import numbered
from servicedesk.window.widgets.call_site import SiteCard
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say, say_n
from servicedesk.words.calls import number

FIND_MS = 90
NOBODY = "nobody"  # the last row: none of these


class WhoSheet(Sheet):
    """`site_chosen` carries a CallerHit, None for a caller in no book; `typed` any change.

    `done` is sent when who and where are settled and the keys may go on.
    """

    site_chosen = Signal(object)
    typed = Signal()
    done = Signal()

    def __init__(self, shell: Shell) -> None:
        super().__init__(shell.theme)
        self._shell = shell
        self._sought = ""  # what the latest question was
        self._phone_kept = ""  # the number as it was written
        self._enter_waits = False
        self.site_id: int | None = None
        self.system_id: int | None = None
        self.is_stranger = False
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(FIND_MS)
        self._timer.timeout.connect(self._find)
        self._build()
        self._arrange()

    def _build(self) -> None:
        theme = self._shell.theme
        self.field = QLineEdit()
        self.field.setAccessibleName(say("Who and where"))
        self.field.setPlaceholderText(say("three signs of a number, name, road"))
        self.field.setMinimumWidth(theme.px(230))
        self.field.textEdited.connect(self._edited)
        self.field.installEventFilter(self)
        self.told = Words(theme, role="second", color="ink2")
        row = QHBoxLayout()
        row.setSpacing(12)
        row.addWidget(numbered(theme, 1))
        row.addWidget(Words(theme, say("Who and where"), role="sheet_title"))
        row.addWidget(self.field, 2)
        row.addWidget(self.told, 1)
        self.body.addLayout(row)
        self.wrong = Words(theme, role="second", color="clay", weight=500, wraps=True)
        self.wrong.hide()
        self.body.addWidget(self.wrong)
        self.hits = RowsView(theme, say("Sites found"), RowPainter(theme, hairlines=True))
        self.hits.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.hits.opened.connect(self._pressed)
        self.body.addWidget(self.hits)
        self.card = SiteCard(theme)
        self.card.system_chosen.connect(self._system_chosen)
        self.body.addWidget(self.card)
        self.body.addWidget(self._caller_fields())

    def _caller_fields(self) -> QWidget:
        theme = self._shell.theme
        self.caller_row = QWidget()
        column = QVBoxLayout(self.caller_row)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        self.stranger_words = Words(theme, role="second", color="ochre", weight=500, wraps=True)
        self.stranger_words.setText(
            say("In no book yet: name, number or place is enough to write the call.")
        )
        column.addWidget(self.stranger_words)
        row = QHBoxLayout()
        row.setSpacing(8)
        self.name, self.phone, self.where = QLineEdit(), QLineEdit(), QLineEdit()
        self.names = {
            "caller": (self.name, say("Name")),
            "phone": (self.phone, say("Phone")),
            "where_said": (self.where, say("Where")),
        }
        for stretch, (field, words) in zip((3, 2, 4), self.names.values(), strict=True):
            field.setAccessibleName(words)
            field.setPlaceholderText(words)
            field.textEdited.connect(self._caller_edited)
            field.installEventFilter(self)
            row.addWidget(field, stretch)
        column.addLayout(row)
        return self.caller_row

    # what it holds

    def values(self) -> dict[str, object]:
        """Site, system, caller, phone and place as they stand."""
        where = self.where.text() if self.site_id is None else ""
        is_loose = self.site_id is None and not self.is_stranger
        return {
            "site_id": self.site_id,
            "system_id": self.system_id,
            "caller": self.name.text(),
            "phone": self._phone_said(),
            "where_said": where or (self.field.text() if is_loose else ""),
        }

    def _phone_said(self) -> str:
        """The number; nobody's reading of it changes how it was kept."""
        typed = self.phone.text()
        return self._phone_kept if typed == number(self._phone_kept) else typed

    def show_call(self, draft: CallDraft) -> None:
        """Begin with what a draft or a written call says; the site's card comes later."""
        self._timer.stop()
        self._sought, self._enter_waits = "", False
        self.site_id, self.system_id = draft.site_id, draft.system_id
        said = draft.caller or draft.phone or draft.where_said
        self.is_stranger = draft.site_id is None and bool(said)
        self.field.clear()
        self.name.setText(draft.caller)
        self._phone_kept = draft.phone
        self.phone.setText(number(draft.phone))
        self.where.setText(draft.where_said)
        self.hits.show_rows(())
        self.card.show_hit(None)
        self.wrong.hide()
        self._arrange()

    def show_hit(self, hit: CallerHit | None) -> None:
        """The card of the chosen site."""
        self.card.show_hit(hit, self.system_id)
        if hit is not None:
            self.name.setPlaceholderText(say("on the phone, if not {owner}", owner=hit.owner))
        self._arrange()

    def show_wrong(self, sentence: str) -> None:
        """Say what is missing; the keys go where it can be mended."""
        self.wrong.setText(sentence)
        self.wrong.show()
        self.field.setFocus()

    # typing

    @Slot(str)
    def _edited(self, text: str) -> None:
        self.wrong.hide()
        self._enter_waits = False
        self._timer.start()
        self.typed.emit()

    @Slot()
    def _caller_edited(self) -> None:
        self.wrong.hide()
        self.typed.emit()

    @Slot()
    def _find(self) -> None:
        self._timer.stop()
        text = self.field.text()
        self._sought = text
        if sum(ch.isalnum() for ch in text) < SIGNS:
            self._show_hits(text, ())
            return
        desk: Desk = self._shell.office.desk  # type: ignore[attr-defined]
        job = self._shell.ask(_found, desk, text)
        job.done.connect(self._arrived)

    @Slot(object)
    def _arrived(self, answer: tuple[str, tuple[CallerHit, ...]]) -> None:
        text, hits = answer
        if text != self._sought or text != self.field.text():
            return  # an answer to what was typed before
        self._show_hits(text, hits)
        if self._enter_waits:
            self._enter_waits = False
            self._take_chosen()

    def _show_hits(self, text: str, hits: tuple[CallerHit, ...]) -> None:
        rows = [
            Row(
                title=hit.address,
                second=hit.line,
                icon="sites",
                right=say_n("{n} open call", "{n} open calls", hit.n_open_calls)
                if hit.n_open_calls
                else "",
                right_color="plum",
                thing=hit,
            )
            for hit in hits
        ]
        enough = sum(ch.isalnum() for ch in text) >= SIGNS
        if enough:
            rows.append(
                Row(
                    title=say("None of these: write “{text}” as a new caller", text=text)
                    if hits
                    else say("In no book: write “{text}” as a new caller", text=text),
                    icon="person",
                    right=say("Enter") if not hits else "",
                    cap=not hits,
                    thing=NOBODY,
                )
            )
        self.hits.show_rows(rows)
        if rows:
            self.hits.setCurrentIndex(self.hits.rows.index(0))
        if enough:
            self.told.setText(say_n("{n} found", "{n} found", len(hits)))
        self._arrange()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() is not QEvent.Type.KeyPress or not isinstance(event, QKeyEvent):
            return False
        if event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            return False
        key = event.key()
        if watched is self.field and key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            at = self.hits.rows.step(
                self.hits.currentIndex().row(), 1 if key == Qt.Key.Key_Down else -1
            )
            if at >= 0:
                self.hits.setCurrentIndex(self.hits.rows.index(at))
            return True
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if watched is self.field:
                self._enter()
            else:
                self._next_field(watched)
            return True
        return False

    def _enter(self) -> None:
        """Choose; if the answer to what was typed is not here yet, choose when it comes."""
        text = self.field.text()
        if not text.strip():
            self.done.emit()
        elif self._timer.isActive() or text != self._sought or not self.hits.rows.rows:
            if sum(ch.isalnum() for ch in text) < SIGNS:
                self._take_stranger()
                return
            self._enter_waits = True
            self._find()
        else:
            self._take_chosen()

    def _take_chosen(self) -> None:
        thing = self.hits.chosen
        if isinstance(thing, CallerHit):
            self._take_site(thing)
        else:
            self._take_stranger()

    @Slot(object, bool)
    def _pressed(self, thing: object, beside: bool) -> None:
        self._take_chosen()

    def _take_site(self, hit: CallerHit) -> None:
        self.site_id, self.is_stranger = hit.site_id, False
        self.system_id = hit.systems[0][0] if len(hit.systems) == 1 else None
        self.hits.show_rows(())
        self.field.setText(hit.address)
        self._sought = hit.address
        self.told.setText("")
        self.show_hit(hit)
        self.typed.emit()
        self.site_chosen.emit(hit)
        self.done.emit()

    def _take_stranger(self) -> None:
        """What was typed becomes the number, the place or the name, by its look."""
        text = self.field.text().strip()
        self.site_id = self.system_id = None
        self.is_stranger = True
        target = self.name
        if sum(ch.isdigit() for ch in text) >= max(5, sum(ch.isalpha() for ch in text)):
            target = self.phone
        elif text[:1].isdigit():
            target = self.where
        target.setText(text)
        self.field.clear()
        self._sought = ""
        self.told.setText("")
        self.hits.show_rows(())
        self.card.show_hit(None)
        self.name.setPlaceholderText(say("Name"))
        self._arrange()
        self.typed.emit()
        self.site_chosen.emit(None)
        empty = [field for field, _ in self.names.values() if not field.text()]
        (empty[0] if empty else self.where).setFocus()

    def _next_field(self, field: QObject) -> None:
        fields = [one for one, _ in self.names.values() if one.isVisibleTo(self)]
        at = next((n for n, one in enumerate(fields) if one is field), len(fields))
        later = [one for one in fields[at + 1 :] if not one.text()]
        if later:
            later[0].setFocus()
        else:
            self.done.emit()

    @Slot(int)
    def _system_chosen(self, system_id: int) -> None:
        self.system_id = system_id
        self.typed.emit()

    def _arrange(self) -> None:
        self.hits.setVisible(bool(self.hits.rows.rows))
        self.caller_row.setVisible(self.is_stranger or self.site_id is not None)
        self.stranger_words.setVisible(self.is_stranger)
        self.where.setVisible(self.is_stranger)


def _found(desk: Desk, text: str) -> tuple[str, tuple[CallerHit, ...]]:
    return text, find_callers(desk, text, limit=6)
