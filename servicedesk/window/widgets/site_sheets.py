"""The sheets of a site's file: when are you coming, people, contract year, wires, codes."""

from collections.abc import Iterable, Sequence

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout

from servicedesk.desk.office import Desk
from servicedesk.desk.phones_said import said
from servicedesk.desk.sitefile import SiteFile
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import LinkLabel, Words
from servicedesk.window.widgets.sheet import Hairline, Sheet
from servicedesk.window.widgets.site_file_data import WindowLine
from servicedesk.window.widgets.site_rows import SignedLine, emptied
from servicedesk.window.widgets.site_words import contract_line
from servicedesk.words import say
from servicedesk.words.calls import role, symptoms

_STATES = {
    "not yet": ("clock", "ink"),
    "open": ("ahead", "water"),
    "closing": ("ahead", "ochre"),
    "late": ("warn", "clay"),
    "done": ("check", "moss"),
    "done late": ("check", "clay"),
    "missed": ("cross", "clay"),
}


class ComingSheet(Sheet):
    """The answer to *when are you coming?* before anything else."""

    day_opened = Signal(object)  # the day of the next stop
    call_opened = Signal(object)  # id of an open call

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, stripe="water")
        self._theme = theme
        self.setAccessibleName(say("When are you coming?"))
        self._on: object = None
        self.next = Words(theme, "", role="sum", wraps=True)
        self.lines = QVBoxLayout()
        self.lines.setSpacing(0)
        self.plan = Button(
            theme, say("Plan a visit…"), icon_name="plus", key="L", small=True, shows_only=True
        )
        self.another = Button(
            theme, say("Another day…"), icon_name="phone", key="Y", small=True, shows_only=True
        )
        question = QHBoxLayout()
        question.addWidget(
            Words(theme, say("When are you coming?"), role="second", color="ink2"), 1
        )
        question.setSpacing(theme.px(8))
        question.addWidget(self.another)
        question.addWidget(self.plan)
        self.body.addLayout(question)
        self.body.addWidget(self.next)
        self.body.addLayout(self.lines)
        self.body.setSpacing(2)

    def show_file(self, file: SiteFile, *, has_rounds: bool, has_phone: bool) -> None:
        """Answer for a site."""
        coming = file.coming
        self._on = coming.next_on
        self.next.setText(coming.next_text)
        self.another.setVisible(bool(file.planned))
        emptied(self.lines)
        if coming.told_text:
            self._line("phone", coming.told_text, "moss" if coming.told else "ochre")
        for call in file.open_calls:
            said = symptoms(call.symptoms) or call.own_words or say("no symptom noted")
            self._line("bell", say("Open call: {what}", what=said), "plum")
            if has_phone:
                self._link(say("Open the call"), f"call:{call.id}")
        for text in coming.owed_texts:
            self._line("owed", say("Owed: {what}", what=text), "ochre")
        self._line("check", coming.last_text, "ink")
        if coming.next_on is not None and has_rounds:
            self._link(say("Show that day"), "day")

    def _line(self, icon: str, text: str, color: str) -> None:
        self.lines.addWidget(SignedLine(self._theme, icon, text, color=color))

    def _link(self, words: str, name: str) -> None:
        link = LinkLabel(self._theme, words)
        link.setObjectName(name)
        link.clicked.connect(self._pressed)
        self.lines.addWidget(link)

    @Slot()
    def _pressed(self) -> None:
        kind, _, number = self.sender().objectName().partition(":")
        if kind == "day":
            self.day_opened.emit(self._on)
        else:
            self.call_opened.emit(int(number))


class PeopleSheet(Sheet):
    """Who has to do with the site, and how to reach them."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("People"))
        self._theme = theme
        self.rows = QVBoxLayout()
        self.body.addLayout(self.rows)
        self.body.addStretch(1)

    def show_file(self, file: SiteFile, desk: Desk) -> None:
        """Those of today first, then those of before."""
        emptied(self.rows)
        now = {one.id for one in file.people_now}
        for n, one in enumerate(file.people):
            if n:
                self.rows.addWidget(Hairline(self._theme))
            past = one.id not in now
            what = role(one.role)
            if past:
                until = desk.formats.month(one.until_on)
                what = say("{role} until {month}", role=what, month=until)
            lead = SignedLine(self._theme, "person", f"{one.name} · {what}", strong=not past)
            self.rows.addWidget(lead)
            phones = [f"{said(p)} {p.label}".strip() for p in one.phones]
            wants = ""
            if one.preferred_way:
                wants = say("prefers {way}", way=one.preferred_way)
            texts = [", ".join(phones), one.email, wants, one.note]
            _second(self.rows, self._theme, (t for t in texts if t))
        if not file.people:
            words = say("Nobody is noted for this site yet.")
            self.rows.addWidget(Words(self._theme, words, color="ink2", wraps=True))


class YearSheet(Sheet):
    """The windows of the contract year: state in words, and why they lie where they lie."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Contract year"))
        self._theme = theme
        self.rows = QVBoxLayout()
        self.body.addLayout(self.rows)
        self.body.addStretch(1)

    def show_file(self, file: SiteFile, windows: Sequence[WindowLine], desk: Desk) -> None:
        """Windows, then the contracts."""
        emptied(self.rows)
        for n, window in enumerate(windows):
            if n:
                self.rows.addWidget(Hairline(self._theme))
            icon, color = _STATES[window.state]
            text = f"{window.name}  [ {window.span} ]"
            self.rows.addWidget(SignedLine(self._theme, icon, text, color=color, strong=True))
            why = window.why[:1].upper() + window.why[1:]
            _second(self.rows, self._theme, (t for t in (window.state_text, why) if t))
        if not windows:
            words = say("No contract runs, so nothing is due here.")
            if file.contract is not None:
                words = say("The contract promises no inspections.")
            self.rows.addWidget(Words(self._theme, words, color="ink2", wraps=True))
        for contract in file.contracts[:4]:
            self.rows.addWidget(Hairline(self._theme))
            self.rows.addWidget(SignedLine(self._theme, "note", contract_line(desk, contract)))


