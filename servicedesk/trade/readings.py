"""The items of an inspection: what is looked at or measured, and which check result it means.

One catalogue maps every item: a grade or a number gives results of checks (`results_of_answer`,
`place_of`), a check named at an item and not answered is *not looked at* (`checks_of`). Items
that say nothing about any cause say so, with the reason.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from functools import cache
from itertools import chain

from servicedesk.trade.knowledge import Entry, shipped_yaml
from servicedesk.trade.reading_shapes import (
    Answer,
    Band,
    Grade,
    Item,
    Number,
    Place,
    Results,
    Usual,
)

_FILE = "readings.yaml"


class Part(StrEnum):
    """The parts of a visit in the order in which they are done."""

    AS_FOUND = "as_found"
    WORK = "work"
    AS_LEFT = "as_left"
    LEAVING = "before_leaving_site"


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalogue:
    """All items by part of the visit, and what a laboratory may be asked for."""

    parts: Mapping[Part, tuple[Item, ...]]
    samples: tuple[Number, ...]

    def items(self) -> tuple[Item, ...]:
        """Every item in the order of a visit."""
        return tuple(chain.from_iterable(self.parts[part] for part in Part))

    def item(self, item_id: str) -> Item | None:
        """The item of that id, or None."""
        return next((item for item in self.items() if item.id == item_id), None)

    def number(self, number_id: str) -> Number | None:
        """The measured number or sample of that id, or None."""
        numbers = chain(chain.from_iterable(i.numbers for i in self.items()), self.samples)
        return next((number for number in numbers if number.id == number_id), None)


@cache
def catalogue() -> Catalogue:
    """The catalogue that travels with the program.

    Raises `KnowledgeFault` where an item has neither a mapping nor a reason for having none.
    """
    top = Entry.of(shipped_yaml(_FILE), file=_FILE, path="")
    top.known_only(*(part.value for part in Part), "samples")
    parts = {part: tuple(_item(e, part) for e in top.entries(part.value)) for part in Part}
    samples = tuple(_sample(entry) for entry in top.entries("samples"))
    found = Catalogue(parts=parts, samples=samples)
    ids = [item.id for item in found.items()]
    for item_id in ids:
        if ids.count(item_id) > 1:
            raise top.fault(item_id, "twice", value=item_id)
    return found


def checks_of(item: Item) -> tuple[str, ...]:
    """Ids of the checks that an item may answer; unanswered they count as *not looked at*."""
    said = chain(
        (answer.results for answer in item.answers),
        (results for number in item.numbers for results in number.all_results()),
    )
    return tuple(dict.fromkeys(check for results in said for check, _ in results))


def answer_for(item: Item, grade: Grade) -> Answer | None:
    """The answer that a single key for a grade gives: the first of it, or None if there is none."""
    return next((answer for answer in item.answers if answer.grade is grade), None)


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a number lies, the grade if it has one, and the check results it means."""

    place: Place
    grade: Grade | None
    results: Results


def place_of(number: Number, value: Decimal, *, own: Usual | None = None) -> Placed:
    """Where `value` (in the first unit of `number`) lies and what that means.

    `own` is the range of this very system (plate, earlier readings, permit) and goes before the
    usual one. Where no range is known the place is `NO_RANGE` and nothing is concluded from it.
    """
    usual = own or number.usual
    place = Place.NO_RANGE if usual is None else usual.place(value)
    for band in number.bands:
        if band.below is None or value < band.below:
            return Placed(place, band.grade, band.results)
    return Placed(place, None, dict(number.places).get(place, ()))


def _item(entry: Entry, part: Part) -> Item:
    entry.known_only(
        *("id", "name", "record", "sources", "cautions", "answers", "numbers"),
        *("maps_to", "reason"),
    )
    reason = _reason_for_none(entry)
    if part is Part.LEAVING:
        reason = reason or "a duty on leaving, no finding about a cause"
    item = Item(
        id=entry.text("id"),
        name=entry.text("name"),
        record=entry.maybe_text("record"),
        sources=entry.texts("sources"),
        cautions=entry.texts("cautions"),
        answers=tuple(_answer(one, reason) for one in entry.entries("answers")),
        numbers=tuple(_number(one) for one in entry.entries("numbers")),
        why_no_check=reason,
    )
    if reason is None and not checks_of(item):
        raise entry.fault("answers", "no_mapping", value=item.id)
    return item


def _reason_for_none(entry: Entry) -> str | None:
    if not entry.has("maps_to"):
        return None
    entry.one_of("maps_to", ("none",))
    return entry.text("reason")


def _answer(entry: Entry, why_none: str | None) -> Answer:
    entry.known_only("grade", "text", "results", "reason")
    results = _results(entry, "results")
    reason = entry.maybe_text("reason") or why_none
    if not results and reason is None:
        raise entry.fault("results", "no_mapping", value=entry.text("text"))
    grade = Grade(entry.one_of("grade", [one.value for one in Grade]))
    return Answer(grade=grade, text=entry.text("text"), results=results)


def _number(entry: Entry) -> Number:
    entry.known_only(
        *("id", "name", "units", "usual", "bands", "places", "maps_to", "reason"),
    )
    none = _reason_for_none(entry)
    number = Number(
        id=entry.text("id"),
        name=entry.text("name"),
        units=entry.texts("units"),
        usual=_usual(entry.entry("usual")) if entry.has("usual") else None,
        bands=tuple(_band(one) for one in entry.entries("bands")),
        places=_places(entry.entry("places")) if entry.has("places") else (),
        why_no_check=none,
    )
    if not number.units:
        raise entry.fault("units", "none_given")
    if none is None and not number.all_results():
        raise entry.fault("places", "no_mapping", value=number.id)
    silent = any(not results for _, results in number.places)
    if silent and not entry.has("reason"):
        raise entry.fault("places", "no_mapping", value=number.id)
    return number


def _sample(entry: Entry) -> Number:
    entry.known_only("id", "name", "units", "usual")
    return Number(
        id=entry.text("id"),
        name=entry.text("name"),
        units=entry.texts("units"),
        usual=_usual(entry.entry("usual")),
        why_no_check="a laboratory result comes days later and belongs to a limit, not to a check",
    )


def _usual(entry: Entry) -> Usual:
    entry.known_only("low", "high", "own", "source", "sure")
    low, high = (
        Decimal(str(entry.number(key))) if entry.has(key) else None for key in ("low", "high")
    )
    if low is not None and high is not None and low > high:
        raise entry.fault("low", "above_high", low=low, high=high)
    return Usual(
        low=low,
        high=high,
        own=entry.flag("own", default=False),
        source=entry.text("source"),
        sure=entry.one_of("sure", ("seen", "seen_second_hand", "memory", "practice")),
    )


def _band(entry: Entry) -> Band:
    entry.known_only("below", "grade", "results")
    below = Decimal(str(entry.number("below"))) if entry.has("below") else None
    grade = Grade(entry.one_of("grade", [one.value for one in Grade]))
    return Band(below=below, grade=grade, results=_results(entry, "results"))


def _places(entry: Entry) -> tuple[tuple[Place, Results], ...]:
    three = (Place.BELOW, Place.WITHIN, Place.ABOVE)
    entry.known_only(*(place.value for place in three))
    return tuple((place, _results(entry, place.value)) for place in three)


def _results(entry: Entry, key: str) -> Results:
    if not entry.has(key):
        return ()
    inner = entry.entry(key)
    return tuple((check, inner.text(check)) for check in inner.values)
