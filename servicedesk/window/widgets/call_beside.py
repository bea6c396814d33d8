"""Beside the form: what must be said now, the soonest places, what happened there before."""

from collections.abc import Iterable, Sequence

from PySide6.QtCore import QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from servicedesk.desk.coming import first_upper
from servicedesk.desk.office import Desk
from servicedesk.desk.phone_page import Beside
from servicedesk.desk.soonest import SoonestPlace, SoonestPlaces, cost_text
from servicedesk.trade.say_this_now import say_this_now
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.dashed_note import DashedNote
from servicedesk.window.widgets.label import IconSign, Words, key_cap_size
from servicedesk.window.widgets.sheet import Hairline, Sheet
from servicedesk.words import say

_EARLIER_SHOWN = 6


class SayThisNow(QWidget):
    """The cautions for the caller, in full. It appears with the first symptom and stays."""

    def __init__(self, theme: Theme, emergency_phone: str) -> None:
        super().__init__()
        self._theme = theme
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 12, 14, 12)
        column.setSpacing(6)
        head = QHBoxLayout()
        head.setSpacing(8)
        head.addWidget(IconSign(theme, "warn", "clay", 20))
        head.addWidget(Words(theme, say("Say this now"), role="sheet_title", color="clay"), 1)
        column.addLayout(head)
        grid = QGridLayout()
        grid.setContentsMargins(4, 0, 0, 0)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(1, 1)
        self._grid = grid
        self._rows: dict[str, tuple[Words, Words]] = {}
        self._texts: dict[str, str] = {}
        for one in say_this_now(emergency_phone):
            dot = Words(theme, "•", color="clay", weight=600)
            self._rows[one.id] = (dot, Words(theme, one.text, weight=500, wraps=True))
            self._texts[one.id] = one.text
        self._first: list[str] | None = None
        self._order: list[str] = []
        self.put_first(())
        column.addLayout(grid)
        self.setAccessibleName(say("Say this now"))
        self.hide()

    @property
    def texts(self) -> tuple[str, ...]:
        """The sentences in the order in which they are read aloud."""
        return tuple(self._texts[one] for one in self._order)

    def put_first(self, ids: Iterable[str]) -> None:
        """Read these sentences aloud first, for a danger stands; none is left out."""
        first = [one for one in ids if one in self._rows]
        if first == self._first:
            return
        self._first = first
        self._order = [*first, *(one for one in self._rows if one not in first)]
        top = Qt.AlignmentFlag.AlignTop
        for n, one in enumerate(self._order):
            dot, words = self._rows[one]
            self._grid.addWidget(dot, n, 0, top)
            self._grid.addWidget(words, n, 1, top)
            words.set_color("clay" if one in first else "ink")
        self.setAccessibleDescription(" ".join(self.texts))

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            Ink(painter, self._theme).panel(
                QRectF(self.rect()),
                fill="sheet" if self._theme.outlined else "soft.clay",
                edge="clay",
                radius=self._theme.tokens.radius.sheet,
            )


class PlaceButton(QAbstractButton):
    """One of the soonest places: chosen with its key, taken when the call is written."""

    def __init__(self, theme: Theme, number: int) -> None:
        super().__init__()
        self._theme, self._number = theme, number
        self._texts = ("", "", "", "")
        self._is_bad = False
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.updateGeometry)

    def show_place(self, desk: Desk, place: SoonestPlace) -> None:
        """What this place is and costs."""
        cost, late = cost_text(desk, place)
        self._texts = (place.title, place.after, cost, late)
        self._is_bad = not place.keeps_promise or bool(place.late)
        key = say("Alt {n}", n=self._number)
        self.setAccessibleName(", ".join((key, *self._texts)))
        effect = ", ".join((*place.late, *place.later))
        self.setToolTip(effect)
        self.setAccessibleDescription(effect)
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(300, self._theme.height("row_roomy") + 4)

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, box = self._theme, QRectF(self.rect())
        with QPainter(self) as painter:
            ink = Ink(painter, theme)
            if self.isChecked():
                fill = "sheet" if theme.outlined else "soft.water"
                ink.panel(box, fill=fill, edge="water", radius=4, width=1.4)
            cap = say("Alt {n}", n=self._number)
            size = key_cap_size(theme, cap)
            top = (box.height() - size.height()) / 2
            ink.key_cap(QRectF(8, top, size.width(), size.height()), cap)
            inner = box.adjusted(size.width() + 16, 0, -8, 0)
            if self.isChecked():
                side = theme.px(16)
                mark = QRectF(inner.right() - side, 0, side, box.height())
                ink.icon("check", mark, "water")
                inner.setRight(mark.left() - 6)
            title, after, cost, late = self._texts
            upper, lower = theme.metrics("row_lead").height(), theme.metrics("second").height()
            top = (box.height() - upper - lower) / 2
            first = QRectF(inner.left(), top, inner.width(), upper)
            second = QRectF(inner.left(), top + upper, inner.width(), lower)
            color = "clay" if self._is_bad else "ink2"
            room = ink.width_of(title, "row_lead") + ink.width_of(cost, "row_lead") + 12
            if room > inner.width():  # when it is must be read in full
                cost, late = "", f"{cost} · {late}"
            _both_ends(ink, first, title, cost, role="row_lead")
            _both_ends(ink, second, after, late, role="second", color="ink2", right_color=color)


