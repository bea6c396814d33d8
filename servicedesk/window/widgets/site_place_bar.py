"""Where is this? Sets the position of the chosen site from what is typed or pasted."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QHBoxLayout, QLineEdit

from servicedesk.desk.office import Desk
from servicedesk.exchange.positions import Doubt, Pair, WorkArea, doubt_of, read_pair
from servicedesk.values.position import Position, PositionSource
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.choice import Choice
from servicedesk.window.widgets.field import SentenceField
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.words import say


class PlaceBar(Sheet):
    """`placed` carries position and how it is known. What may be wrong is asked, never mended."""

    placed = Signal(object, object)

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, stripe="ochre")
        self._desk: Desk | None = None
        self._asked = ""
        self.field = QLineEdit()
        self.field.setPlaceholderText(say("29.9541, −94.0213, a geo: address or a copied map link"))
        self.entry = SentenceField(theme, say("Where is this?"), self.field, put_in=self._put)
        self.source = Choice(theme, say("How is it known?"))
        for source, words in (
            (PositionSource.MAP, say("from a map")),
            (PositionSource.SURVEYED, say("surveyed")),
            (PositionSource.ADDRESS, say("from an address")),
            (PositionSource.GUESSED, say("guessed")),
        ):
            self.source.addItem(words, source)
        self.button = Button(theme, say("Set the place"), icon_name="pin", kind="main")
        self.told = Words(theme, color="moss", weight=600, wraps=True)
        self.told.hide()
        row = QHBoxLayout()
        row.setSpacing(10)
        row.addWidget(self.entry, 1)
        row.addWidget(self.source)
        row.addWidget(self.button)
        self.body.addLayout(row)
        self.body.addWidget(self.told)
        self.button.clicked.connect(self.look)
        self.field.returnPressed.connect(self.look)
        self.field.textEdited.connect(self._edited)

    def show_site(self, address: str, desk: Desk) -> None:
        """Ask for another site; what was typed for the one before goes away."""
        self._desk = desk
        self.field.clear()
        self.entry.clear_wrong()
        self.button.setEnabled(bool(address))
        self.field.setAccessibleName(say("Where is {address}?", address=address))

    def tell(self, sentence: str) -> None:
        """What has come of it."""
        self.told.setText(sentence)
        self.told.setVisible(bool(sentence))

    @Slot()
    def look(self) -> None:
        """Read what stands there; say what may be wrong, or send it off."""
        text = self.field.text()
        pair = read_pair(text)
        if pair is None:
            self.entry.show_wrong(
                say("No place can be read there; one is 29.9541, −94.0213.")
                if text.strip()
                else say("Type or paste where it is.")
            )
            return
        home = self._desk.company.position if self._desk is not None else None
        doubt = doubt_of(pair, WorkArea.around(home) if home is not None else None)
        place = pair.position()
        if doubt is not None and not (place is not None and self._asked == text):
            self._asked = text
            self._ask(doubt, pair)
            return
        if place is not None:
            self.entry.clear_wrong()
            self.placed.emit(place, PositionSource(self.source.currentData()))  # Qt keeps text

    def _ask(self, doubt: Doubt, pair: Pair) -> None:
        match doubt:
            case Doubt.SWAPPED:
                meant = pair.position(swapped=True)
                if meant is not None and self._is_far(meant):
                    meant = pair.position(swapped=True, west=True)
                sentence = say("Latitude and longitude seem to be exchanged.")
            case Doubt.SIGN:
                meant = pair.position(west=True)
                sentence = say("That lies in the east: is the minus of the longitude missing?")
            case Doubt.ZERO:
                meant, sentence = None, say("0, 0 lies in the sea: an empty entry, most likely.")
            case _:
                meant = None
                sentence = say(
                    "That is more than a day's drive from the office. Press again if it is right."
                )
        correction = f"{meant.lat_deg:.6f}, {meant.lon_deg:.6f}" if meant is not None else ""
        self.entry.show_wrong(sentence, correction=correction)

    def _is_far(self, place: Position) -> bool:
        home = self._desk.company.position if self._desk is not None else None
        return home is not None and not WorkArea.around(home).holds(place)

    def _put(self, text: str) -> None:
        self.field.setText(text)

    @Slot()
    def _edited(self) -> None:
        self._asked = ""
        self.entry.clear_wrong()
        self.tell("")
