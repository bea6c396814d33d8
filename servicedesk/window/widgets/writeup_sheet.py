"""The form of one visit: what was found, what was done, what is owed, how it was left."""

from dataclasses import replace

from PySide6.QtCore import QRectF, QTimer, Signal, Slot
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from servicedesk.desk.checking import Wrong
from servicedesk.desk.office import Desk
from servicedesk.desk.writeup_agree import agreeing
from servicedesk.desk.writeup_checks import NOT_LOOKED_AT
from servicedesk.desk.writeup_entry import (
    JobEntry,
    OwedEntry,
    ReadingEntry,
    VisitEntry,
    readings_of,
    with_owed_checks,
    wrong_typed,
)
from servicedesk.desk.writeup_form import VisitForm
from servicedesk.desk.writeup_items import (
    ITEM_KINDS,
    FormItem,
    as_usual,
    form_items,
    next_answer,
    with_numbers,
)
from servicedesk.trade.cautions import caution_texts
from servicedesk.trade.readings import catalogue
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Hairline, Sheet
from servicedesk.window.widgets.writeup_check_rows import CheckRows
from servicedesk.window.widgets.writeup_columns import (
    bring_into_view,
    cautions_sheet,
    column_of,
    scrolled,
)
from servicedesk.window.widgets.writeup_job import JobPanel
from servicedesk.window.widgets.writeup_keys import form_letters, grade_letters, grade_text
from servicedesk.window.widgets.writeup_rows import ItemRows
from servicedesk.window.widgets.writeup_sides import FormSides
from servicedesk.window.widgets.writeup_states import row_lines, row_states, typed_reading
from servicedesk.window.widgets.writeup_trouble import TroubleSheets
from servicedesk.words import say

_SIDE_PX = 352