def _both_ends(
    ink: Ink,
    box: QRectF,
    left: str,
    right: str,
    *,
    role: str,
    color: str = "ink",
    right_color: str = "ink",
) -> None:
    """A text at each end of a line; the left one gives way."""
    width = ink.width_of(right, role) + 2
    ink.text(box.adjusted(0, 0, -width - 8, 0), left, role=role, color=color)
    end = QRectF(box.right() - width, box.top(), width, box.height())
    ink.text(end, right, role=role, color=right_color, align="right")


class SoonestSheet(Sheet):
    """Up to three places. `chosen` carries the place, None if it was taken back."""

    chosen = Signal(object)

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Soonest places"), say("priced against the rounds"))
        self._places: tuple[SoonestPlace, ...] = ()
        self.taken: SoonestPlace | None = None
        self.none = Words(theme, color="ink2", wraps=True)
        self.body.addWidget(self.none)
        self.buttons = [PlaceButton(theme, n + 1) for n in range(3)]
        for button in self.buttons:
            button.clicked.connect(self._clicked)
            self.body.addWidget(button)
        self.wait("")

    @property
    def places(self) -> tuple[SoonestPlace, ...]:
        """What is offered now."""
        return self._places

    def wait(self, words: str) -> None:
        """Nothing is offered; `words` say why."""
        self._places, self.taken = (), None
        self.none.setText(words or say("Once the site is known, the soonest places stand here."))
        self.none.show()
        for button in self.buttons:
            button.hide()

    def show_places(self, desk: Desk, found: SoonestPlaces) -> None:
        """Offer these; a place that was chosen and is still offered stays chosen."""
        kept = self.taken
        self.wait(found.why_none)
        self._places = found.places
        self.none.setVisible(not found.places)
        for button, place in zip(self.buttons, found.places, strict=False):
            button.show_place(desk, place)
            button.setChecked(place == kept)
            button.show()
            if place == kept:
                self.taken = place

    def take(self, n: int) -> None:
        """Choose place `n` (0 first), or take the choice back."""
        if n >= len(self._places):
            return
        place = self._places[n]
        self.taken = None if self.taken == place else place
        for at, button in enumerate(self.buttons):
            button.setChecked(at < len(self._places) and self._places[at] == self.taken)
        self.chosen.emit(self.taken)

    @Slot()
    def _clicked(self) -> None:
        button = self.sender()
        if isinstance(button, PlaceButton):
            self.take(self.buttons.index(button))


class BeforeSheet(Sheet):
    """They have called before: dates, what was reported, what each visit did; what we owe there."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("They have called before"), stripe="plum")
        self._inside: QWidget | None = None
        self.show_beside(None, None)

    def show_beside(self, desk: Desk | None, beside: Beside | None) -> None:
        """The calls of before of the chosen site."""
        if self._inside is not None:
            self._inside.hide()
            self._inside.deleteLater()
        self._inside = QWidget()
        column = QVBoxLayout(self._inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        self.body.addWidget(self._inside)
        self.set_title(say("They have called before"))
        if desk is None or beside is None or beside.hit is None:
            column.addWidget(self._words(say("Once the site is known, its calls stand here.")))
            return
        self._name_trouble(beside)
        if not beside.earlier:
            column.addWidget(self._words(say("Nobody has called from there before.")))
        for one in beside.earlier[:_EARLIER_SHOWN]:
            day = desk.formats.day(one.called_on, near=desk.today)
            lead = say("{day}: {what}", day=day, what=one.symptom_text or one.own_words or "")
            color = "plum" if one.same else "ink"
            column.addWidget(Words(self._theme, lead, color=color, weight=600, wraps=True))
            for did in one.did or (say("No visit was made for it."),):
                column.addWidget(self._words(first_upper(did)))
            if one.quiet_days is not None and one.did:
                days = desk.formats.days(one.quiet_days)
                quiet = say("quiet {days} since", days=days)
                if not one.still_quiet:
                    quiet = say("quiet {days} after it", days=days)
                column.addWidget(Words(self._theme, quiet, role="second", color="ink2"))
            column.addWidget(Hairline(self._theme))
        rest = len(beside.earlier) - _EARLIER_SHOWN
        if rest > 0:
            column.addWidget(self._words(say("and {n} more in the site file", n=rest)))
        for owed in beside.owed:
            text = say("Owed here: {what}", what=owed)
            column.addWidget(Words(self._theme, text, color="ochre", weight=500, wraps=True))
        if beside.owed:
            column.addWidget(self._words(say("Tell them: it goes on the same visit.")))

    def _name_trouble(self, beside: Beside) -> None:
        """Say so where they called about the same trouble, and how that stands."""
        trouble = next((one.trouble for one in beside.earlier if one.same), "")
        if trouble:
            self.set_title(say("They have called about this before"))
            line = Words(self._theme, first_upper(trouble), color="plum", weight=600, wraps=True)
            inside = self._inside.layout() if self._inside is not None else None
            if inside is not None:
                inside.addWidget(line)
            if inside is not None and beside.untested is not None:
                note = DashedNote(self._theme)
                inside.addWidget(note)
                note.tell(beside.untested.part, first_upper(beside.untested.first))

    def texts(self) -> Sequence[str]:
        """All that it says, in order."""
        labels = self._inside.findChildren(QLabel) if self._inside is not None else []
        return [label.text() for label in labels]

    def _words(self, text: str) -> Words:
        return Words(self._theme, text, color="ink2", wraps=True)
