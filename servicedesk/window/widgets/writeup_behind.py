"""What was behind it? Four answers, the cause, how we know, and what no fault found still owes."""

from dataclasses import replace

from PySide6.QtCore import Signal, Slot

from servicedesk.desk.writeup_behind import ESTABLISHED, NO_FAULT, PRESUMED, check_names
from servicedesk.desk.writeup_checks import N_LEADING, JobTrouble
from servicedesk.desk.writeup_entry import JobEntry
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.choice import Choice
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.writeup_columns import show_key
from servicedesk.window.widgets.writeup_keys import form_letters
from servicedesk.window.widgets.writeup_options import Option, Options
from servicedesk.words import say, say_n
from servicedesk.words.findings import BEHIND, KNOWN_BY, behind_text, known_by_text

_ANOTHER = "another"


class BehindSheet(Sheet):
    """`edited` after each answer, `asked` about a cause; `fill` puts it into an entry."""

    edited = Signal()
    asked = Signal(str)

    def __init__(self, theme: Theme, trouble: JobTrouble, about: str = "") -> None:
        super().__init__(theme, say("What was behind it?"), stripe="plum")
        self._theme, self._trouble = theme, trouble
        show_key(theme, self, "", form_letters()["behind"])
        if about:
            self.body.addWidget(Words(theme, about, role="second", color="ink2", wraps=True))
        four = [Option(one, behind_text(one)) for one in BEHIND]
        self.behind = Options(theme, say("What was behind it?"), four, tone="plum")
        self.body.addWidget(self.behind)
        self._which = Words(theme, say("Which cause?"), role="second", weight=600)
        self.causes = self._causes()
        self.other = self._other()
        self._how = Words(theme, say("How do we know?"), role="second", weight=600)
        ways = [Option(one, known_by_text(one)) for one in KNOWN_BY]
        self.known_by = Options(theme, say("How do we know?"), ways, tone="plum")
        self._note = Words(theme, role="second", color="ochre", weight=500, wraps=True)
        self._wrong = Words(theme, color="clay", role="second", weight=600, wraps=True)
        for widget in (self._which, self.causes, self.other, self._how, self.known_by):
            self.body.addWidget(widget)
        self.body.addWidget(self._note)
        self.body.addWidget(self._wrong)
        self._wrong.hide()
        self.behind.chosen.connect(self._behind_chosen)
        self.causes.chosen.connect(self._cause_chosen)
        self.causes.asked.connect(self._asked)
        self.other.activated.connect(self._other_chosen)
        self.known_by.chosen.connect(self._known)
        self._show_parts()

    def show_entry(self, job: JobEntry) -> None:
        """Show what is written of it."""
        self.behind.show_value(job.behind)
        leading = {one.id for one in self.causes.options}
        is_another = bool(job.cause_id) or (
            self.causes.value == _ANOTHER and job.behind in (ESTABLISHED, PRESUMED)
        )
        another = _ANOTHER if is_another else ""
        self.causes.show_value(job.cause_id if job.cause_id in leading else another)
        self.other.setCurrentIndex(self.other.findData(job.cause_id))
        self.known_by.show_value(job.known_by)
        missing = self._trouble.missing(job.findings) if job.behind == NO_FAULT else ()
        names = check_names(self._trouble.known, missing)
        words = _owed_words(len(missing), names) if job.behind == NO_FAULT else ""
        self._note.setText(words)
        self._show_parts()

    def fill(self, job: JobEntry) -> JobEntry:
        """The entry with what stands here."""
        asks_cause = self.behind.value in (ESTABLISHED, PRESUMED)
        return replace(
            job,
            behind=self.behind.value,
            cause_id=self._cause() if asks_cause else "",
            known_by=self.known_by.value if self.behind.value == ESTABLISHED else "",
        )

    def show_wrong(self, sentence: str) -> None:
        """Say what is wrong with it; "" for nothing."""
        self._wrong.setText(sentence)
        self._wrong.setVisible(bool(sentence))

    @property
    def cause_in_hand(self) -> str:
        """The cause that the keys are at, else the one chosen while they are in this sheet."""
        at = self.causes.in_hand if self.causes.hasFocus() else ""
        if at and at != _ANOTHER:
            return at
        return self._cause() if self.isAncestorOf(self.focusWidget() or self.causes) else ""

    def focus_first(self) -> None:
        """Give the keys to the first question that has no answer."""
        if self.behind.value == ESTABLISHED and self._cause() and not self.known_by.value:
            self.known_by.setFocus()
        else:
            self.behind.setFocus()

    def _causes(self) -> Options:
        found = [
            Option(one.id, one.name, _share(one.chance)) for one in self._trouble.causes[:N_LEADING]
        ]
        found.append(Option(_ANOTHER, say("Another cause")))
        return Options(self._theme, say("Which cause?"), found, tone="plum")

    def _other(self) -> Choice:
        field = Choice(self._theme, say("Another cause"))
        rest = sorted(self._trouble.causes[N_LEADING:], key=lambda one: one.name)
        for one in rest:
            field.addItem(one.name, one.id)
        field.setMinimumContentsLength(12)
        field.setSizeAdjustPolicy(Choice.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        field.setPlaceholderText(say("Choose it"))
        field.setCurrentIndex(-1)
        return field

    def _cause(self) -> str:
        if self.causes.value != _ANOTHER:
            return self.causes.value
        return str(self.other.currentData() or "")

    @Slot(str)
    def _behind_chosen(self, behind: str) -> None:
        self._show_parts()
        self.edited.emit()
        if behind in (ESTABLISHED, PRESUMED):
            self.causes.setFocus()

    @Slot(str)
    def _cause_chosen(self, cause_id: str) -> None:
        self._show_parts()
        self.edited.emit()
        if cause_id == _ANOTHER:
            self.other.setFocus()
        elif self.behind.value == ESTABLISHED:
            self.known_by.setFocus()

    @Slot(str)
    def _asked(self, cause_id: str) -> None:
        if cause_id != _ANOTHER:
            self.asked.emit(cause_id)

    @Slot(int)
    def _other_chosen(self, at: int) -> None:
        self.edited.emit()

    @Slot(str)
    def _known(self, way: str) -> None:
        self.edited.emit()

    def _show_parts(self) -> None:
        behind = self.behind.value
        asks = behind in (ESTABLISHED, PRESUMED)
        self._which.setVisible(asks)
        self.causes.setVisible(asks)
        self.other.setVisible(asks and self.causes.value == _ANOTHER)
        self._how.setVisible(behind == ESTABLISHED)
        self.known_by.setVisible(behind == ESTABLISHED)
        self._note.setVisible(bool(self._note.text()) and behind == NO_FAULT)


def _share(chance: float | None) -> str:
    return "" if chance is None else say("{n} %", n=round(100 * chance))


def _owed_words(n: int, names: str) -> str:
    if not n:
        return say("Every check that is owed before one may say so was done.")
    head = say_n(
        "{n} check is owed before one may say so; it is written as owed work:",
        "{n} checks are owed before one may say so; they are written as owed work:",
        n,
    )
    return f"{head} {names}"
