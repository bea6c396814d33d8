"""One row of the list read into a draft: every field with the cell it came from."""

import re
from dataclasses import dataclass, field
from datetime import date

from servicedesk.exchange.addresses import split_address, town_state_postcode
from servicedesk.exchange.columns import EXTRA, Mapping
from servicedesk.exchange.dates import read_day
from servicedesk.exchange.headers import DataRow
from servicedesk.exchange.intervals import HowOften, how_often
from servicedesk.exchange.names import ORGANISATION, OwnerName, owner_name
from servicedesk.exchange.pastvisits import VisitColumn, visits_in
from servicedesk.exchange.phones import NO_AREA_CODE, Phone, phones_in
from servicedesk.exchange.positions import Pair, Writing, read_angle, read_pair
from servicedesk.exchange.prices import Price, amount_of, price_in
from servicedesk.exchange.sheetfile import Row, Table
from servicedesk.exchange.understood import Answers, PastVisit

_GATE_CODE = re.compile(
    r"\b((?:gate|lock|alarm|entry|lock\s?box|key\s?pad|door)\s*(?:code|combo|combination|pin|is)?"
    r"\s*[:#=]?\s*)([#*]?\d{3,8}[#*]?)(?!\d)",
    re.IGNORECASE,
)
_NOTHING = re.compile(r"^(n/?a|none|no|-+|–|—|\?+|unknown|tbd|nil|null|0)$", re.IGNORECASE)
_EMAIL = re.compile(r"[^\s@<>,;()\"]+@[^\s@<>,;()\"]+\.[A-Za-z]{2,}")


