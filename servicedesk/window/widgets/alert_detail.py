"""One alert whole: causes, checks never done with their cautions, visits, what the fleet says."""

from collections.abc import Mapping

from PySide6.QtWidgets import QVBoxLayout

from servicedesk.desk.alert_lines import AlertDetail, CheckLine, TriedLine
from servicedesk.desk.alert_page import AlertPage
from servicedesk.desk.coming import first_upper
from servicedesk.desk.fleet_evidence import fleet_text
from servicedesk.desk.office import Desk
from servicedesk.desk.threads import TroubleThread
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.check_card import CheckCard
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.paragraph import Paragraph
from servicedesk.window.widgets.sheet import Hairline, Sheet
from servicedesk.window.widgets.site_rows import SignedLine, emptied
from servicedesk.window.widgets.thread_rows import quiet_words
from servicedesk.words import say


def in_order(detail: AlertDetail) -> tuple[CheckLine, ...]:
    """Checks never done: the untested part's first, then what settles most per minute."""
    first = [one for one in detail.never_done if one.id == detail.first_check]
    return (*first, *(one for one in detail.never_done if one.id != detail.first_check))


class ChecksSheet(Sheet):
    """Checks never done here, in the order to do them, each with its cautions."""

    def __init__(self, theme: Theme) -> None:
        hint = say("the untested part first, then what settles most per minute")
        super().__init__(theme, say("Never done here, in this order"), hint)
        self._theme = theme
        self.cards = QVBoxLayout()
        self.body.addLayout(self.cards)

    def show_detail(self, detail: AlertDetail, desk: Desk) -> None:
        """Show those of another alert."""
        emptied(self.cards)
        checks = in_order(detail)
        for n, check in enumerate(checks, start=1):
            if n > 1:
                self.cards.addWidget(Hairline(self._theme))
            self.cards.addWidget(CheckCard(self._theme, desk.formats, check, str(n)))
        if not checks:
            words = say("Every check that speaks for a likely cause was made on the parts that "
                        "are there now.")  # fmt: skip
            self.cards.addWidget(Words(self._theme, words, color="ink2", wraps=True))


class TriedSheet(Sheet):
    """What came back and what each visit tried, oldest call first; what that speaks against."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("What each visit tried"), say("and what that speaks against"))
        self._theme = theme
        self.lines = QVBoxLayout()
        self.lines.setSpacing(2)
        self.body.addLayout(self.lines)

    def show_page(self, page: AlertPage, desk: Desk) -> None:
        """Show those of another alert."""
        emptied(self.lines)
        if page.thread is None:
            words = say("Nobody said which system calls, so its visits cannot be told apart.")
            self.lines.addWidget(Words(self._theme, words, color="ink2", wraps=True))
            return
        tried = {one.visit_id: one for one in page.detail.tried}
        self._show_thread(page.thread, tried, desk)

    def _show_thread(
        self, thread: TroubleThread, tried: Mapping[int, TriedLine], desk: Desk
    ) -> None:
        for n, call in enumerate(thread.calls):
            if n:
                self.lines.addWidget(Hairline(self._theme))
            said = f"“{call.own_words}”" if call.own_words else ""
            parts = (desk.formats.day(call.on), call.symptom_text, said)
            title = " · ".join(part for part in parts if part)
            self.lines.addWidget(SignedLine(self._theme, "phone", title, strong=True))
            for visit in call.tried:
                title = " · ".join(p for p in (visit.day, visit.who, visit.did) if p)
                self._second(title, "ink")
                for words in visit_lines(tried.get(visit.visit_id)):
                    self._second(words, "ink2")
            self._second(first_upper(quiet_words(desk, call)), "ink2")

    def _second(self, words: str, color: str) -> None:
        if words:
            indent = self._theme.px(26)
            self.lines.addWidget(
                Paragraph(self._theme, words, role="second", color=color, indent=indent)
            )


def visit_lines(one: TriedLine | None) -> tuple[str, ...]:
    """What a visit looked at, changed and thereby ruled out."""
    if one is None:
        return ()
    lines = []
    if one.checks:
        lines.append(say("looked at: {checks}", checks="; ".join(one.checks)))
    if one.parts:
        lines.append(say("changed: {parts}", parts="; ".join(one.parts)))
    if one.rules_out:
        lines.append(say("speaks against: {causes}", causes="; ".join(one.rules_out)))
    return tuple(lines)


class FleetSheet(Sheet):
    """What all sites together say of the models and practices at this one."""

    def __init__(self, theme: Theme) -> None:
        hint = say("an association, no proof of a cause")
        super().__init__(theme, say("What the fleet says"), hint)
        self._theme = theme
        self.lines = QVBoxLayout()
        self.body.addLayout(self.lines)

    def show_detail(self, detail: AlertDetail, *, was_asked: bool) -> None:
        """Show what is known; `was_asked`: whether anybody asked the fleet yet."""
        emptied(self.lines)
        for one in detail.fleet:
            icon, color = ("warn", "clay") if one.get("flag") == "clearly above" else ("ask", "ink")
            self.lines.addWidget(SignedLine(self._theme, icon, fleet_text(one), color=color))
        if detail.fleet:
            return
        words = say("Nothing here fails more often than its like elsewhere.")
        if not was_asked:
            words = say("Looking at all sites …")
        self.lines.addWidget(Words(self._theme, words, color="ink2", wraps=True))
