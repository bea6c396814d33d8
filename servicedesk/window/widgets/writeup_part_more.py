"""What else can be said of a part: where from, who bears it, its price, the unit it replaces."""

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from servicedesk.desk.part_billing import BILLINGS
from servicedesk.desk.unit_change import FAILED, WHEREABOUTS
from servicedesk.desk.writeup_part_entry import PartEntry, UnitEntry
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.choice import Choice, Tick
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.writeup_left import TickWords
from servicedesk.words import say
from servicedesk.words.part_words import billing_text, whereabouts_text


class PartTerms(QWidget):
    """Where a part was taken from, who bears it, its price; hidden until somebody asks."""

    edited = Signal()

    def __init__(self, theme: Theme, places: Sequence[tuple[int, str]]) -> None:
        super().__init__()
        grid = _grid(self)
        self.place = Choice(theme, say("From"))
        self.place.addItem(say("truck of the round"), None)
        for place_id, name in places:
            self.place.addItem(name, place_id)
        self.billing = Choice(theme, say("Who pays"))
        self.billing.addItem(say("as worked out"), "")
        for one in BILLINGS:
            self.billing.addItem(billing_text(one), one)
        self.price = QLineEdit()
        self.price.setPlaceholderText(say("the catalogue's"))
        self.price.setAccessibleName(say("Price of one"))
        rows = (
            (say("From"), self.place),
            (say("Who pays"), self.billing),
            (say("Each"), self.price),
        )
        self.chain: tuple[QWidget, ...] = (self.place, self.billing, self.price)
        for n, (label, field) in enumerate(rows):
            grid.addWidget(Words(theme, label, role="second", color="ink2"), n, 0)
            grid.addWidget(field, n, 1)
        self.place.activated.connect(self._changed)
        self.billing.activated.connect(self._changed)
        self.price.textEdited.connect(self._changed)

    def show_entry(self, entry: PartEntry) -> None:
        """Show what is said so far."""
        self.place.setCurrentIndex(max(0, self.place.findData(entry.place_id)))
        self.billing.setCurrentIndex(max(0, self.billing.findData(entry.billing)))
        if self.price.text() != entry.price:
            self.price.setText(entry.price)

    def fill(self, entry: PartEntry) -> PartEntry:
        """The entry with what stands here."""
        place_id = self.place.currentData()
        billing = self.billing.currentData()
        return replace(entry, place_id=place_id, billing=billing, price=self.price.text())

    @Slot(int)
    @Slot(str)
    def _changed(self, _: object) -> None:
        self.edited.emit()


class UnitFields(QWidget):
    """The unit that a part takes the place of: a tick, and what is asked once it is set."""

    edited = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._unit = UnitEntry(component="")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        self.tick = Tick(theme, "")
        self.tick.toggled.connect(self._toggled)
        self.words = TickWords(theme, "", self.tick)
        row = QHBoxLayout()
        row.setContentsMargins(0, 2, 0, 2)
        row.setSpacing(2)
        row.addWidget(self.tick, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self.words, 1)
        column.addLayout(row)
        self._box = QWidget()
        self._build_fields(theme)
        self.where.activated.connect(self._chosen)
        column.addWidget(self._box)
        self._box.hide()

    def _build_fields(self, theme: Theme) -> None:
        """What is asked of the new unit and the old one, a row each."""
        grid = _grid(self._box)
        self.serial, self.why, self.warranty, self.model = (QLineEdit() for _ in range(4))
        self.where = Choice(theme, say("The old one is"))
        self.where.addItem("—", "")
        for one in WHEREABOUTS:
            self.where.addItem(whereabouts_text(one), one)
        self.why.setPlaceholderText(say("failed, or why else"))
        self.warranty.setPlaceholderText(say("2 years, or its last day"))
        self.model.setPlaceholderText(say("the same"))
        self._rows = (
            (say("Serial"), self.serial),
            (say("Model"), self.model),
            (say("Warranty"), self.warranty),
            (say("Came out"), self.why),
            (say("Old one"), self.where),
        )
        self.chain: tuple[QWidget, ...] = (self.tick, *(field for _, field in self._rows))
        self._labels: list[Words] = []
        for n, (label, field) in enumerate(self._rows):
            words = Words(theme, label, role="second", color="ink2")
            field.setAccessibleName(label)
            grid.addWidget(words, n, 0)
            grid.addWidget(field, n, 1)
            self._labels.append(words)
            if isinstance(field, QLineEdit):
                field.textEdited.connect(self._typed)
        self.hide()

    def offer(self, words: str, unit: UnitEntry | None) -> None:
        """Offer this unit to be replaced, in words; None where the part is no unit."""
        if unit is None:
            self.hide()
            self.tick.blockSignals(True)
            self.tick.setChecked(False)
            self.tick.blockSignals(False)
            return
        if (unit.component, unit.old_unit_id) != (self._unit.component, self._unit.old_unit_id):
            self._unit = unit
        self.words.setText(words)
        self.tick.setAccessibleName(words)
        is_old = unit.old_unit_id is not None
        for label, (_, field) in list(zip(self._labels, self._rows, strict=True))[3:]:
            label.setVisible(is_old)
            field.setVisible(is_old)
        self.show()
        self._box.setVisible(self.tick.isChecked())

    def show_unit(self, unit: UnitEntry | None) -> None:
        """Show what is said of it; None: it replaces nothing."""
        self.tick.blockSignals(True)
        self.tick.setChecked(unit is not None)
        self.tick.blockSignals(False)
        self._box.setVisible(unit is not None)
        self.setVisible(unit is not None)  # hidden it would say nothing
        if unit is None:
            return
        self._unit = unit
        pairs = ((self.serial, unit.serial), (self.model, unit.model), (self.why, unit.why),
                 (self.warranty, unit.warranty))  # fmt: skip
        for field, text in pairs:
            if field.text() != text:
                field.setText(text)
        self.where.setCurrentIndex(max(0, self.where.findData(unit.whereabouts)))

    @property
    def unit(self) -> UnitEntry | None:
        """What stands here, None where the part replaces nothing."""
        if self.isHidden() or not self.tick.isChecked():
            return None
        return replace(
            self._unit,
            serial=self.serial.text(),
            model=self.model.text(),
            warranty=self.warranty.text(),
            why=self.why.text(),
            whereabouts=self.where.currentData(),
        )

    @Slot(bool)
    def _toggled(self, on: bool) -> None:
        self._box.setVisible(on)
        if on:
            if not self.why.text() and self._unit.old_unit_id is not None:
                self.why.setText(self._unit.why or FAILED)
            self.serial.setFocus()
        self.edited.emit()

    @Slot(str)
    def _typed(self, text: str) -> None:
        self.edited.emit()

    @Slot(int)
    def _chosen(self, n: int) -> None:
        self.edited.emit()


def _grid(parent: QWidget) -> QGridLayout:
    grid = QGridLayout(parent)
    grid.setContentsMargins(14, 2, 4, 2)
    grid.setHorizontalSpacing(10)
    grid.setVerticalSpacing(4)
    grid.setColumnStretch(1, 1)
    return grid