class WiresSheet(Sheet):
    """Wires as somebody found them. The caution stands there uncut, always."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Wires"))
        self._theme = theme
        self.grid = QGridLayout()
        self.grid.setHorizontalSpacing(12)
        self.grid.setColumnStretch(1, 1)
        self.body.addLayout(self.grid)
        self.body.addWidget(
            SignedLine(
                theme,
                "warn",
                say("Colors are notes, not proof: test before touching."),
                color="clay",
            )
        )
        self.body.addStretch(1)

    def show_file(self, file: SiteFile, desk: Desk) -> None:
        """All wires of all systems here."""
        emptied(self.grid)
        self.setVisible(bool(file.wires))
        for n, wire in enumerate(file.wires):
            checked = desk.formats.month(wire.verified_on) if wire.verified_on else "?"
            cells = (wire.conductor, f"{wire.circuit}: {wire.does}", wire.spliced_at, checked)
            for column, text in enumerate(cells):
                color = "plum" if text == "?" else "ink" if column == 0 else "ink2"
                words = Words(self._theme, text, color=color, weight=600 if column == 0 else 0,
                              wraps=column == 1)  # fmt: skip
                self.grid.addWidget(words, n, column, Qt.AlignmentFlag.AlignTop)


class SystemsSheet(Sheet):
    """What stands there: permit, authority, tanks; keys that we hold; codes, hidden until F8."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("System and access"))
        self._theme = theme
        self.rows = QVBoxLayout()
        self.codes = QVBoxLayout()
        self.body.addLayout(self.rows)
        self.body.addLayout(self.codes)
        self.body.addStretch(1)

    def show_file(self, file: SiteFile, desk: Desk) -> None:
        """Systems, then how one gets in."""
        emptied(self.rows)
        for system in file.systems:
            head = system.label or say("System")
            parts = [head, say("permit {permit}", permit=system.permit or "—"), system.authority]
            self.rows.addWidget(
                SignedLine(self._theme, "tank", " · ".join(p for p in parts if p), strong=True)
            )
            since = desk.formats.month(system.started_on) if system.started_on else ""
            tanks = ", ".join(f"{what} {gal or '—'} gal {of}".strip()
                              for what, gal, of in system.tanks)  # fmt: skip
            texts = (
                say("since {month}", month=since) if since else "",
                say("installed by {firm}", firm=system.installer) if system.installer else "",
                say("tanks: {tanks}", tanks=tanks) if tanks else "",
                say("service rule not chosen yet") if system.rule_id is None else "",
            )
            _second(self.rows, self._theme, (t for t in texts if t))
        for key in file.keys:
            text = say("Key: {label}, with {who}", label=key.label,
                       who=key.holder or say("the office"))  # fmt: skip
            self.rows.addWidget(SignedLine(self._theme, "key", text))
        for closed in file.closed:
            text = say("Closed {first} to {last} {why}", first=desk.formats.day(closed.from_on),
                       last=desk.formats.day(closed.until_on), why=closed.why)  # fmt: skip
            self.rows.addWidget(SignedLine(self._theme, "clock", text.strip()))
        self.show_codes(file.secrets, ())

    def show_codes(self, kept: Sequence[str], codes: Sequence[tuple[str, str]]) -> None:
        """Which codes are kept, or the codes themselves once somebody asked for them."""
        emptied(self.codes)
        for what, value in codes:
            text = say("Code for {what}: {value}", what=what, value=value)
            self.codes.addWidget(SignedLine(self._theme, "key", text, color="clay"))
        if codes or not kept:
            return
        text = say("Codes kept for: {what}. F8 shows them.", what=", ".join(kept))
        self.codes.addWidget(SignedLine(self._theme, "key", text))


def _second(column: QVBoxLayout, theme: Theme, texts: Iterable[str]) -> None:
    for text in texts:
        words = Words(theme, text, role="second", color="ink2", wraps=True)
        words.setContentsMargins(theme.px(26), 0, 0, 2)
        column.addWidget(words)
