"""The questions that a list leaves open: each asked once, with examples."""

from collections import Counter
from collections.abc import Iterable
from statistics import median

from servicedesk.exchange.columns import Mapping
from servicedesk.exchange.dates import DayOrder, day_order
from servicedesk.exchange.headers import Layout
from servicedesk.exchange.phones import NO_AREA_CODE
from servicedesk.exchange.positions import Doubt, Pair, WorkArea, doubt_of
from servicedesk.exchange.rowreader import Draft
from servicedesk.exchange.understood import Answers, Question
from servicedesk.words import say, say_n

DATE_FIELDS = ("visit_date", "start_up", "contract_from", "contract_until", "next_due")
OWN_AREA_DEG = 3.0
OWN_AREA_FROM = 5


def order_in(layout: Layout, mapping: Mapping) -> DayOrder:
    """Day and month order over all date columns of a list. Real dates of a workbook need none."""
    columns = [choice.col for name in DATE_FIELDS for choice in mapping.columns(name)]
    texts = (
        value
        for data in layout.rows
        for col in columns
        if isinstance(value := data.row.value(col), str) and value
    )
    return day_order(texts)


def day_question(order: DayOrder, layout: Layout, mapping: Mapping) -> Question:
    """Which comes first, the day or the month?"""
    columns = [choice.col for name in DATE_FIELDS for choice in mapping.columns(name)]
    refs = tuple(
        data.row.cell(col).ref
        for data in layout.rows
        for col in columns
        if isinstance(value := data.row.value(col), str) and day_order([value]).open
    )
    text = say("Does {example} begin with the day or with the month?", example=order.open[0])
    if order.for_day and order.for_month:
        text += " " + say(
            "The list has both: {day} begins with the day, {month} with the month.",
            day=order.for_day[0],
            month=order.for_month[0],
        )
    return Question(
        code="day_first",
        text=text,
        examples=order.open,
        choices=((False, say("With the month")), (True, say("With the day"))),
        refs=refs,
    )


def area_for(area: WorkArea | None, pairs: Iterable[Pair]) -> WorkArea | None:
    """Where the places should lie: the company's area, else around the middle of the list itself.

    Without either (fewer than five places) nothing but impossible figures can be doubted.
    """
    if area is not None:
        return area
    places = [
        place for pair in pairs if doubt_of(pair, None) is None and (place := pair.position())
    ]
    if len(places) < OWN_AREA_FROM:
        return None
    lat = median(place.lat_deg for place in places)
    lon = median(place.lon_deg for place in places)
    return WorkArea(lat - OWN_AREA_DEG, lon - OWN_AREA_DEG, lat + OWN_AREA_DEG, lon + OWN_AREA_DEG)


def place_questions(
    drafts: list[Draft], doubts: dict[int, Doubt | None], answers: Answers
) -> list[Question]:
    """Swapped latitude and longitude, and longitudes without their minus."""
    questions = []
    for code, doubt, answer, text, yes in (
        (
            "swap_latlon",
            Doubt.SWAPPED,
            answers.swap_latlon,
            say("Latitude and longitude seem to be exchanged. Exchange them back?"),
            say("Exchange them"),
        ),
        (
            "west",
            Doubt.SIGN,
            answers.west,
            say("Longitudes without a minus lie far in the east. Do they lie west?"),
            say("They lie west"),
        ),
    ):
        those = [draft for draft in drafts if draft.pair and doubts.get(id(draft)) is doubt]
        if those and answer is None:
            questions.append(
                Question(
                    code=code,
                    text=text,
                    examples=tuple(_written(draft.pair) for draft in those[:3] if draft.pair),
                    choices=((True, yes), (False, say("Leave them as written"))),
                    refs=tuple(draft.sources.get("position", "") for draft in those),
                )
            )
    return questions


def _written(pair: Pair) -> str:
    return f"{pair.lat_deg:.5f}, {pair.lon_deg:.5f}"


def area_code_question(drafts: list[Draft]) -> Question | None:
    """Numbers without an area code, with the code most numbers of the list have as suggestion."""
    those = [
        (draft, phone)
        for draft in drafts
        for phone in draft.phones
        if phone.problem == NO_AREA_CODE
    ]
    if not those:
        return None
    codes = Counter(
        phone.e164[2:5]
        for draft in drafts
        for phone in draft.phones
        if phone.e164 and phone.e164.startswith("+1")
    )
    likeliest = codes.most_common(1)
    return Question(
        code="area_code",
        text=say_n(
            "{n} phone number has no area code. Which one belongs before it?",
            "{n} phone numbers have no area code. Which one belongs before them?",
            len(those),
        ),
        examples=tuple(phone.typed for _draft, phone in those[:3]),
        suggestion=likeliest[0][0] if likeliest else "",
        refs=tuple(dict.fromkeys(draft.sources.get("phone", "") for draft, _phone in those)),
    )


def currency_question(drafts: list[Draft]) -> Question | None:
    """Prices whose currency neither the list nor the company tells."""
    those = [
        draft
        for draft in drafts
        if draft.price and draft.price.number is not None and draft.price.amount is None
    ]
    if not those:
        return None
    return Question(
        code="currency",
        text=say("In which currency are the prices?"),
        examples=tuple(draft.price.typed for draft in those[:3] if draft.price),
        refs=tuple(draft.sources.get("price", "") for draft in those),
    )
