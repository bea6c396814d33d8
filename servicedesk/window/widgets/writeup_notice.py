"""The band above the form: a draft that is offered, what is not ticked, whose version stands."""

from collections.abc import Iterable, Mapping, Sequence

from PySide6.QtCore import QRectF, Signal, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QWidget

from servicedesk.desk.writeup_entry import JobEntry, VisitEntry
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.words import say
from servicedesk.words.calls import plain
from servicedesk.words.findings import behind_text
from servicedesk.words.jobs import outcome_text


class WriteUpNotice(QWidget):
    """Says one thing in a tone, with up to two buttons. `pressed` carries what a button means."""

    pressed = Signal(str)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._tone = "water"
        row = QHBoxLayout(self)
        row.setContentsMargins(14, 8, 10, 8)
        row.setSpacing(10)
        self._words = Words(theme, wraps=True)
        row.addWidget(self._words, 1)
        self._buttons = [Button(theme, small=True) for _ in range(2)]
        for button in self._buttons:
            row.addWidget(button)
            button.clicked.connect(self._clicked)
        self.clear()

    @property
    def text(self) -> str:
        """What it says, "" while it is not shown."""
        return "" if self.isHidden() else self._words.text()

    def clear(self) -> None:
        """Say nothing."""
        self._say("", "water")

    def say_kept(self, words: str) -> None:
        """Something to know."""
        self._say(words, "water")

    def say_done(self, words: str) -> None:
        """Something is done."""
        self._say(words, "moss")

    def say_wrong(self, words: str) -> None:
        """Something must be mended."""
        self._say(words, "clay")

    def offer(self, words: str, what: str, button: str) -> None:
        """Something to know, and another way."""
        self._say(words, "ochre", ((what, button),))

    def name_unticked(self, names: Sequence[str]) -> None:
        """Name what is not ticked, before the visit is finished."""
        self._say(
            say(
                "Not ticked: {names}. Finish the visit all the same with Ctrl Enter.",
                names="; ".join(names),
            ),
            "ochre",
        )

    def show_both(self, mine: VisitEntry, theirs: VisitEntry) -> None:
        """Both versions of a visit that somebody else wrote too: only what differs."""
        lines = [
            say("{what}: yours {mine}, theirs {theirs}", what=what, mine=one, theirs=other)
            for what, one, other in differences(mine, theirs)
        ]
        head = say("Somebody else wrote this visit meanwhile. Yours is kept here.")
        self._say(
            "\n".join([head, *lines]),
            "clay",
            (("mine", say("Write mine over it")), ("theirs", say("Keep theirs"))),
        )

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            plain = self._theme.outlined
            ink.panel(
                QRectF(self.rect()),
                fill="sheet" if plain else f"soft.{self._tone}",
                edge=self._tone if plain else None,
                radius=self._theme.tokens.radius.control,
            )
            bar = QRectF(0, 0, 4, self.height())
            ink.panel(bar, fill=self._tone, radius=2)

    def _say(self, words: str, tone: str, buttons: Sequence[tuple[str, str]] = ()) -> None:
        self._tone = tone
        self._words.setText(words)
        for n, button in enumerate(self._buttons):
            there = n < len(buttons)
            button.setVisible(there)
            if there:
                button.setObjectName(buttons[n][0])
                button.setText(buttons[n][1])
        self.setAccessibleName(words)
        self.setVisible(bool(words))
        self.update()

    @Slot()
    def _clicked(self) -> None:
        pressed = self.sender()
        if isinstance(pressed, QAbstractButton):
            self.pressed.emit(pressed.objectName())


def differences(mine: VisitEntry, theirs: VisitEntry) -> list[tuple[str, str, str]]:
    """What differs between two versions of a form: what it is, mine, theirs."""
    found: list[tuple[str, str, str]] = []

    def compare(what: str, one: str, other: str) -> None:
        if one != other:
            found.append((what, one or say("nothing"), other or say("nothing")))

    compare(say("In"), mine.arrived, theirs.arrived)
    compare(say("Out"), mine.left, theirs.left)
    for one in mine.jobs:
        other = theirs.job(one.job_id)
        compare(
            say("Outcome"),
            outcome_text(one.outcome, one.could_not),
            outcome_text(other.outcome, other.could_not),
        )
        compare(say("Found"), one.found, other.found)
        compare(say("Did"), one.did, other.did)
        compare(say("Behind it"), _behind(one), _behind(other))
        compare(say("Checks"), *_counts(one.findings, other.findings, say("{n} answered")))
        compare(say("Items"), *_counts(one.items, other.items, say("{n} said")))
        compare(say("Readings"), *_counts(one.readings, other.readings, say("{n} read")))
    compare(say("Parts"), _texts(p.text for p in mine.parts), _texts(p.text for p in theirs.parts))
    compare(say("Owed"), _texts(o.what for o in mine.owed), _texts(o.what for o in theirs.owed))
    compare(say("As left"), mine.as_left, theirs.as_left)
    ticked = say("{n} ticked")
    compare(say("Before leaving"), *_counts(_on(mine.leaving), _on(theirs.leaving), ticked))
    return found


def _behind(job: JobEntry) -> str:
    cause = plain(job.cause_id)
    return f"{behind_text(job.behind)}: {cause}" if cause else behind_text(job.behind)


def _texts(texts: Iterable[str]) -> str:
    return ", ".join(text for text in texts if text.strip())


def _on(ticks: Mapping[str, bool]) -> Mapping[str, bool]:
    return {name: True for name, is_on in ticks.items() if is_on}


def _counts(one: Mapping[str, object], other: Mapping[str, object], words: str) -> tuple[str, str]:
    """How many of each, with the first few that differ; the same text where they are equal."""
    if one == other:
        return "", ""
    names = [name for name in {**one, **other} if one.get(name) != other.get(name)]
    about = ", ".join(name.replace("-", " ") for name in names[:3])
    texts = [f"{words.format(n=len(said))} ({about})" for said in (one, other)]
    if texts[0] == texts[1]:
        texts = [f"{texts[0]}, {say('as here')}", f"{texts[1]}, {say('as theirs')}"]
    return texts[0], texts[1]