class FormSheets(FormSides):
    """Two columns of sheets over one entry. `edited` after each key that changed it."""

    edited = Signal()

    def __init__(self, theme: Theme, desk: Desk, form: VisitForm, entry: VisitEntry) -> None:
        super().__init__()
        self._theme, self._desk, self.form, self.entry = theme, desk, form, entry
        self._wrong_readings: dict[str, str] = {}
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(0)
        self._later.timeout.connect(self._show_row)
        self.letters = form_letters()
        self.panels = [self._panel(job) for job in entry.jobs]
        self._in_hand = 0
        self.trouble = TroubleSheets(theme, desk, form, self)
        self.trouble.entered.connect(self._trouble_entered)
        inspections = [n for n, panel in enumerate(self.panels) if panel.is_inspection]
        self.items: dict[int, tuple[FormItem, ...]] = {}
        self.rows: dict[int, ItemRows] = {}
        for n in inspections:
            self._add_rows(n)
        self._in_hand = next(iter((*inspections, *self.trouble.rows)), 0)
        self._build()
        self._show()

    # what can be done, called by the place's keys

    @property
    def job_in_hand(self) -> JobPanel:
        """The job that the letters act on."""
        return self.panels[self._in_hand]

    @property
    def rows_in_hand(self) -> ItemRows | None:
        """The rows of the inspection in hand."""
        return self.rows.get(self._in_hand)

    @property
    def checks_in_hand(self) -> CheckRows | None:
        """The checks of the trouble in hand."""
        return self.trouble.rows.get(self._in_hand)

    def first_focus(self) -> QWidget:
        """Who gets the keys when the form opens."""
        rows = self.rows_in_hand or self.checks_in_hand
        return rows if rows is not None else self.job_in_hand.outcomes.buttons()[0]

    def take_as_usual(self) -> None:
        """All inspections done, every item as usual; readings keep their word over it."""
        for n, items in self.items.items():
            job = self.entry.jobs[n]
            usual = agreeing(as_usual(items), items, self.entry.found())
            job = replace(job, outcome="done", could_not="", items=usual)
            self._put(self._with_readings(job, items))
        self._after()

    def grade(self, grade: str) -> None:
        """Say the grade of the row in hand; the same key again takes its next answer."""
        rows, checks = self.rows_in_hand, self.checks_in_hand
        if rows is not None:
            self._graded(rows.current.item_id, grade)
        elif checks is not None and grade == NOT_LOOKED_AT:
            checks.setFocus()
            checks.not_looked_at()

    def answer(self, n: int) -> None:
        """The nth result of the check in hand, from 0."""
        if self.checks_in_hand is not None:
            self.checks_in_hand.setFocus()
            self.checks_in_hand.answer(n)

    def to_behind(self) -> None:
        """What was behind the trouble in hand, or the first one."""
        if self._to_trouble():
            self.trouble.behind[self._in_hand].focus_first()

    def to_work(self) -> None:
        """What was found and done at the job in hand."""
        if not self.job_in_hand.is_inspection or self._to_trouble():
            self.job_in_hand.found.setFocus()

    def to_weather(self) -> None:
        """The weather of the visit."""
        if self.trouble.sheet is not None:
            self.trouble.weather.setFocus()

    def _to_trouble(self) -> bool:
        """Take a trouble in hand, if there is one and none is; whether one is."""
        if self._in_hand not in self.trouble.rows and self.trouble.rows:
            self._in_hand = next(iter(self.trouble.rows))
            self._show_in_hand()
        return self._in_hand in self.trouble.rows

    def set_outcome(self, outcome: str) -> None:
        """How the job in hand went."""
        self.job_in_hand.set_outcome(outcome)

    def next_job(self) -> None:
        """Take the next job in hand."""
        self._in_hand = (self._in_hand + 1) % len(self.panels)
        self._show_in_hand()
        self.first_focus().setFocus()

    def next_reading(self) -> None:
        """Take the next row with a reading in hand."""
        rows = self.rows_in_hand or self.checks_in_hand
        if rows is not None:
            rows.setFocus()
            rows.next_reading()

    def to_part(self) -> None:
        """The field of the next part."""
        field = self.parts.first_empty()
        field.setFocus()
        bring_into_view(field)

    def take_part(self, n: int) -> None:
        """The nth part that is offered, from 0."""
        bring_into_view(self.parts)
        self.parts.take_offered(n)

    @Slot()
    def _left_parts(self) -> None:
        self.first_focus().setFocus()

    def to_owed(self) -> None:
        """The field of what is owed next."""
        self.owed.first_empty().setFocus()

    def to_note(self) -> None:
        """The note of how it was left."""
        self.leaving.note.setFocus()

    def end_editing(self) -> None:
        """Take over a reading that is still open."""
        for rows in self.rows.values():
            rows.end_editing()
        for checks in self.trouble.rows.values():
            checks.end_editing()

    def show_wrong(self, wrong: tuple[Wrong, ...]) -> None:
        """Each sentence at its place; () clears them. Times belong to the head of the page."""
        for panel in self.panels:
            panel.clear_wrong()
        self.parts.clear_wrong()
        self.owed.clear_wrong()
        self.leaving.show_wrong("")
        self.trouble.clear_wrong()
        self._wrong_readings = {}
        for one in wrong:
            self._show_one(one)
        self._show_states()
        self.trouble.show_entry(self.entry)

    def _show_one(self, one: Wrong) -> None:
        match one.field.split(":"):
            case ["job", job_id, ("check" | "behind" | "cause" | "known_by") as field, *check]:
                self._in_hand = self._place(job_id)
                self._show_in_hand()
                self.trouble.show_wrong(self._in_hand, field, "".join(check), one.says)
            case ["job", job_id, "reading", number] if self._place(job_id) in self.trouble.rows:
                n = self._place(job_id)
                check_id = self.trouble.check_of_number(n, number)
                self.trouble.show_wrong(n, "check", check_id, one.says)
            case ["job", _, "reading", number]:
                self._wrong_readings[number] = one.says
                rows = self.rows_in_hand
                if rows is not None:
                    rows.go_to(number_id=number)
            case ["job", job_id, field, *_]:
                panel = next(p for p in self.panels if p.job_id == int(job_id))
                panel.show_wrong(field, one.says)
            case ["part", n, name]:
                self.parts.show_wrong(int(n), name, one.says)
            case ["approval"]:
                self.parts.ask_approval()
                bring_into_view(self.parts.approved_by)
            case ["owed", n, name]:
                self.owed.show_wrong(int(n), name, one.says)
            case ["leaving", *_]:
                self.leaving.show_wrong(one.says)

    def _place(self, job_id: str) -> int:
        return next(n for n, panel in enumerate(self.panels) if panel.job_id == int(job_id))

    # building

    def _panel(self, job: JobEntry) -> JobPanel:
        row = next(one for one in self.form.jobs if one.id == job.job_id)
        visit_job = next(one for one in self.form.written.visit.jobs if one.id == job.job_id)
        call = self.form.calls.get(visit_job.call_id or 0)
        about = " · ".join(part for part in (call.own_words, call.caller) if part) if call else ""
        panel = JobPanel(
            self._theme,
            job_id=job.job_id,
            title=_first_upper(self.form.titles[job.job_id]),
            about=about,
            is_inspection=row.kind in ITEM_KINDS,
        )
        panel.edited.connect(self._panel_edited)
        panel.patched.connect(self._patched)
        return panel

    def _add_rows(self, n: int) -> None:
        job = self.form.jobs[n]
        self.items[n] = form_items(self.form.equipment.get(job.system_id or 0, ()))
        rows = ItemRows(self._theme, row_lines(self.items[n]))
        rows.graded.connect(self._graded)
        rows.read.connect(self._read)
        rows.moved.connect(self._moved)
        self.rows[n] = rows

    def _build(self) -> None:
        gap = self._theme.tokens.space.sheet_gap
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(gap)
        jobs, owed, parts, left = self._jobs(), self._owed(), self._parts(), self._left()
        cautions = cautions_sheet(self._theme, self.form.cautions)
        found = [self._found()] if self.rows else []
        found += [self.trouble.sheet] if self.trouble.sheet is not None else []
        self.found_sheets = tuple(found)
        if found:
            for sheet in found:
                row.addWidget(sheet, 8)
            behind = tuple(self.trouble.behind.values())
            after = (owed, left) if behind else (left, owed)
            side = column_of((*behind, jobs, *after, parts, cautions), gap)
            side.setMinimumWidth(self._theme.px(_SIDE_PX))
            row.addWidget(side, 5)
        else:
            row.addWidget(column_of((jobs, owed, cautions), gap), 7)
            row.addWidget(column_of((left, parts), gap), 5)

    def _found(self) -> Sheet:
        said = " · ".join(f"{key} {grade_text(g)}" for g, key in grade_letters().items())
        sheet = Sheet(self._theme, say("Looked at"))
        usual = Button(
            self._theme,
            say("All as usual"),
            icon_name="check",
            key=self.letters["as_usual"],
            shows_only=True,
            small=True,
        )
        usual.clicked.connect(self.take_as_usual)
        sheet.head.addStretch(1)
        sheet.head.addWidget(usual)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 6, 0)
        column.setSpacing(0)
        for rows in self.rows.values():
            column.addWidget(rows)
        column.addStretch(1)
        self.items_scroll = scrolled(inside)
        sheet.body.addWidget(self.items_scroll, 1)
        sheet.body.addWidget(Hairline(self._theme))
        digits = say(
            "a digit begins the reading · small dots: the five before · green: usual range"
        )
        legend = f"{said} · {digits}"
        sheet.body.addWidget(Words(self._theme, legend, role="axis", color="ink3", wraps=True))
        self.row_caution = Words(self._theme, role="second", color="clay", weight=600, wraps=True)
        sheet.body.addWidget(self.row_caution)
        return sheet

    # what is written

    def _put(self, job: JobEntry) -> None:
        self.entry = self.entry.with_job(job)

    @Slot(str, str)
    def _graded(self, item_id: str, grade: str) -> None:
        job = self.entry.jobs[self._in_hand]
        one = self._item(item_id)
        said = next_answer(one, job.items.get(item_id), grade)
        job = replace(job, items={**job.items, item_id: said}, outcome=job.outcome or "done")
        self._put(job)
        self._after()

    @Slot(str, str)
    def _read(self, number_id: str, text: str) -> None:
        job = self.entry.jobs[self._in_hand]
        number = catalogue().number(number_id)
        if number is None:
            return
        readings = dict(job.readings)
        if text.strip():
            readings[number_id] = ReadingEntry(*typed_reading(number, text))
        else:
            readings.pop(number_id, None)
        if readings == dict(job.readings):
            return
        self._wrong_readings.pop(number_id, None)
        typed = readings.get(number_id)
        sentence = wrong_typed(number_id, typed) if typed is not None else ""
        if sentence:
            self._wrong_readings[number_id] = sentence
        job = replace(job, readings=readings, outcome=job.outcome or "done")
        items = [one for one in self.items[self._in_hand] if number in one.item.numbers]
        self._put(self._with_readings(job, tuple(items)))
        self._after()

    def _with_readings(self, job: JobEntry, items: tuple[FormItem, ...]) -> JobEntry:
        said = dict(job.items)
        readings = readings_of(job)
        for one in items:
            now = with_numbers(one, said.get(one.item.id), readings)
            if now is not None:
                said[one.item.id] = now
        return replace(job, items=said)

    def _item(self, item_id: str) -> FormItem:
        return next(one for one in self.items[self._in_hand] if one.item.id == item_id)

    def _after(self) -> None:
        """The entry is ahead of what is shown."""
        for panel in self.panels:
            panel.show_entry(self.entry.job(panel.job_id))
        self._show_states()
        self.trouble.show_entry(self.entry)
        self.parts.judge(self.entry)
        self.edited.emit()

    @Slot(object)
    def _trouble_entered(self, entry: VisitEntry) -> None:
        """The checks or what was behind them: the checks owed stand among what is owed."""
        before = entry.owed
        self.entry = with_owed_checks(self.form, entry)
        if self.entry.owed != before:
            self.owed.show_entries(self.entry.owed)
        self._after()

    @Slot()
    def _patched(self) -> None:
        """The lasting repair of the cause is offered as owed; a person says by when."""
        panel = self.sender()
        job = next(
            (j for j, p in zip(self.entry.jobs, self.panels, strict=True) if p is panel), None
        )
        trouble = self.form.troubles.get(job.job_id) if job is not None else None
        cause_id = job.cause_id if job is not None else ""
        cause = trouble.known.causes.get(cause_id) if trouble is not None else None
        if cause is None or self.entry.owed:
            self.to_owed()
            return
        line = OwedEntry(what=say("Lasting repair: {what}", what=cause.permanent_fix.rstrip(".")))
        self.owed.show_entries((line,))
        self._panel_edited()
        self.owed.lines[0].fields["by"].setFocus()

    @Slot()
    def _panel_edited(self) -> None:
        """What is shown is ahead of the entry."""
        self.entry = replace(
            self.entry,
            jobs=tuple(p.fill(self.entry.job(p.job_id)) for p in self.panels),
            parts=self.parts.entries(),
            approved_by=self.parts.approved_by.text(),
            approval_owed=self.parts.approval_owed.isChecked(),
            owed=self.owed.entries(),
            settled=tuple(i for i, tick in self.settled.items() if tick.isChecked()),
            leaving=self.leaving.leaving(),
            as_left=self.leaving.note.text(),
        )
        self.trouble.show_entry(self.entry)
        self.parts.judge(self.entry)
        self.edited.emit()

    def _show(self) -> None:
        for panel in self.panels:
            panel.show_entry(self.entry.job(panel.job_id))
        self.parts.show_entries(self.entry.parts)
        self.parts.judge(self.entry)
        self.owed.show_entries(self.entry.owed)
        for owed_id, tick in self.settled.items():
            tick.blockSignals(True)
            tick.setChecked(owed_id in self.entry.settled)
            tick.blockSignals(False)
        self.leaving.show_entry(dict(self.entry.leaving), self.entry.as_left)
        self.trouble.show_entry(self.entry)
        self._show_in_hand()
        self._show_states()

    def _show_in_hand(self) -> None:
        at_checks = self._in_hand in self.trouble.rows or not self.rows
        for sheet in self.found_sheets:
            sheet.setVisible((sheet is self.trouble.sheet) == at_checks)
        self.trouble.show_job(self._in_hand)
        shown = self._in_hand if self._in_hand in self.rows else next(iter(self.rows), None)
        for n, rows in self.rows.items():
            rows.setVisible(n == shown)
        if self.rows:
            self._moved(QRectF())

    def _show_states(self) -> None:
        for n, rows in self.rows.items():
            job = self.entry.jobs[n]
            rows.show_states(row_states(self.form, job, self.items[n], self._wrong_readings))

    @Slot(QRectF)
    def _moved(self, box: QRectF) -> None:
        rows = self.rows_in_hand or next(iter(self.rows.values()), None)
        if rows is None:
            return
        item = catalogue().item(rows.current.item_id)
        texts = caution_texts(item.cautions) if item is not None else ()
        self.row_caution.setText("\n".join(texts))
        self.row_caution.setVisible(bool(texts))
        self._later.start()  # the room for the rows is known after the layout

    @Slot()
    def _show_row(self) -> None:
        rows = self.rows_in_hand
        if rows is not None and rows.boxes:
            box = rows.box_in_hand
            margin = round(box.height() / 2) + self._theme.px(24)
            self.items_scroll.ensureVisible(0, round(box.center().y()), 0, margin)


def _first_upper(text: str) -> str:
    return text[:1].upper() + text[1:]
