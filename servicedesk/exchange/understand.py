"""From a sheet to understood rows: the functions a use case calls, in the order it calls them."""

from datetime import date, datetime

from servicedesk.exchange import asking
from servicedesk.exchange.columns import Mapping, known_heading
from servicedesk.exchange.complaints import complaint_of
from servicedesk.exchange.dates import MONTH, day_order
from servicedesk.exchange.headers import Layout, header_strength, layout_of
from servicedesk.exchange.pastvisits import visit_columns
from servicedesk.exchange.positions import Doubt, WorkArea, doubt_of
from servicedesk.exchange.rowreader import Draft, Fault, Reader, read_row
from servicedesk.exchange.samesite import joined
from servicedesk.exchange.sheetfile import SheetFile, Table
from servicedesk.exchange.understood import (
    Answers,
    PastVisit,
    Question,
    Understood,
    UnderstoodRow,
)
from servicedesk.values.position import Position
from servicedesk.values.progress import Progress, quiet
from servicedesk.words import say


def likeliest_table(sheet: SheetFile) -> Table:
    """The sheet with the most known headings; visible before hidden, then longer, then first."""
    filled = [table for table in sheet.tables if table.rows]

    def rank(table: Table) -> tuple[bool, float, int]:
        strength = header_strength(table, known_heading)
        return (not table.hidden, strength if strength >= 2 else 0.0, len(table.rows))

    return max(filled, key=rank)


def layout_for(table: Table, *, header_row: int | None = None) -> Layout:
    """Headings and rows of a sheet; `header_row` where a person chose it. Raises Trouble."""
    return layout_of(table, known_heading, header_row=header_row)


def understand(
    layout: Layout,
    mapping: Mapping,
    answers: Answers,
    *,
    country: str,
    today: date,
    currency: str = "",
    area: WorkArea | None = None,
    decimal_comma: bool = False,
    progress: Progress = quiet,
) -> Understood:
    """What the list says, one row per system at a site.

    `country`: ISO 3166 code that phone numbers and postcodes belong to. `currency`: the
    company's (ISO 4217), "" if unknown. `area`: where the company works, None if unknown.
    `decimal_comma`: as `SheetFile` found it. `today` decides centuries and what lies in the future.

    A row is never dropped without a complaint of severity *skip*. What must be asked stands in
    `questions`; until answered, what depends on it is left empty and nothing else is. Answers that
    nobody needs change nothing. Linear in the rows: 3,000 sites with 25 columns take under
    2 seconds. Raises Stopped where `progress` does.
    """
    order = asking.order_in(layout, mapping)
    day_first = order.day_first if order.day_first is not None else answers.day_first
    reader = Reader(
        table=layout.table,
        mapping=mapping,
        answers=answers,
        country=country.upper(),
        today=today,
        day_first=day_first,
        currency=answers.currency or currency,
        decimal_comma=decimal_comma,
        family_first=_family_first(mapping),
        visit_columns=visit_columns(mapping, day_first=day_first, today=today),
    )
    drafts = joined(_read(reader, layout, progress))
    places = _placed(drafts, answers, area)
    questions = _questions(layout, answers, drafts, places)
    if order.open and day_first is None:
        questions.insert(0, asking.day_question(order, layout, mapping))
    faults = [fault for draft in drafts for fault in draft.faults]
    faults += _about_columns(layout, mapping, reader)
    complaints = [complaint_of(row, fault, mapping) for row, fault in faults]
    return Understood(
        rows=tuple(_finished(draft, places) for draft in drafts if not _skipped(draft)),
        questions=tuple(questions),
        complaints=tuple(sorted(complaints, key=lambda c: (c.row or 0, c.ref))),
        left=layout.left,
        day_first=day_first if order.open or order.for_day or order.for_month else None,
    )


def _read(reader: Reader, layout: Layout, progress: Progress) -> list[Draft]:
    drafts = []
    for n, data in enumerate(layout.rows):
        if n % 100 == 0:
            progress(n, len(layout.rows), say("Reading rows"))
        drafts.append(read_row(reader, data))
    return drafts


def _about_columns(layout: Layout, mapping: Mapping, reader: Reader) -> list[tuple[int, Fault]]:
    """What is said once for a whole column, at its heading."""
    months = [
        (layout.header_row, Fault("month column", column.choice.col, column.choice.heading))
        for column in reader.visit_columns
        if column.heading.on and column.heading.precision == MONTH
    ]
    return _turned(layout, mapping) + months


def _family_first(mapping: Mapping) -> bool:
    """Without a comma the heading alone tells; most lists write the comma."""
    return any(
        "last" in choice.heading.casefold() and "first" in choice.heading.casefold()
        for choice in mapping.columns("owner_name")
    )


_Places = dict[int, tuple[Position | None, Doubt | None]]


