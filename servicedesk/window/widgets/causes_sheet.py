"""What is behind a trouble: causes, the next best check, what to bring, cautions uncut."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from servicedesk.desk.office import Desk
from servicedesk.desk.trouble_view import TroubleView
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.cause_bars import CauseBars, percent
from servicedesk.window.widgets.check_card import CheckCard
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Hairline, Sheet
from servicedesk.window.widgets.site_rows import SignedLine, emptied
from servicedesk.words import say


class CausesSheet(Sheet):
    """The causes of the trouble in view. `with_next` False leaves the checks to somebody else."""

    def __init__(self, theme: Theme, *, with_next: bool = True) -> None:
        stripe = "plum" if with_next else ""
        super().__init__(theme, say("What is behind it?"), stripe=stripe, title_color="plum")
        self._theme, self._with_next = theme, with_next
        self.bars = CauseBars(theme)
        self.below = QVBoxLayout()
        self.below.setSpacing(2)
        self.body.addWidget(self.bars)
        self.body.addLayout(self.below)
        self.body.addStretch(1)

    def show_view(self, view: TroubleView, desk: Desk) -> None:
        """Show another trouble."""
        title = say("What is behind it: {symptom}", symptom=view.symptom.lower())
        self.set_title(title, "")
        self.bars.show_causes(view)
        emptied(self.below)
        self._add(Words(self._theme, view.base, role="second", color="ink2", wraps=True))
        if view.sure:
            words = say("The first is established; what is left to check only confirms it.")
            self._add(SignedLine(self._theme, "check", words, color="moss"))
        for words in view.doubts:
            self._add(SignedLine(self._theme, "ask", words, color="ochre"))
        if self._with_next:
            self._show_next(view, desk)

    def _show_next(self, view: TroubleView, desk: Desk) -> None:
        formats = desk.formats
        if view.next_check is not None:
            self._add(Hairline(self._theme))
            note = say("never done here") if view.next_is_new else ""
            self._add(CheckCard(self._theme, formats, view.next_check, say("Next"), note))
        if view.first_untested is not None:
            lead = say("First of what was never tested")
            self._add(Hairline(self._theme))
            self._add(CheckCard(self._theme, formats, view.first_untested, lead))
        if view.to_bring:
            self._add(Hairline(self._theme))
            self._add(SignedLine(self._theme, "truck", bring_text(view)))

    def _add(self, widget: QWidget) -> None:
        self.below.addWidget(widget)


def bring_text(view: TroubleView) -> str:
    """As "Bring: sealed splice kit 82%, float switch 75%", likeliest first."""
    parts = (f"{part.name} {percent(part.chance)}" for part in view.to_bring)
    return say("Bring: {parts}", parts=", ".join(parts))


def no_trouble(theme: Theme) -> Words:
    """What stands where nothing came back."""
    words = say("Nothing that came back is open here. Two calls with one trouble behind them would "
                "stand here with their causes.")  # fmt: skip
    return Words(theme, words, color="ink2", wraps=True)
