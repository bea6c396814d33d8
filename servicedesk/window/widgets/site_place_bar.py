"""Where is this? Sets where the chosen site is: by address, coordinates, or on the map."""

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import QTimer, Signal, Slot
from PySide6.QtGui import QHideEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit

from servicedesk.desk.office import Desk
from servicedesk.desk.where_is import Whereabouts
from servicedesk.exchange.positions import Doubt, Pair, WorkArea, doubt_of, read_pair
from servicedesk.values.position import Position, PositionSource
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.choice import Choice
from servicedesk.window.widgets.field import SentenceField
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.site_rows import Flow, emptied
from servicedesk.words import say

N_FOUND = 6
_ASK_AFTER_MS = 180


class PlaceBar(Sheet):
    """`placed` carries position, how it is known, and what it was found as.

    What may be wrong is asked, never mended. `asked` wants places for a text: answer with
    `show_found`. `proposed` is a place to look at on the map, None for none; `pointing` says
    whether a press on the map is waited for: answer with `show_pointed`.
    """

    placed = Signal(object, object, str)
    asked = Signal(str)
    proposed = Signal(object)
    pointing = Signal(bool)

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, stripe="ochre")
        self._desk: Desk | None = None
        self._asked = ""
        self._place: Position | None = None  # chosen from the places found, or on the map
        self._found_as = ""
        self._own = ""  # the address of the site
        self._wanted = ""  # the text that places were asked for
        self.found: tuple[Whereabouts, ...] = ()
        self.field = QLineEdit()
        self.field.setPlaceholderText(
            say("118 Dry Hollow Lane, Mill Road and Church Lane, or 29.9541, −94.0213")
        )
        self.entry = SentenceField(theme, say("Where is this?"), self.field, put_in=self._put)
        self.source = Choice(theme, say("How is it known?"))
        for source, words in (
            (PositionSource.MAP, say("from a map")),
            (PositionSource.SURVEYED, say("surveyed")),
            (PositionSource.ADDRESS, say("from an address")),
            (PositionSource.GUESSED, say("guessed")),
        ):
            self.source.addItem(words, source)
        self.on_map = Button(theme, say("Press on the map"), key="Alt+M", small=True)
        self.on_map.setCheckable(True)
        self.on_map.toggled.connect(self.pointing)
        self.button = Button(theme, say("Set the place"), icon_name="pin", kind="main")
        self.button.setEnabled(False)  # until a site is chosen
        self.told = Words(theme, color="moss", weight=600, wraps=True)
        self.told.hide()
        self.places = Flow(gap=8)
        self.places.hide()
        self._lay_out()
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_ASK_AFTER_MS)
        self._soon.timeout.connect(self._ask_places)
        self.button.clicked.connect(self.look)
        self.field.returnPressed.connect(self.look)
        self.field.textEdited.connect(self._edited)

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        row.setSpacing(10)
        row.addWidget(self.entry, 1)
        row.addWidget(self.on_map)
        row.addWidget(self.source)
        row.addWidget(self.button)
        self.body.addLayout(row)
        self.body.addWidget(self.places)
        self.body.addWidget(self.told)

    def show_site(self, address: str, desk: Desk, *, near: str = "") -> None:
        """Ask for another site; what was typed for the one before goes away.

        Places for its own address, `near` a village, are asked for at once.
        """
        self._desk = desk
        own = f"{address}, {near}" if address and near else address
        if own == self._own:
            return  # its row was read anew: what is typed stays
        self._own = own
        if self._place is not None:
            self.tell("")  # a hint for the site before
        self.field.clear()
        self.entry.clear_wrong()
        self.button.setEnabled(bool(address))
        self.on_map.setEnabled(bool(address))
        self.on_map.setChecked(False)
        self.field.setAccessibleName(say("Where is {address}?", address=address))
        self._forget()
        self._soon.start()

    def done(self, sentence: str) -> None:
        """It is written: say so, and be ready for the next."""
        self.field.clear()
        self.entry.clear_wrong()
        self._forget()
        self.tell(sentence)

    def show_found(self, text: str, found: Sequence[Whereabouts]) -> None:
        """Places for a text, best first; none for another text than is asked for now."""
        if text != self._wanted:
            return
        self.found = tuple(found)[:N_FOUND]
        emptied(self.places.flow)
        for n, one in enumerate(self.found, start=1):
            is_said = one.kind in ("house", "street")  # “somewhere on ...” tells it already
            words = one.words if is_said else say("near {place}", place=one.words)
            button = Button(self._theme, words, key=f"Alt+{n}", small=True)
            button.clicked.connect(partial(self.choose, one))
            self.places.flow.addWidget(button)
        self.places.setVisible(bool(self.found))

    def choose(self, one: Whereabouts, _checked: bool = False) -> None:  # noqa: FBT002
        """Look at this place on the map; Enter then writes it."""
        self.entry.clear_wrong()
        self._propose(one.position, one.source, one.words)
        self.tell(
            ""
            if one.is_exact
            else say("Only near it: look on the map, and press where the site is."),
            color="ochre",
        )

    def show_pointed(self, position: Position) -> None:
        """Somebody pressed on the map."""
        self.on_map.setChecked(False)
        self.field.setText(f"{position.lat_deg:.6f}, {position.lon_deg:.6f}")
        self._propose(position, PositionSource.MAP, "")
        self.field.setFocus()

    def tell(self, sentence: str, *, color: str = "moss") -> None:
        """What has come of it."""
        self.told.set_color(color)
        self.told.setText(sentence)
        self.told.setVisible(bool(sentence))

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self.on_map.setChecked(False)
        self._own = ""
        self._forget()

    @Slot()
    def look(self) -> None:
        """Read what stands there; say what may be wrong, or send it off."""
        text = self.field.text()
        if self._place is not None:
            source = PositionSource(self.source.currentData())  # Qt keeps text
            self.placed.emit(self._place, source, self._found_as)
            return
        pair = read_pair(text)
        if pair is None:
            self._look_for_address(text)
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
            self.placed.emit(place, PositionSource(self.source.currentData()), "")

    def _look_for_address(self, text: str) -> None:
        """No pair of numbers: the first place found is looked at, a second Enter writes it."""
        if self.found and self._wanted == self._text():
            self.choose(self.found[0])
        else:
            self.entry.show_wrong(
                say(
                    "No place can be read there, and no address like that is known here;"
                    " a place is 29.9541, −94.0213. Or press on the map."
                )
                if text.strip()
                else say("Type an address or where it is, or press on the map.")
            )

    def _propose(self, position: Position, source: PositionSource, found_as: str) -> None:
        self._place, self._found_as = position, found_as
        self.source.setCurrentIndex(max(0, self.source.findData(source)))
        self.proposed.emit(position)

    def _forget(self) -> None:
        """Nothing is chosen."""
        had = self._place is not None
        self._place, self._found_as, self.found = None, "", ()
        emptied(self.places.flow)
        self.places.hide()
        if had:
            self.proposed.emit(None)

    def _text(self) -> str:
        return self.field.text().strip() or self._own

    @Slot()
    def _ask_places(self) -> None:
        self._wanted = self._text()
        if self._wanted and read_pair(self._wanted) is None:
            self.asked.emit(self._wanted)

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
        self._forget()
        self._soon.start()