def _placed(drafts: list[Draft], answers: Answers, area: WorkArea | None) -> _Places:
    """The position of each draft by its `id`, after the answers, with the doubt that remains."""
    box = asking.area_for(area, [draft.pair for draft in drafts if draft.pair])
    places: _Places = {}
    waiting = {
        doubt
        for doubt, answer in ((Doubt.SWAPPED, answers.swap_latlon), (Doubt.SIGN, answers.west))
        if answer is None
    }
    for draft in drafts:
        if draft.pair is None:
            continue
        doubt = doubt_of(draft.pair, box)
        place = draft.pair.position()
        if doubt is Doubt.SWAPPED and answers.swap_latlon:
            place = draft.pair.position(swapped=True)
            if box is not None and not box.holds(place):
                place = draft.pair.position(swapped=True, west=True)
            doubt = None
        elif doubt is Doubt.SIGN and answers.west:
            place, doubt = draft.pair.position(west=True), None
        elif doubt in waiting:
            places[id(draft)] = (None, doubt)
            continue
        places[id(draft)] = _judged(draft, place, doubt)
    return places


def _judged(
    draft: Draft, place: Position | None, doubt: Doubt | None
) -> tuple[Position | None, Doubt | None]:
    """Complain where no question will be asked."""
    written = f"{draft.pair.lat_deg:g}, {draft.pair.lon_deg:g}" if draft.pair else ""
    if doubt is Doubt.ZERO:
        draft.complain("place zero")
        return None, None
    if place is None:
        draft.complain("place none", 0, written)
    elif doubt is not None:
        draft.complain("place far", 0, written)
        doubt = Doubt.FAR
    return place, doubt


def _questions(
    layout: Layout, answers: Answers, drafts: list[Draft], places: _Places
) -> list[Question]:
    questions = []
    if not layout.sure:
        questions.append(_header_question(layout))
    doubts = {key: doubt for key, (_place, doubt) in places.items()}
    questions += asking.place_questions(drafts, doubts, answers)
    if answers.area_code is None and (area_code := asking.area_code_question(drafts)):
        questions.append(area_code)
    if currency := asking.currency_question(drafts):
        questions.append(currency)
    return questions


def _header_question(layout: Layout) -> Question:
    """Answered by choosing another row for `layout_for`, or by leaving it and mapping by hand."""
    return Question(
        code="header_row",
        text=say("Are the headings in row {row}?", row=layout.header_row),
        examples=tuple(heading.text for heading in layout.headings if heading.text)[:6],
        suggestion=str(layout.header_row),
    )


def _turned(layout: Layout, mapping: Mapping) -> list[tuple[int, Fault]]:
    """Columns where a spreadsheet took some dates for real ones and left the others as text.

    It does that to 13/4/2025 in an American setting, and then 5/4/2025 has become May 4 silently.
    """
    found: list[tuple[int, Fault]] = []
    for name in asking.DATE_FIELDS:
        for choice in mapping.columns(name):
            values = [data.row.value(choice.col) for data in layout.rows]
            real = [value for value in values if isinstance(value, (date, datetime))]
            texts = [value for value in values if isinstance(value, str)]
            odd = day_order(texts).for_day
            if odd and real and all(value.day <= 12 for value in real):
                found.append((layout.header_row, Fault("turned", choice.col, odd[0])))
    return found


def _skipped(draft: Draft) -> bool:
    return any(fault.code == "nothing" and row == draft.row for row, fault in draft.faults)


def _finished(draft: Draft, places: _Places) -> UnderstoodRow:
    position, doubt = places.get(id(draft), (None, None))
    return UnderstoodRow(
        row=draft.row,
        rows=tuple(draft.rows),
        site=draft.site,
        section=draft.section,
        own_number=draft.text("own_number"),
        owner=draft.owner,
        second_contact=draft.text("second_contact"),
        phones=tuple(draft.phones),
        emails=tuple(draft.emails),
        address=draft.text("address"),
        locality=draft.text("locality"),
        region=draft.text("region"),
        postcode=draft.text("postcode"),
        billing_address=draft.text("billing_address"),
        position=position,
        position_writing=draft.pair.writing if draft.pair else None,
        position_doubt=doubt,
        permit=draft.text("permit"),
        authority=draft.text("authority"),
        system_kind=draft.text("system_kind"),
        treatment=draft.text("treatment"),
        dispersal=draft.text("dispersal"),
        bedrooms=draft.numbers.get("bedrooms"),
        gallons_day=draft.numbers.get("gallons_day"),
        start_up_on=draft.days.get("start_up"),
        contract_from=draft.days.get("contract_from"),
        contract_last_on=draft.days.get("contract_until"),
        visits_year=draft.visits_year,
        price=draft.price,
        past_visits=_in_order(draft),
        next_due=draft.text("next_due"),
        notes="\n".join(draft.notes),
        key=draft.text("key"),
        dog=draft.text("dog"),
        access=draft.text("access"),
        secret="; ".join(dict.fromkeys(draft.secrets)),
        extras=tuple(draft.extras),
        sources=tuple(sorted(draft.sources.items())),
    )


def _in_order(draft: Draft) -> tuple[PastVisit, ...]:
    def when(visit: PastVisit) -> tuple[date, str]:
        either = visit.either or (date.min, date.min)
        return (visit.on or either[0], visit.ref)

    return tuple(sorted(draft.visits, key=when))
