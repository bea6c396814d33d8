"""The checks of a visit's troubles and what was behind them, over the entry of the form."""

from dataclasses import replace

from PySide6.QtCore import QObject, QRectF, QTimer, Signal, Slot
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from servicedesk.desk.office import Desk
from servicedesk.desk.writeup_agree import result_of_reading
from servicedesk.desk.writeup_checks import NOT_LOOKED_AT, FormCheck, JobTrouble
from servicedesk.desk.writeup_entry import ReadingEntry, VisitEntry, wrong_typed
from servicedesk.desk.writeup_form import VisitForm
from servicedesk.desk.writeup_read import reading_of
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import KeyCap, Words
from servicedesk.window.widgets.sheet import Hairline, Sheet
from servicedesk.window.widgets.writeup_behind import BehindSheet
from servicedesk.window.widgets.writeup_check_boxes import CheckLine
from servicedesk.window.widgets.writeup_check_rows import CheckRows
from servicedesk.window.widgets.writeup_columns import scrolled
from servicedesk.window.widgets.writeup_keys import form_letters, grade_letters, result_letters
from servicedesk.window.widgets.writeup_states import typed_reading
from servicedesk.words import say, say_n
from servicedesk.words.findings import where_text


class TroubleSheets(QObject):
    """Rows and answers by the place of their job. `entered` carries the entry after each key."""

    entered = Signal(object)
    asked = Signal(str, str)  # more about what: cause or check, and its id

    def __init__(self, theme: Theme, desk: Desk, form: VisitForm, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme, self._desk, self._form = theme, desk, form
        self._entry: VisitEntry | None = None
        self._wrong: dict[int, dict[str, str]] = {}
        self.rows: dict[int, CheckRows] = {}
        self.behind: dict[int, BehindSheet] = {}
        self._places: dict[QObject, int] = {}
        several = len(form.troubles) > 1
        for n, job in enumerate(form.jobs):
            trouble = form.troubles.get(job.id)
            if trouble is not None:
                self._add(n, trouble, form.titles[job.id] if several else "")
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(0)
        self._later.timeout.connect(self._show_row)
        self._shown = next(iter(self.rows), -1)
        self.sheet = self._sheet() if self.rows else None

    def show_entry(self, entry: VisitEntry) -> None:
        """Show what is written so far."""
        self._entry = entry
        for n, rows in self.rows.items():
            job = entry.jobs[n]
            trouble = self._form.troubles[job.job_id]
            numbers = {
                one.id: (typed.text, typed.unit)
                for one in trouble.checks
                if one.measure is not None
                and (typed := job.readings.get(one.measure.id)) is not None
            }
            rows.show_said(job.findings, numbers, self._wrong.get(n, {}))
            self.behind[n].show_entry(job)
        if self.sheet is not None:
            if self.weather.text() != entry.weather:
                self.weather.setText(entry.weather)
            self._show_count()

    def show_job(self, n: int) -> None:
        """Show the checks of that job, if it has any."""
        if n in self.rows:
            self._shown = n
        for place, rows in self.rows.items():
            rows.setVisible(place == self._shown)
        if self._entry is not None and self.sheet is not None:
            self._show_count()
            self._moved(QRectF())

    def clear_wrong(self) -> None:
        """Nothing is wrong, or not judged yet."""
        self._wrong = {}
        for sheet in self.behind.values():
            sheet.show_wrong("")

    def show_wrong(self, n: int, field: str, check_id: str, sentence: str) -> None:
        """Say at the check, or under the answers, what is wrong."""
        if field == "check":
            self._wrong.setdefault(n, {})[check_id] = sentence
            self.rows[n].go_to(check_id)
        else:
            self.behind[n].show_wrong(sentence)

    def check_of_number(self, n: int, number_id: str) -> str:
        """The check whose number it is, "" for none."""
        trouble = self._form.troubles[self._form.jobs[n].id]
        ids = (c.id for c in trouble.checks if c.measure and c.measure.id == number_id)
        return next(ids, "")

    def ask_more(self) -> None:
        """More is wanted about the cause that the keys are at, else about the check in hand."""
        sheets = self.behind.values()
        cause = next((one.cause_in_hand for one in sheets if one.cause_in_hand), "")
        if cause:
            self._cause_asked(cause)
        elif self._shown in self.rows:
            self._check_asked(self.rows[self._shown].current.check_id)

    @Slot(str)
    def _cause_asked(self, cause_id: str) -> None:
        self.asked.emit("cause", cause_id)

    @Slot(str)
    def _check_asked(self, check_id: str) -> None:
        self.asked.emit("check", check_id)

    # building

    def _add(self, n: int, trouble: JobTrouble, title: str) -> None:
        rows = CheckRows(self._theme, [self._line(one) for one in trouble.checks])
        rows.answered.connect(self._answered)
        rows.read.connect(self._read)
        rows.moved.connect(self._moved)
        rows.asked.connect(self._check_asked)
        behind = BehindSheet(self._theme, trouble, title)
        behind.edited.connect(self._behind_edited)
        behind.asked.connect(self._cause_asked)
        self.rows[n], self.behind[n] = rows, behind
        self._places[rows] = self._places[behind] = n

    def _line(self, one: FormCheck) -> CheckLine:
        unit = ""
        if one.unit is not None:
            since = one.unit.installed_on
            day = self._desk.formats.day(since) if since else ""
            name = one.unit.model or one.component
            unit = say("{unit}, in since {day}", unit=name, day=day) if day else name
        texts = [(result.id, result.text) for result in one.check.results]
        return CheckLine(
            check_id=one.id,
            name=one.check.name,
            about=" · ".join(part for part in (one.check.how.rstrip("."), unit) if part),
            effort=say_n("{where}, {n} min", "{where}, {n} min", round(one.check.minutes),
                         where=where_text(one.check.where)),
            cautions=one.cautions,
            options=(*texts, (NOT_LOOKED_AT, say("not looked at"))),
            unit=one.measure.units[0] if one.measure is not None else "",
        )  # fmt: skip

    def _sheet(self) -> Sheet:
        sheet = Sheet(self._theme, say("As found"))
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 6, 0)
        column.setSpacing(0)
        for rows in self.rows.values():
            column.addWidget(rows)
        column.addStretch(1)
        self.scroll = scrolled(inside)
        sheet.body.addWidget(self.scroll, 1)
        sheet.body.addWidget(Hairline(self._theme))
        letters = " ".join(result_letters())
        legend = say(
            "{letters} the results in their order · {l} not looked at · a digit begins the number"
            " · Backspace takes an answer back · Ctrl+I what is known about it",
            letters=letters,
            l=grade_letters()[NOT_LOOKED_AT],
        )
        sheet.body.addWidget(Words(self._theme, legend, role="axis", color="ink3", wraps=True))
        sheet.body.addLayout(self._weather_row())
        return sheet

    def _weather_row(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(8)
        self.weather = QLineEdit()
        self.weather.setAccessibleName(say("Weather"))
        self.weather.setPlaceholderText(say("dry for a week, heavy rain last night"))
        self.weather.textEdited.connect(self._weather_edited)
        row.addWidget(Words(self._theme, say("Weather"), color="ink2"))
        row.addWidget(self.weather, 1)
        row.addWidget(KeyCap(self._theme, form_letters()["weather"]))
        return row

    # what is written

    def _say(self, entry: VisitEntry) -> None:
        self._entry = entry
        self.entered.emit(entry)

    @Slot(str, str)
    def _answered(self, check_id: str, said: str) -> None:
        if self._entry is None:
            return
        n = self._places[self.sender()]
        self._wrong.get(n, {}).pop(check_id, None)
        self._say(self._with_answer(self._entry, n, check_id, said))

    def _with_answer(self, entry: VisitEntry, n: int, check_id: str, said: str) -> VisitEntry:
        """The answer at this job, and at every other one of the system that asks the check."""
        system_id = self._form.troubles[entry.jobs[n].job_id].system_id
        for place in self.rows:
            trouble = self._form.troubles[entry.jobs[place].job_id]
            asks = any(one.id == check_id for one in trouble.checks)
            if place != n and not (asks and trouble.system_id == system_id):
                continue
            job = entry.jobs[place]
            findings = {**job.findings, check_id: said}
            if not said:
                findings.pop(check_id)
            outcome = job.outcome or ("done" if place == n else "")
            entry = entry.with_job(replace(job, findings=findings, outcome=outcome))
        return entry

    @Slot(str, str)
    def _read(self, check_id: str, text: str) -> None:
        if self._entry is None:
            return
        n = self._places[self.sender()]
        job = self._entry.jobs[n]
        trouble = self._form.troubles[job.job_id]
        number = next(one.measure for one in trouble.checks if one.id == check_id)
        if number is None:
            return
        readings = dict(job.readings)
        self._wrong.get(n, {}).pop(check_id, None)
        if text.strip():
            typed = ReadingEntry(*typed_reading(number, text))
            readings[number.id] = typed
            sentence = wrong_typed(number.id, typed)
            if sentence:
                self._wrong.setdefault(n, {})[check_id] = sentence
        else:
            readings.pop(number.id, None)
        if readings == dict(job.readings):
            return
        entry = self._entry.with_job(replace(job, readings=readings, outcome=job.outcome or "done"))
        typed_now = readings.get(number.id)
        reading = reading_of(typed_now.text, typed_now.unit) if typed_now else None
        means = result_of_reading(check_id, reading)
        self._say(self._with_answer(entry, n, check_id, means) if means else entry)

    @Slot()
    def _behind_edited(self) -> None:
        if self._entry is None:
            return
        n = self._places[self.sender()]
        job = self.behind[n].fill(self._entry.jobs[n])
        self.behind[n].show_wrong("")
        self._say(self._entry.with_job(replace(job, outcome=job.outcome or "done")))

    @Slot(str)
    def _weather_edited(self, text: str) -> None:
        if self._entry is not None:
            self._say(replace(self._entry, weather=text))

    def _show_count(self) -> None:
        if self.sheet is None or self._entry is None:
            return
        job = self._entry.jobs[self._shown]
        asked = [line.check_id for line in self.rows[self._shown].lines]
        said = sum(check in job.findings for check in asked)
        self.sheet.set_title(
            say("As found"), say("{said} of {n} checks answered", said=said, n=len(asked))
        )

    @Slot(QRectF)
    def _moved(self, box: QRectF) -> None:
        self._later.start()  # the room for the rows is known after the layout

    @Slot()
    def _show_row(self) -> None:
        rows = self.rows.get(self._shown)
        if rows is not None and rows.boxes:
            box, margin = rows.box_in_hand, self._theme.px(8)
            self.scroll.ensureVisible(0, round(box.bottom()), 0, margin)
            self.scroll.ensureVisible(0, round(box.top()), 0, margin)  # its name before all
