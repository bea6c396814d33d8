"""The rows of an inspection and what they show, made from a form and what is written so far."""

from collections.abc import Mapping, Sequence
from decimal import Decimal, InvalidOperation

from servicedesk.desk.writeup_entry import JobEntry
from servicedesk.desk.writeup_form import VisitForm
from servicedesk.desk.writeup_items import FormItem, placed
from servicedesk.desk.writeup_read import reading_of
from servicedesk.trade.reading_shapes import Number
from servicedesk.trade.readings import Part
from servicedesk.window.widgets.writeup_boxes import Line
from servicedesk.window.widgets.writeup_keys import grade_text
from servicedesk.window.widgets.writeup_paint import RowState, place_words
from servicedesk.words import say


def row_lines(items: Sequence[FormItem]) -> tuple[Line, ...]:
    """One row an item, under headings; an item with several readings has a row for each."""
    headings = {Part.AS_FOUND: say("As found"), Part.WORK: say("Work and readings")}
    lines: list[Line] = []
    part: Part | None = None
    for one in items:
        if one.part is not part:
            part = one.part
            lines.append(Line(kind="heading", name=headings[part]))
        numbers = one.item.numbers
        single = numbers[0].id if len(numbers) == 1 else ""
        lines.append(Line(kind="item", name=one.item.name, item_id=one.item.id, number_id=single))
        if not single:
            lines += [
                Line(kind="number", name=n.name, item_id=one.item.id, number_id=n.id)
                for n in numbers
            ]
    return tuple(lines)


def row_states(
    form: VisitForm,
    job: JobEntry,
    items: Sequence[FormItem],
    wrong: Mapping[str, str],
) -> dict[str, RowState]:
    """What each row shows, by item id and by number id. `wrong` sentences by number id."""
    row = next(one for one in form.jobs if one.id == job.job_id)
    states: dict[str, RowState] = {}
    for one in items:
        said = job.items.get(one.item.id)
        states[one.item.id] = RowState(
            grade=said.grade if said else "",
            answer=_answer(one, said.grade if said else "", said.answer if said else ""),
            words=grade_text(said.grade) if said else say("no answer yet"),
        )
        for number in one.item.numbers:
            earlier = form.earlier.get((row.system_id or 0, number.id), [])
            values = [_decimal(r.value) for r in earlier if r.unit == number.units[0]]
            before = tuple(value for value in values if value is not None)
            states_number = _number_state(job, number, before, wrong.get(number.id, ""))
            # an item and its one reading may share an id: they are told apart by a prefix
            states[f"#{number.id}"] = states_number
    return states


def _answer(one: FormItem, grade: str, answer: str) -> str:
    if answer:
        return answer
    if grade:
        return grade_text(grade)
    return one.item.record or ""


def _number_state(
    job: JobEntry, number: Number, earlier: tuple[Decimal, ...], wrong: str
) -> RowState:
    typed = job.readings.get(number.id)
    usual = number.usual
    ends = (usual.low, usual.high) if usual is not None else (None, None)
    if typed is None or not typed.text.strip():
        return RowState(unit=number.units[0], usual=ends, earlier=earlier, wrong=wrong)
    reading = reading_of(typed.text, typed.unit)
    at = placed(number.id, reading) if reading is not None else None
    place = place_words(at.place.value) if at is not None else ""
    value = reading.number() if at is not None and reading is not None else None
    grade = at.grade.value if at is not None and at.grade is not None else ""
    if not grade and at is not None and at.place.value in ("below", "above"):
        grade = "watch"  # outside its range: a finding to explain
    shown_unit = typed.unit if reading is None or reading.value else ""
    return RowState(
        grade=grade,
        typed=typed.text,
        unit=shown_unit,
        place=place,
        value=value,
        usual=ends,
        earlier=earlier,
        words=" ".join(part for part in (typed.text, shown_unit, place) if part),
        wrong=wrong,
    )


def _decimal(text: str) -> Decimal | None:
    try:
        value = Decimal(text)
    except InvalidOperation:
        return None
    return value if value.is_finite() else None


def typed_reading(number: Number, text: str) -> tuple[str, str]:
    """What was typed, and its unit: "22 kPa" is in kPa, a bare number in the first unit."""
    wanted = text.strip().replace("ohms", "Ω").replace("ohm", "Ω")
    for unit in sorted(number.units, key=len, reverse=True):
        bare = wanted.casefold().removesuffix(unit.casefold())
        if bare != wanted.casefold() and bare.strip():
            return wanted[: len(bare)].strip(), unit
    return wanted, number.units[0]
