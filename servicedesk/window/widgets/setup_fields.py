"""Fields of our forms: each shows a value in words and reads it back, or says what is wrong."""

import re
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal, InvalidOperation
from typing import Any, Literal

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QLineEdit, QPlainTextEdit, QWidget

from servicedesk.exchange.dates import read_day
from servicedesk.exchange.positions import read_pair
from servicedesk.values.position import Position
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.choice import Choice, Tick
from servicedesk.window.widgets.field import SentenceField
from servicedesk.window.widgets.site_rows import FlowLayout
from servicedesk.words import say
from servicedesk.words.formats import Formats, minor_digits

Kind = Literal[
    "text",
    "long",
    "time",
    "day",
    "last_day",
    "number",
    "decimal",
    "money",
    "choice",
    "tick",
    "weekdays",
    "place",
    "list",
]
_TIME = re.compile(r"(\d{1,2})(?:[:.h](\d{2}))?\s*([ap])?\.?m?\.?", re.IGNORECASE)
LABEL_PX = 168


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldSpec:
    """One field: `name` of the value, `options` of a choice, `covers` other names it stands for.

    A "last_day" is shown included and kept excluded. A "list" is words between commas. `many`
    says whether an empty row of weekdays means any day (None) or none at all.
    """

    name: str
    label: str
    kind: Kind = "text"
    options: tuple[tuple[Any, str], ...] = ()
    hint: str = ""
    heading: str = ""
    covers: tuple[str, ...] = ()
    any_day: bool = False
    currency: str = "USD"


class Unreadable(Exception):
    """An entry that cannot be read: the sentence for under the field."""


class FormField(SentenceField):
    """A `SentenceField` that knows its kind of value."""

    def __init__(
        self,
        theme: Theme,
        spec: FieldSpec,
        formats: Formats,
        today: date,
        *,
        label_px: int = LABEL_PX,
    ) -> None:
        self.spec, self._formats, self._today = spec, formats, today
        super().__init__(
            theme, spec.label, _entry(theme, spec), put_in=self.put_text, label_px=label_px
        )

    def value(self) -> Any:
        """What was entered. Raises Unreadable."""
        field, kind = self.field, self.spec.kind
        if isinstance(field, Weekdays):
            chosen = field.chosen()
            return None if self.spec.any_day and not chosen else chosen
        if isinstance(field, Tick):
            return field.isChecked()
        if isinstance(field, Choice):
            return field.currentData()
        return _read(kind, self.text(), self.spec, self._formats, self._today)

    def text(self) -> str:
        """What stands in a field of text."""
        if isinstance(self.field, QPlainTextEdit):
            return self.field.toPlainText()
        return self.field.text() if isinstance(self.field, QLineEdit) else ""

    def put(self, value: Any) -> None:
        """Show a value."""
        if isinstance(self.field, Weekdays):
            self.field.choose(value or ())
        elif isinstance(self.field, Tick):
            self.field.setChecked(bool(value))
        elif isinstance(self.field, Choice):
            self.field.setCurrentIndex(max(0, self.field.findData(value)))
        else:
            self.put_text(self.words_for(value))

    def put_text(self, text: str) -> None:
        """Show what somebody typed or a correction."""
        if isinstance(self.field, QPlainTextEdit):
            self.field.setPlainText(text)
        elif isinstance(self.field, QLineEdit):
            self.field.setText(text)

    def words_for(self, value: Any) -> str:
        """A value as this field writes it."""
        if isinstance(self.field, Choice):
            return next((words for key, words in self.spec.options if key == value), "")
        return _words(value, self.spec, self._formats)


class Weekdays(QWidget):
    """Seven buttons, Monday first."""

    def __init__(self, theme: Theme, label: str) -> None:
        super().__init__()
        row = FlowLayout(self)
        self.buttons = [
            Button(theme, words, kind="pill", name=f"{label}: {words}") for words in weekday_names()
        ]
        for button in self.buttons:
            row.addWidget(button)
        policy = self.sizePolicy()
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setFocusProxy(self.buttons[0])

    def chosen(self) -> tuple[int, ...]:
        """Numbers of the days, Monday is 0."""
        return tuple(n for n, button in enumerate(self.buttons) if button.isChecked())

    def choose(self, days: Any) -> None:
        """Press these."""
        for n, button in enumerate(self.buttons):
            button.setChecked(n in days)


def weekday_names() -> tuple[str, ...]:
    """Short names, Monday first."""
    return (
        say("Mon"), say("Tue"), say("Wed"), say("Thu"), say("Fri"), say("Sat"), say("Sun")
    )  # fmt: skip


