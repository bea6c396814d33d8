"""By when we promise an answer, and how pressing the call is: given by rules, changed by hand."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QComboBox, QGridLayout, QWidget

from servicedesk.desk.coming import first_upper
from servicedesk.desk.office import Desk
from servicedesk.desk.phone_page import Beside, PromiseOffer, by_text
from servicedesk.desk.promise import PRIORITIES, priority_of
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.choice import Choice
from servicedesk.window.widgets.label import OneLine, Words
from servicedesk.words import say
from servicedesk.words.calls import priority as priority_words


class PromiseRow(QWidget):
    """`by_at` is an instant set by hand (None: what the rules give, or what stands)."""

    promised = Signal()
    pressing_chosen = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.by_at: datetime | None = None
        self._offers: tuple[PromiseOffer, ...] = ()
        self.choice = Choice(theme, say("By when we promise an answer"))
        self.choice.activated.connect(self._chosen)
        self.priority = Choice(theme, say("How pressing"))
        self.priority.activated.connect(self.pressing_chosen)
        self.why = OneLine(theme, role="second", color="ink2")
        grid = QGridLayout(self)
        grid.setContentsMargins(4, 4, 4, 2)
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(4)
        grid.addWidget(Words(theme, say("Promise"), color="ink2"), 0, 0)
        grid.addWidget(self.choice, 0, 1)
        grid.addWidget(Words(theme, say("How pressing"), color="ink2"), 0, 2)
        grid.addWidget(self.priority, 0, 3)
        grid.addWidget(self.why, 1, 1, 1, 3)
        grid.setColumnStretch(1, 1)
        grid.setColumnStretch(3, 1)
        policy = QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        for choice in (self.choice, self.priority):
            choice.setSizeAdjustPolicy(policy)
            choice.setMinimumContentsLength(10)

    @property
    def pressing(self) -> str | None:
        """The priority set by hand, None where what they report decides."""
        return str(self.priority.currentData() or "") or None

    def begin(
        self, desk: Desk, offers: Sequence[PromiseOffer], by_at: datetime | None = None
    ) -> None:
        """Another call: nothing is known of its site yet."""
        self._offers, self.by_at = tuple(offers), by_at
        self._fill(desk, say("by contract or rule"))
        self.why.set_text("")

    def show_rules(self, desk: Desk, beside: Beside) -> None:
        """What contract, rule or company promise."""
        self._fill(desk, first_upper(beside.promise_text))
        self.why.set_text(say("promised {why}", why=beside.promise_why))

    def show_standing(self, desk: Desk, standing: datetime | None) -> None:
        """What was promised when the call was written."""
        if standing is None:
            return
        self._fill(desk, say("{by} (as written)", by=first_upper(by_text(desk, standing))))
        self.why.set_text("")

    def show_pressing(
        self,
        symptoms: Iterable[str],
        chosen: str | None,
        answers: Mapping[str, object] | None = None,
    ) -> None:
        """How pressing it is by symptoms and answers, and what was chosen by hand."""
        by_symptoms = priority_words(priority_of(symptoms, answers))
        self.priority.clear()
        self.priority.addItem(say("{priority}, by what they report", priority=by_symptoms), "")
        for name in PRIORITIES:
            self.priority.addItem(priority_words(name), name)
        self.priority.setCurrentIndex(max(0, self.priority.findData(chosen)) if chosen else 0)

    def _fill(self, desk: Desk, first: str) -> None:
        self.choice.clear()
        self.choice.addItem(first, None)
        for offer in self._offers:
            self.choice.addItem(offer.text, offer.by_at)
        if self.by_at is not None:
            at = self.choice.findData(self.by_at)
            if at < 0:
                self.choice.addItem(first_upper(by_text(desk, self.by_at)), self.by_at)
                at = self.choice.count() - 1
            self.choice.setCurrentIndex(at)

    @Slot()
    def _chosen(self) -> None:
        self.by_at = self.choice.currentData()
        self.promised.emit()
