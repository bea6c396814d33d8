"""A form over the page: fields, what is wrong under each, both versions when two wrote at once."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QVBoxLayout, QWidget
from shiboken6 import isValid

from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.office import Desk
from servicedesk.values.trouble import Trouble
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.setup_fields import FieldSpec, FormField, Unreadable, focus_of
from servicedesk.window.widgets.setup_versions import BothVersions, Version
from servicedesk.window.widgets.veil import Veil
from servicedesk.words import say, say_n

Write = Callable[[dict[str, Any], int | None], object]
_MOST_PX = 700


class EntryForm(Veil):
    """Reads the fields, writes on the worker, tells every place. `written` has what was touched.

    A form put away with Esc keeps its entries until it is opened again under the same `key`.
    """

    written = Signal(object)

    def __init__(self, shell: Shell, desk: Desk, home: QWidget) -> None:
        super().__init__(shell.theme, home, width_px=640, height_px=_MOST_PX)
        self._shell, self._desk = shell, desk
        self._fields: tuple[FormField, ...] = ()
        self._first: dict[str, Any] = {}
        self._kept: dict[str, dict[str, Any]] = {}
        self._key = ""
        self._seen: int | None = None
        self._only_changed = False
        self._write: Write | None = None
        self._job: object = None
        self._theirs: Mapping[str, Any] = {}
        self._build()

    @property
    def fields(self) -> dict[str, FormField]:
        """The fields by name."""
        return {field.spec.name: field for field in self._fields}

    def open_form(
        self,
        title: str,
        specs: Sequence[FieldSpec],
        values: Mapping[str, Any],
        write: Write,
        *,
        button: str,
        hint: str = "",
        seen: int | None = None,
        only_changed: bool = False,
        focus: str = "",
    ) -> None:
        """Ask for `specs`. `write(values, seen)` runs on the worker and returns what it touched.

        `only_changed`: only what differs from `values` is written.
        """
        self._key, self._write, self._seen = f"{title}:{seen}", write, seen
        self._only_changed = only_changed
        self.title.setText(title)
        self.hint.setText(hint)
        self.hint.setVisible(bool(hint))
        self.button.setText(button)
        self._lay_out(specs)
        for field in self._fields:
            field.put(values.get(field.spec.name))
        self._first = {name: self._safe(field) for name, field in self.fields.items()}
        kept = self._kept.pop(self._key, None)
        for name, entry in (kept or {}).items():
            if name in self.fields:
                _put_raw(self.fields[name], entry)
        self.fix.setText(say("Your entry from before is here again.") if kept else "")
        self.fix.set_color("ink2")
        self.both.hide()
        self._fit()
        self.panel.setAccessibleName(title)
        chosen = self.fields.get(focus) or self._fields[0]
        self.open_with(focus_of(chosen))

    @Slot()
    def write(self) -> None:
        """Write what was entered, or say what is missing."""
        if self._job is not None or self._write is None:
            return
        values, wrong = {}, 0
        for field in self._fields:
            field.clear_wrong()
            try:
                values[field.spec.name] = field.value()
            except Unreadable as unreadable:
                field.show_wrong(str(unreadable))
                wrong += 1
        if wrong:
            self._say_wrong(wrong)
            return
        if self._only_changed:
            values = {n: v for n, v in values.items() if v != self._first.get(n)}
            if not values:
                self.close_form()
                return
        job = self._shell.work.start(self._write, values, self._seen, title=self.button.text())
        self._job = job
        job.done.connect(self._done)
        job.failed.connect(self._failed)
        job.ended.connect(self._ended)

    @Slot()
    def close_form(self) -> None:
        """Put it away for good; nothing is kept."""
        self._kept.pop(self._key, None)
        super().close_veil()

    @Slot()
    def close_veil(self) -> None:
        """Esc: put it away and keep what was entered until it is opened again."""
        entries = {name: _raw(field) for name, field in self.fields.items()}
        changed = any(self._safe(f) != self._first.get(n) for n, f in self.fields.items())
        if changed and self.isVisible():
            self._kept[self._key] = entries
        super().close_veil()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if is_enter and event.modifiers() in (
            Qt.KeyboardModifier.ControlModifier,
            Qt.KeyboardModifier.NoModifier,
        ):
            self.write()
            return
        super().keyPressEvent(event)

    # building

    def _build(self) -> None:
        theme = self.theme
        self.title = Words(theme, role="sheet_title")
        self.hint = Words(theme, color="ink2", wraps=True)
        self.both = BothVersions(theme)
        self.both.keep_mine.clicked.connect(self._keep_mine)
        self.both.take_theirs.clicked.connect(self._take_theirs)
        self.fix = Words(theme, color="clay", weight=600, wraps=True)
        self.button = Button(theme, say("Write"), kind="main", key="Ctrl+Return", shows_only=True)
        self.button.clicked.connect(self.write)
        self.away = Button(theme, say("Close"), key="Esc", shows_only=True)
        self.away.clicked.connect(self.close_veil)
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        inner = QVBoxLayout()
        inner.setContentsMargins(20, 16, 20, 16)
        inner.setSpacing(10)
        inner.addWidget(self.title)
        inner.addWidget(self.hint)
        inner.addWidget(self.area, 1)
        foot = QHBoxLayout()
        foot.setSpacing(10)
        foot.addWidget(self.fix, 1)
        foot.addWidget(self.away)
        foot.addWidget(self.button)
        inner.addLayout(foot)
        self.column.addLayout(inner, 1)

    def _lay_out(self, specs: Sequence[FieldSpec]) -> None:
        self.both.setParent(None)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 8, 0)
        column.setSpacing(2)
        column.addWidget(self.both)
        fields = []
        for spec in specs:
            if spec.heading:
                heading = Words(self.theme, spec.heading, role="row_lead", color="ink2")
                heading.setContentsMargins(4, 10, 0, 2)
                column.addWidget(heading)
            field = FormField(self.theme, spec, self._desk.formats, self._desk.today)
            fields.append(field)
            column.addWidget(field)
        column.addStretch(1)
        self._fields = tuple(fields)
        self.area.setWidget(body)
        self._column = column

    def _fit(self) -> None:
        column = self._column
        column.activate()
        room = max(160, self._home.height() - 96 - self.theme.px(150))
        wanted = column.sizeHint().height() + 6
        self.area.setMinimumHeight(min(wanted, room, self.theme.px(_MOST_PX - 150)))
        self.fit_height()

    # what comes home

    @Slot(object)
    def _done(self, touched: object) -> None:
        self.close_form()
        self._shell.bus.changed.emit(touched)
        self.written.emit(touched)

    @Slot(object)
    def _failed(self, trouble: Trouble) -> None:
        match trouble:
            case WrongEntry():
                self._show_wrong(trouble)
            case _ if isinstance(getattr(trouble, "now", None), Mapping):
                self._show_both(trouble, trouble.now)  # type: ignore[attr-defined]
            case _:
                self.fix.set_color("clay")
                self.fix.setText(" ".join(t for t in (trouble.what, trouble.do) if t))
                self._shell.show_trouble(trouble, self.write)

    @Slot()
    def _ended(self) -> None:
        self._job = None

    def _show_wrong(self, trouble: WrongEntry) -> None:
        told = []
        for wrong in trouble.wrong:
            field = self._field_for(wrong.field)
            if field is None:
                told.append(wrong.says)
                continue
            guess = "" if wrong.meant is None else _guess(field, wrong.meant)
            field.show_wrong(wrong.says, correction=guess)
        self._say_wrong(len(trouble.wrong), " ".join(told))

    def _say_wrong(self, count: int, more: str = "") -> None:
        self.fix.set_color("clay")
        words = say_n("{n} thing to fix first", "{n} things to fix first", count)
        self.fix.setText(more or words)
        first = next((field for field in self._fields if field.is_wrong), None)
        self._fit()
        if first is not None:
            focus_of(first).setFocus()
            self.area.ensureWidgetVisible(first)

    def _field_for(self, name: str) -> FormField | None:
        return next((f for f in self._fields if name in (f.spec.name, *f.spec.covers)), None)

    def _show_both(self, trouble: Trouble, now: Mapping[str, Any]) -> None:
        """Somebody wrote first (StaleEdit of the store): `now` is their version."""
        lines = []
        for field in self._fields:
            name = field.spec.name
            mine = self._safe(field)
            is_known = name in now
            theirs = now.get(name)
            same = _plain(theirs) == _plain(mine)
            if not is_known or same or mine == self._first.get(name):
                continue
            lines.append(Version(field.spec.label, field.words_for(theirs), field.words_for(mine)))
        self._theirs = now
        self.both.show_versions(trouble.what, lines)
        self.fix.setText("")
        self._fit()
        self.both.keep_mine.setFocus()
        self.area.ensureVisible(0, 0)

    @Slot()
    def _keep_mine(self) -> None:
        revision = self._theirs.get("revision")
        self._seen = revision if isinstance(revision, int) else None
        self.both.hide()
        self.write()

    @Slot()
    def _take_theirs(self) -> None:
        self.close_form()
        self._shell.bus.changed.emit(None)

    def _safe(self, field: FormField) -> Any:
        try:
            return field.value()
        except Unreadable:
            return field.text()


def _plain(value: Any) -> Any:
    return tuple(value) if isinstance(value, list) else value


def _guess(field: FormField, meant: Any) -> str:
    if isinstance(meant, str):
        return meant
    return field.words_for(meant) if field.spec.kind in ("time", "day", "number") else ""


def _raw(field: FormField) -> Any:
    return field.text() or field_value(field)


def field_value(field: FormField) -> Any:
    """The value of a field that is no text; "" for text that cannot be read."""
    try:
        return field.value()
    except Unreadable:
        return ""


def _put_raw(field: FormField, entry: Any) -> None:
    if isinstance(entry, str) and field.spec.kind not in ("choice", "tick", "weekdays"):
        field.put_text(entry)
    else:
        field.put(entry)


class Forms:
    """The one form of a place, made when it is first needed, over that place's window."""

    def __init__(self, shell: Shell, page: QWidget) -> None:
        self._shell, self._page = shell, page
        self._form: EntryForm | None = None

    def form(self, desk: Desk) -> EntryForm:
        """The form; the same one every time, so that what was kept is found again."""
        home = self._page.window()
        central = getattr(home, "centralWidget", None)
        over = central() if central is not None else home
        if self._form is None or not isValid(self._form):
            self._form = EntryForm(self._shell, desk, over or home)
        self._form._desk = desk
        return self._form