@dataclass(frozen=True, slots=True)
class Reader:
    """What is the same for every row of one list."""

    table: Table
    mapping: Mapping
    answers: Answers
    country: str
    today: date
    day_first: bool | None
    currency: str
    decimal_comma: bool
    family_first: bool
    visit_columns: list[VisitColumn]


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong in a cell: a code for `complaints`, the column (0: the row) and its text."""

    code: str
    col: int
    text: str = ""


@dataclass(slots=True)
class Draft:
    """One row while it is read and joined with others about the same system."""

    row: int
    rows: list[int]
    section: str = ""
    texts: dict[str, str] = field(default_factory=dict)
    sources: dict[str, str] = field(default_factory=dict)
    owner: OwnerName | None = None
    phones: list[Phone] = field(default_factory=list)
    emails: list[str] = field(default_factory=list)
    pair: Pair | None = None
    numbers: dict[str, int] = field(default_factory=dict)
    days: dict[str, date] = field(default_factory=dict)
    visits_year: HowOften | None = None
    price: Price | None = None
    visits: list[PastVisit] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    secrets: list[str] = field(default_factory=list)
    extras: list[tuple[str, str]] = field(default_factory=list)
    faults: list[tuple[int, Fault]] = field(default_factory=list)
    site: int = 0

    def text(self, name: str) -> str:
        """A plain text field, "" if the row has none."""
        return self.texts.get(name, "")

    def complain(self, code: str, col: int = 0, text: str = "") -> None:
        """Note a fault in this row."""
        self.faults.append((self.row, Fault(code, col, text)))


PLAIN = (
    "own_number", "second_contact", "address", "address_2", "billing_address", "locality",
    "region", "postcode", "permit", "authority", "system_kind", "treatment", "dispersal",
    "next_due", "key", "dog", "access",
)  # fmt: skip


def read_row(reader: Reader, data: DataRow) -> Draft:
    """Everything one row says. Nothing is dropped: what no field can hold becomes a note."""
    row = data.row
    draft = Draft(row.number, [row.number], data.section)
    _flag_cells(reader, row, draft)
    for name in PLAIN:
        _plain(reader, row, draft, name)
    _owner(reader, row, draft)
    _address(reader, row, draft)
    _reach(reader, row, draft)
    _position(reader, row, draft)
    _numbers(reader, row, draft)
    _contract(reader, row, draft)
    draft.visits = visits_in(
        row,
        reader.visit_columns,
        day_first=reader.day_first,
        today=reader.today,
        complain=lambda col, code: draft.complain(code, col, row.text(col)),
    )
    if draft.visits:
        draft.sources["past_visits"] = draft.visits[0].ref
    _notes(reader, row, draft)
    _unused_visit_cells(reader, row, draft)
    return draft


def _flag_cells(reader: Reader, row: Row, draft: Draft) -> None:
    last = max((choice.col for choice in reader.mapping.choices if choice.heading), default=0)
    beyond = next((col for col in row.filled() if col > last), 0)
    if beyond:
        draft.complain("too wide", beyond, row.text(beyond))
    if not (reader.table.formulas or reader.table.broken):
        return
    for choice in reader.mapping.choices:
        cell = (row.number, choice.col)
        if cell in reader.table.formulas:
            text = row.text(choice.col)
            draft.complain("formula" if text else "no result", choice.col, text)
        elif cell in reader.table.broken:
            draft.complain("broken", choice.col)


def _cell(reader: Reader, row: Row, draft: Draft, name: str) -> tuple[str, int]:
    """The first filled cell of a field and its column; the cell is noted as the source."""
    for choice in reader.mapping.columns(name):
        text = row.text(choice.col)
        if text:
            draft.sources[name] = row.cell(choice.col).ref
            return text, choice.col
    return "", 0


def _plain(reader: Reader, row: Row, draft: Draft, name: str) -> None:
    text, _col = _cell(reader, row, draft, name)
    if text and not (_NOTHING.match(text) and name not in ("own_number", "dog", "key")):
        draft.texts[name] = " ".join(text.split())


def _owner(reader: Reader, row: Row, draft: Draft) -> None:
    family, _ = _cell(reader, row, draft, "owner_family")
    given, _ = _cell(reader, row, draft, "owner_given")
    whole, col = _cell(reader, row, draft, "owner_name")
    company, _ = _cell(reader, row, draft, "organization")
    if whole and not _NOTHING.match(whole):
        heading = next(c.heading for c in reader.mapping.choices if c.col == col)
        first = reader.family_first or bool(re.search(r"last.*first", heading, re.IGNORECASE))
        draft.owner = owner_name(whole, family_first=first)
    elif family or given:
        guess = owner_name(family)
        if guess.kind == ORGANISATION and not given:
            draft.owner = guess
        else:
            draft.owner = OwnerName(f"{given} {family}".strip(), family=family, given=given)
        draft.sources["owner_name"] = draft.sources.get("owner_family", "")
    if company and not _NOTHING.match(company):
        if draft.owner is None:
            draft.owner = OwnerName(company, ORGANISATION)
        elif "second_contact" not in draft.texts:
            draft.texts["second_contact"] = draft.owner.typed
            draft.owner = OwnerName(company, ORGANISATION)


def _address(reader: Reader, row: Row, draft: Draft) -> None:
    """Second line joined; town, state and postcode taken out of a cell that holds them all."""
    together, _col = _cell(reader, row, draft, "citystatezip")
    found = town_state_postcode(together) if together else ("", "", "")
    street = draft.text("address")
    if street and not draft.text("locality") and not together:
        street, *rest = split_address(street)
        draft.texts["address"] = street
        found = (rest[0], rest[1], rest[2])
    for name, text in zip(("locality", "region", "postcode"), found, strict=True):
        if text and not draft.text(name):
            draft.texts[name] = text
            draft.sources[name] = draft.sources.get("citystatezip") or draft.sources["address"]
    postcode = draft.text("postcode").removesuffix(".0")
    if reader.country == "US" and re.fullmatch(r"\d{3,4}", postcode):
        postcode = postcode.zfill(5)  # a spreadsheet takes the leading zero away
    if postcode:
        draft.texts["postcode"] = postcode
    second = draft.text("address_2")
    if second and second.casefold() not in street.casefold():
        alone = re.fullmatch(r"[\w\-]{1,5}", second)
        heading = next(c.heading for c in reader.mapping.columns("address_2"))
        second = f"{heading} {second}" if alone and len(heading) < 8 else second
        draft.texts["address"] = f"{street}, {second}".strip(", ")


def _reach(reader: Reader, row: Row, draft: Draft) -> None:
    """Telephones and mail addresses."""
    for choice in reader.mapping.columns("phone"):
        text = row.text(choice.col)
        if not text or _NOTHING.match(text):
            continue
        draft.sources.setdefault("phone", row.cell(choice.col).ref)
        found = phones_in(text, reader.country, area_code=reader.answers.area_code or "")
        for phone in found:
            if phone not in draft.phones:
                draft.phones.append(_labeled(phone, choice.heading))
            waits = phone.problem == NO_AREA_CODE and reader.answers.area_code is None
            if phone.problem and not waits:
                draft.complain("phone " + phone.problem, choice.col, phone.typed)
        if not found:
            draft.notes.append(f"{choice.heading}: {text}")
            draft.complain("no phone", choice.col, text)
    for choice in reader.mapping.columns("email"):
        text = row.text(choice.col)
        found_mails = _EMAIL.findall(text)
        if found_mails:
            draft.sources.setdefault("email", row.cell(choice.col).ref)
        draft.emails += [mail for mail in found_mails if mail not in draft.emails]
        if text and not found_mails and not _NOTHING.match(text):
            draft.notes.append(f"{choice.heading}: {text}")
            draft.complain("email", choice.col, text)


def _labeled(phone: Phone, heading: str) -> Phone:
    """The kind of telephone from the heading, where the cell does not tell."""
    from dataclasses import replace

    if phone.label:
        return phone
    for label, pattern in (
        ("mobile", r"cell|mobile"),
        ("home", r"home"),
        ("work", r"work|office|day"),
    ):
        if re.search(pattern, heading, re.IGNORECASE):
            return replace(phone, label=label)
    return phone


def _position(reader: Reader, row: Row, draft: Draft) -> None:
    text, col = _cell(reader, row, draft, "position")
    if text and not _NOTHING.match(text):
        draft.pair = read_pair(text)
        if draft.pair is None:
            draft.complain("position", col, text)
            draft.notes.append(text)
        else:
            return
    lat_text, lat_col = _cell(reader, row, draft, "latitude")
    lon_text, lon_col = _cell(reader, row, draft, "longitude")
    if not lat_text and not lon_text:
        return
    if lat_text and not lon_text and read_pair(lat_text) is not None:
        draft.pair = read_pair(lat_text)  # both in the first column
    elif (lat := read_angle(lat_text)) is None or (lon := read_angle(lon_text)) is None:
        draft.complain("position", lat_col or lon_col, f"{lat_text} {lon_text}".strip())
    else:
        lettered = read_pair(f"{lat_text}; {lon_text}")  # letters may say which is which
        draft.pair = lettered if lettered is not None else Pair(lat, lon, Writing.DECIMAL)
    if draft.pair is not None:
        draft.sources["position"] = row.cell(lat_col).ref


def _numbers(reader: Reader, row: Row, draft: Draft) -> None:
    for name, most in (("bedrooms", 60), ("gallons_day", 100_000)):
        text, col = _cell(reader, row, draft, name)
        if not text or _NOTHING.match(text):
            continue
        found = re.search(r"\d[\d.,]*", text)
        number = amount_of(found.group().rstrip(".,")) if found else None
        if number is None or number != int(number) or not 0 < number <= most or "-" in text[1:]:
            draft.complain("number", col, text)
            draft.notes.append(f"{_heading(reader, col)}: {text}")
        else:
            draft.numbers[name] = int(number)


def _contract(reader: Reader, row: Row, draft: Draft) -> None:
    for name in ("start_up", "contract_from", "contract_until"):
        text, col = _cell(reader, row, draft, name)
        if not text or _NOTHING.match(text):
            continue
        if re.fullmatch(r"(19|20)\d\d", text):
            last = name == "contract_until"
            draft.days[name] = date(int(text), 12 if last else 1, 31 if last else 1)
            draft.complain("year only", col, text)
            continue
        read = read_day(row.value(col), day_first=reader.day_first, today=reader.today)
        if read.on is not None:
            draft.days[name] = read.on
            if read.rest:
                draft.notes.append(f"{_heading(reader, col)}: {text}")
            if read.precision == "month":
                draft.complain("month only", col, text)
            if read.was_serial:
                draft.complain("serial", col, text)
        elif read.either is None:
            draft.complain("impossible" if read.impossible else "no date", col, text)
            draft.notes.append(f"{_heading(reader, col)}: {text}")
    _backwards(draft)
    text, col = _cell(reader, row, draft, "visits_year")
    if text:
        draft.visits_year = how_often(text, heading=_heading(reader, col))
        _judge_often(draft, draft.visits_year, col)
    text, col = _cell(reader, row, draft, "price")
    if text and not _NOTHING.match(text):
        draft.price = price_in(
            text,
            currency=reader.currency,
            decimal_comma=reader.decimal_comma,
            heading=_heading(reader, col),
        )
        if draft.price.number is None:
            draft.complain("price", col, text)
        elif draft.price.foreign:
            draft.complain("foreign", col, text)


def _backwards(draft: Draft) -> None:
    begins, ends = draft.days.get("contract_from"), draft.days.get("contract_until")
    if begins and ends and ends < begins:
        draft.complain("backwards", 0, f"{begins.isoformat()} / {ends.isoformat()}")
        del draft.days["contract_until"]


def _judge_often(draft: Draft, often: HowOften, col: int) -> None:
    if often.per_year is None and not often.none_due and often.every_months is None:
        draft.complain("often", col, often.typed)
        draft.notes.append(often.typed)
    elif often.doubtful:
        draft.complain("doubtful often", col, often.typed)
    elif often.uneven:
        draft.complain("uneven often", col, often.typed)


def _heading(reader: Reader, col: int) -> str:
    return next((c.heading for c in reader.mapping.choices if c.col == col), "")


def _notes(reader: Reader, row: Row, draft: Draft) -> None:
    """Notes with gate codes taken out of them, and the columns that no field fits."""
    for name in ("access", "key", "dog"):
        if name in draft.texts:
            draft.texts[name] = _without_codes(draft.texts[name], draft)
    draft.notes = [_without_codes(note, draft) for note in draft.notes]
    gate, _col = _cell(reader, row, draft, "gate")
    if gate and not _NOTHING.match(gate):
        draft.secrets.append(gate)
    for choice in reader.mapping.columns("notes"):
        text = row.text(choice.col)
        if text:
            draft.sources.setdefault("notes", row.cell(choice.col).ref)
            draft.notes.append(_without_codes(" ".join(text.split()), draft))
    for choice in reader.mapping.columns(EXTRA):
        text = row.text(choice.col)
        if text:
            draft.extras.append((choice.heading, _without_codes(text, draft)))


def _unused_visit_cells(reader: Reader, row: Row, draft: Draft) -> None:
    """Cells about visits that no visit was made of are kept as notes, with their heading."""
    made = {visit.ref for visit in draft.visits}
    used = {
        col
        for column in reader.visit_columns
        if row.cell(column.choice.col).ref in made
        for col in (column.choice.col, *(its for _field, its in column.companions))
    }
    for choice in reader.mapping.choices:
        text = row.text(choice.col)
        if choice.field.startswith("visit_") and text and choice.col not in used:
            draft.extras.append((choice.heading, _without_codes(text, draft)))


def _without_codes(text: str, draft: Draft) -> str:
    """The text without its gate codes, which go where secrets are kept."""
    for found in _GATE_CODE.finditer(text):
        draft.secrets.append(" ".join(found.group(0).split()))
    return _GATE_CODE.sub(
        lambda found: found.group(1).rstrip(" :#=") + " \u2022\u2022\u2022\u2022", text
    )
