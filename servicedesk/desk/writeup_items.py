"""The items of an inspection as the form asks them: which apply, what "as usual" says of them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from servicedesk.records.writeup_rows import ItemRow
from servicedesk.trade.checks import checks
from servicedesk.trade.reading_shapes import Answer, Grade, Item
from servicedesk.trade.readings import Part, Placed, catalogue, place_of
from servicedesk.values.reading import Qualifier, Reading, ReadingState

NOT_LOOKED_AT = "not looked at"
GRADES = (*(grade.value for grade in Grade), NOT_LOOKED_AT)
# kinds of work that look at a whole system, item by item
ITEM_KINDS = ("inspection", "sale")
LIDS_FOUND = "lids-found"
LIDS_LEFT = "leave-lids-screwed"

# Opened once a year at most, with all circuits locked: a key that says "as usual" must not claim
# that somebody did (common practice, no source).
NEVER_TAKEN_FOR_GRANTED = frozenset({"splices-look"})


@dataclass(frozen=True, slots=True)
class FormItem:
    """One item of the form: `answers` are those that fit what stands at the system."""

    part: Part
    item: Item
    answers: tuple[Answer, ...]

    def answers_of(self, grade: Grade) -> tuple[Answer, ...]:
        """The answers of one grade, in the order of the catalogue."""
        return tuple(answer for answer in self.answers if answer.grade is grade)


def form_items(equipment: Iterable[str] = ()) -> tuple[FormItem, ...]:
    """What an inspection asks where this equipment stands, in the order of a visit.

    Without equipment nothing is known about the system and everything is asked. Items that are
    records of their own (parts, owed work, what was told) are not asked twice.
    """
    known = frozenset(equipment)
    found = []
    for part in (Part.AS_FOUND, Part.WORK):
        for item in catalogue().parts[part]:
            answers = tuple(one for one in item.answers if not known or _fits(one, known))
            if answers or (item.numbers and not item.answers):
                found.append(FormItem(part, item, answers))
    return tuple(found)


def _fits(answer: Answer, equipment: frozenset[str]) -> bool:
    known = checks()
    needs = (known[check].needs for check, _ in answer.results if check in known)
    return all(equipment.issuperset(some) for some in needs)


def as_usual(items: Iterable[FormItem] | None = None) -> dict[str, ItemRow]:
    """A row for every item: its first good answer, the start of a write-up without exceptions.

    What is only measured, and what nobody opens on a usual visit, is *not looked at* until
    somebody says otherwise.
    """
    usual: dict[str, ItemRow] = {}
    for one in form_items() if items is None else items:
        good = one.answers_of(Grade.GOOD)
        if good and one.item.id not in NEVER_TAKEN_FOR_GRANTED:
            usual[one.item.id] = ItemRow(Grade.GOOD.value, good[0].text)
        else:
            usual[one.item.id] = ItemRow(NOT_LOOKED_AT)
    return usual


def next_answer(one: FormItem, said: ItemRow | None, grade: str) -> ItemRow:
    """What the key of a grade says: its first answer, pressed again the next one of that grade."""
    note = said.note if said else ""
    if grade == NOT_LOOKED_AT:
        return ItemRow(NOT_LOOKED_AT, "", note)
    texts = [answer.text for answer in one.answers_of(Grade(grade))]
    if not texts:
        return ItemRow(grade, "", note)
    again = said is not None and said.grade == grade and said.answer in texts
    at = (texts.index(said.answer) + 1) % len(texts) if again and said else 0
    return ItemRow(grade, texts[at], note)


def placed(number_id: str, reading: Reading) -> Placed | None:
    """Where a reading lies; None where it is no number or not in the unit of the range."""
    number = catalogue().number(number_id)
    value = reading.number()
    if number is None or value is None or reading.state is not ReadingState.MEASURED:
        return None
    if reading.unit != number.units[0] or reading.qualifier is Qualifier.OVER_RANGE:
        return None
    if reading.qualifier is Qualifier.LESS and number.bands:
        # "<0.1" lies in the band below 0.1, not in the one that begins there
        below = [band for band in number.bands if band.below is not None and value <= band.below]
        at = place_of(number, value)
        return Placed(at.place, below[0].grade, below[0].results) if below else at
    return place_of(number, value)


def grade_by_numbers(one: FormItem, readings: Mapping[str, Reading]) -> Grade | None:
    """The worst grade that the readings of an item give, None if they say nothing of it."""
    order = (Grade.GOOD, Grade.WATCH, Grade.FAILED)
    found: list[Grade] = []
    for number in one.item.numbers:
        reading = readings.get(number.id)
        at = placed(number.id, reading) if reading else None
        if at is not None and at.grade is not None:
            found.append(at.grade)
        elif reading is not None and not one.item.answers and reading.number() is not None:
            found.append(Grade.GOOD)  # measured: looked at, and no range says anything else
    return max(found, key=order.index) if found else None


def with_numbers(
    one: FormItem, said: ItemRow | None, readings: Mapping[str, Reading]
) -> ItemRow | None:
    """What is said of an item once its readings are known: a number decides over "as usual"."""
    grade = grade_by_numbers(one, readings)
    if grade is None or (said is not None and said.grade == grade.value):
        return said
    return next_answer(one, said, grade.value)


def unticked(leaving: Mapping[str, bool]) -> tuple[str, ...]:
    """The lines of the leaving list that are not ticked, in their order, by name."""
    return tuple(
        item.name for item in catalogue().parts[Part.LEAVING] if not leaving.get(item.id, False)
    )


def is_lid_open(items: Iterable[Mapping[str, ItemRow]], leaving: Mapping[str, bool]) -> bool:
    """Was a lid found not whole, seated and screwed, and is it not said that all are now?"""
    bad = {Grade.WATCH.value, Grade.FAILED.value}
    found = any(said[LIDS_FOUND].grade in bad for said in items if LIDS_FOUND in said)
    return found and not leaving.get(LIDS_LEFT, False)