def _entry(theme: Theme, spec: FieldSpec) -> QWidget:
    match spec.kind:
        case "choice":
            choice = Choice(theme, spec.label)
            # long words are shortened in the field, not the field made wider than the form
            choice.setSizeAdjustPolicy(
                QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
            )
            choice.setMinimumContentsLength(12)
            for value, words in spec.options:
                choice.addItem(words, value)
            return choice
        case "tick":
            return Tick(theme, spec.hint)
        case "weekdays":
            return Weekdays(theme, spec.label)
        case "long":
            long = QPlainTextEdit()
            long.setTabChangesFocus(True)
            long.setFixedHeight(theme.px(62))
            long.setPlaceholderText(spec.hint)
            return long
    line = QLineEdit()
    line.setPlaceholderText(spec.hint)
    return line


def _words(value: Any, spec: FieldSpec, formats: Formats) -> str:
    if value is None or value == "":
        return ""
    match spec.kind:
        case "time":
            return formats.time(value)
        case "day":
            return formats.day(value)
        case "last_day":
            return formats.day(value - timedelta(days=1))
        case "money":
            digits = minor_digits(spec.currency)
            return f"{Decimal(value).scaleb(-digits):.{digits}f}"
        case "tick":
            return say("yes") if value else say("no")
        case "weekdays":
            names = weekday_names()
            return ", ".join(names[n] for n in value)
        case "place":
            return f"{value.lat_deg:.6f}, {value.lon_deg:.6f}"
        case "list":
            return ", ".join(value)
    return str(value)


def _read(kind: Kind, text: str, spec: FieldSpec, formats: Formats, today: date) -> Any:
    if kind in ("text", "long"):
        return text
    text = text.strip()
    if kind == "list":
        return tuple(part.strip() for part in text.split(",") if part.strip())
    if not text:
        return None
    match kind:
        case "time":
            return read_time(text)
        case "day":
            return _read_day(text, formats, today)
        case "last_day":
            return _read_day(text, formats, today) + timedelta(days=1)
        case "number":
            return int(_read_number(text, whole=True))
        case "money":
            return int((_read_number(text) * 10 ** minor_digits(spec.currency)).to_integral_value())
        case "place":
            return read_place(text)
    return float(_read_number(text))


def read_time(text: str) -> int:
    """Minutes after midnight of "8", "8:30 am", "17:00", "noon". Raises Unreadable."""
    if text.casefold() == say("noon"):
        return 720
    found = _TIME.fullmatch(text.strip())
    if found:
        hour, minute = int(found.group(1)), int(found.group(2) or 0)
        half = (found.group(3) or "").lower()
        if half and 1 <= hour <= 12:
            hour = hour % 12 + (12 if half == "p" else 0)
        elif half:
            hour = 99
        if minute < 60 and hour * 60 + minute <= 1440:
            return hour * 60 + minute
    raise Unreadable(say("“{text}” is no time; one is 8:30 am.", text=text))


def _read_day(text: str, formats: Formats, today: date) -> date:
    day_first = formats.locale.territory not in ("US", None)
    found = read_day(text, day_first=day_first, today=today, year=today.year)
    if found.on is None or found.precision != "day":
        raise Unreadable(say("“{text}” is no day; one is Oct 15, 2026.", text=text))
    return found.on


def _read_number(text: str, *, whole: bool = False) -> Decimal:
    try:
        number = Decimal(text.replace("\u2212", "-").lstrip("$").replace(",", ""))
    except InvalidOperation:
        number = Decimal("nan")
    if not number.is_finite() or (whole and number != number.to_integral_value()):
        raise Unreadable(say("“{text}” is no number.", text=text))
    return number


def read_place(text: str) -> Position:
    """A position typed or pasted: degrees, geo URI, link. Raises Unreadable."""
    pair = read_pair(text)
    if pair is None:
        raise Unreadable(
            say("No place in “{text}”; one is 29.9541, −94.0213, or a copied map link.", text=text)
        )
    place = pair.position()
    if place is None:
        raise Unreadable(say("A latitude lies between −90 and 90; are the two exchanged?"))
    return place


def focus_of(field: FormField) -> QWidget:
    """The widget that takes the keys."""
    proxy = field.field.focusProxy()
    return proxy if proxy is not None else field.field


def takes_keys(widget: QWidget) -> bool:
    """Whether one comes there with Tab."""
    return bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus)
