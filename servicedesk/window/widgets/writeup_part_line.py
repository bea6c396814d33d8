"""One part used: a few letters or a scan, how many, and in words what follows from it."""

from collections.abc import Mapping
from dataclasses import replace

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from servicedesk.desk.office import Desk
from servicedesk.desk.writeup_part_entry import PartEntry
from servicedesk.desk.writeup_parts import PartsHere
from servicedesk.desk.writeup_parts_find import matches
from servicedesk.desk.writeup_parts_told import part_told, unit_offer
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.writeup_field import Editor
from servicedesk.window.widgets.writeup_lines import FieldsLine
from servicedesk.window.widgets.writeup_part_matches import Match, MatchList
from servicedesk.window.widgets.writeup_part_more import PartTerms, UnitFields
from servicedesk.words import say
from servicedesk.words.part_words import billing_text


class _Search(Editor):
    """The field of a part's name; the list under it goes with the keys."""

    away = Signal()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.away.emit()


class _HowMany(QLineEdit):
    """Enter goes on to the next part."""

    entered = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if is_enter and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.entered.emit()
            return
        super().keyPressEvent(event)


class PartLine(FieldsLine):
    """`edited` after each key; `finished` when the next part is wanted; `left` to leave."""

    edited = Signal()
    finished = Signal()
    left = Signal()

    def __init__(self, theme: Theme, desk: Desk, here: PartsHere) -> None:
        super().__init__()
        self._theme, self._desk, self._here = theme, desk, here
        self._entry = PartEntry()
        self._causes: Mapping[int, str | None] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(4, 4, 4, 4)
        column.setSpacing(3)
        column.addLayout(self._fields())
        self.matches = MatchList(theme)
        self.matches.chosen.connect(self.take)
        column.addWidget(self.matches)
        self.told = Words(theme, role="second", color="ink2", wraps=True)
        self.more = Button(theme, say("Change"), kind="link", small=True)
        self.more.clicked.connect(self._more_pressed)
        told = QHBoxLayout()
        told.setSpacing(6)
        told.addWidget(self.told, 1)
        told.addWidget(self.more, 0, Qt.AlignmentFlag.AlignTop)
        column.addLayout(told)
        places = [(place.id, place.name) for place in here.places.values()]
        self.terms = PartTerms(theme, places)
        self.terms.edited.connect(self._edited)
        self.terms.hide()
        self.unit = UnitFields(theme)
        self.unit.edited.connect(self._edited)
        self.wrong = Words(theme, color="clay", role="second", weight=500, wraps=True)
        for widget in (self.terms, self.unit, self.wrong):
            column.addWidget(widget)
        self.wrong.hide()
        self._tell()

    def _fields(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(8)
        self.text = _Search()
        self.text.setPlaceholderText(say("Part: a few letters, or scan"))
        self.text.setAccessibleName(say("Part"))
        self.quantity = _HowMany()
        self.quantity.setPlaceholderText("1")
        self.quantity.setAccessibleName(say("How many"))
        self.quantity.setFixedWidth(self._theme.px(56))
        self.fields = {"text": self.text, "quantity": self.quantity}
        row.addWidget(self.text, 1)
        row.addWidget(self.quantity)
        self.text.textEdited.connect(self._typed)
        self.text.stepped.connect(self._stepped)
        self.text.dropped.connect(self._dropped)
        self.text.away.connect(self._close_list)
        self.quantity.textEdited.connect(self._edited_text)
        self.quantity.entered.connect(self.finished)
        return row

    @property
    def chain(self) -> tuple[QWidget, ...]:
        """What Tab walks, in order; what is hidden is passed over."""
        return (self.text, self.quantity, self.more, *self.terms.chain, *self.unit.chain)

    @property
    def is_empty(self) -> bool:
        """Whether no part is named."""
        return not self.text.text().strip()

    @property
    def entry(self) -> PartEntry:
        """What stands here."""
        entry = replace(self._entry, text=self.text.text(), quantity=self.quantity.text())
        return self.terms.fill(replace(entry, unit=self.unit.unit))

    def show_entry(self, entry: PartEntry) -> None:
        """Show this."""
        self._entry = entry
        for field, text in ((self.text, entry.text), (self.quantity, entry.quantity)):
            if field.text() != text:
                field.setText(text)
                field.setCursorPosition(0)  # a long name shows how it begins
        self.terms.show_entry(entry)
        self.unit.show_unit(entry.unit)
        self._tell()

    def judge(self, causes: Mapping[int, str | None]) -> None:
        """What the part means with these causes found."""
        self._causes = causes
        self._tell()

    @Slot(int)
    def take(self, part_id: int) -> None:
        """This part of the catalogue; how many is asked next."""
        part = self._here.catalogue[part_id]
        self._entry = replace(self._entry, part_id=part_id, text=part.name)
        self.text.setText(part.name)
        self.text.setCursorPosition(0)
        if not self.quantity.text():
            self.quantity.setText("1")
        self.matches.show_matches(())
        self.quantity.setFocus()
        self.quantity.selectAll()
        self._edited()

    @Slot(str)
    def _typed(self, text: str) -> None:
        known = self._here.catalogue.get(self._entry.part_id or 0)
        if known is not None and text != known.name:
            self._entry = replace(self._entry, part_id=None)
        found = matches(self._here, text)
        place = self._here.places.get(self._here.truck_place_id or 0)
        self.matches.show_matches([self._match(part.id, place) for part in found])
        self._edited()

    def _match(self, part_id: int, place: object) -> Match:
        part = self._here.catalogue[part_id]
        right = part.number
        name = getattr(place, "name", "")
        if name:
            n = self._here.left(part_id, self._here.truck_place_id)
            right = say("{number} · {n} on {place}", number=right, n=n, place=name)
        return Match(part_id, part.name, right)

    @Slot(int)
    def _stepped(self, by: int) -> None:
        if by:
            self.matches.move_by(by)
        elif not self.matches.take():
            self.quantity.setFocus()
            self.quantity.selectAll()

    @Slot()
    def _dropped(self) -> None:
        if self.matches.isHidden():
            self.left.emit()
        self._close_list()

    @Slot()
    def _close_list(self) -> None:
        self.matches.show_matches(())
        self._tell()

    @Slot()
    def _more_pressed(self) -> None:
        self.terms.setVisible(self.terms.isHidden())
        if not self.terms.isHidden():
            self.terms.place.setFocus()

    @Slot(str)
    def _edited_text(self, text: str) -> None:
        self._edited()

    @Slot()
    def _edited(self) -> None:
        self._tell()
        self.edited.emit()

    def _tell(self) -> None:
        """In words what follows: where from, how many are left, what it comes to, who bears it."""
        shows = not self.is_empty
        for widget in (self.told, self.more):
            widget.setVisible(shows and self.matches.isHidden())
        if not shows:
            self.terms.hide()
            self.unit.offer("", None)
            return
        entry = self.entry
        offer = unit_offer(self._desk, self._here, entry, self._causes)
        self.unit.offer(offer.words if offer else "", offer.entry if offer else None)
        told = part_told(self._desk, self._here, entry, self._causes)
        bears = say("{billing}: {why}", billing=billing_text(told.billing), why=told.why)
        claim = say("a claim is owed") if told.claim_owed else ""
        value = told.value if told.taken_from or entry.price.strip() else ""
        facts = (*self._where(told.taken_from, told.left), value, bears, claim)
        self.told.setText(" · ".join(fact for fact in facts if fact))
        short = told.left is not None and told.left < 0
        self.told.set_color("clay" if short else "ink2")

    def _where(self, place: str, left: int | None) -> tuple[str, ...]:
        if left is None:
            return (say("in no catalogue"),) if not place else (place,)
        if left < 0:
            return (say("{place}: {n} by the book, count it", place=place, n=left),)
        if left == 0:
            return (say("{place}, none left", place=place),)
        return (say("{place}, {n} left", place=place, n=left),)
