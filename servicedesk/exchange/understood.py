"""What a spreadsheet says once it is understood: the types that `understand.understand` returns.

    sheet = read_sheet_file(path)                       # Trouble if it cannot be read
    table = likeliest_table(sheet)                      # or sheet.table(name)
    layout = layout_for(table)                          # or layout_for(table, header_row=4)
    mapping = propose(layout, remembered)               # mapping.with_choice(col, field) corrects
    result = understand(layout, mapping, Answers(), country="US", today=day)
    # ask result.questions, call again with the answers; then result.rows, result.complaints

Nothing here knows the store: rows are matched to records, and written, by `desk.bring_in`.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from servicedesk.exchange.headers import LeftRow
from servicedesk.exchange.intervals import HowOften
from servicedesk.exchange.names import OwnerName
from servicedesk.exchange.phones import Phone
from servicedesk.exchange.positions import Doubt, Writing
from servicedesk.exchange.prices import Price
from servicedesk.values.position import Position


class Severity(StrEnum):
    """What a complaint means for its row."""

    SKIP = "skip"  # the row cannot be brought in
    ASK = "ask"  # a person must decide before it is
    WARN = "warn"  # it is brought in, one thing is left out or doubtful


@dataclass(frozen=True, slots=True, kw_only=True)
class Complaint:
    """What is wrong at one place: `row` in the file (None: the whole file), `ref` such as "C17".

    `column` is the heading; `what` and `how` are sentences: what is wrong, how to mend it.
    """

    row: int | None
    ref: str
    column: str
    what: str
    how: str
    severity: Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One thing that only a person can tell, asked once for the whole file.

    `code` is the name of the field in `Answers`; only "header_row" is answered by
    `layout_for(table, header_row=...)`. `choices` are pairs of the value to hand back and
    its words, empty where a text is wanted. `suggestion` is the likeliest answer as text, or "".
    `refs` are the cells that wait for it.
    """

    code: str
    text: str
    examples: tuple[str, ...] = ()
    choices: tuple[tuple[bool | str, str], ...] = ()
    suggestion: str = ""
    refs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """What a person answered; None: not asked or not answered yet.

    `day_first`: 3/4/2025 is the third of April. `swap_latlon`: exchange the two where they look
    exchanged. `west`: longitudes without a minus lie west. `currency`: ISO 4217 of bare prices.
    `area_code`: put before phone numbers that lack one ("" leaves them as they are).
    """

    day_first: bool | None = None
    swap_latlon: bool | None = None
    west: bool | None = None
    currency: str | None = None
    area_code: str | None = None


class Outcome(StrEnum):
    """What a past visit came to, as far as its words tell."""

    DONE = "done"
    COULD_NOT = "could not"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class PastVisit:
    """One visit of the past. `on` is the day; with `precision` "month" only its month is known.

    `on` is None while the order of day and month waits for an answer; `either` then holds both.
    `text` is what was written beside it, `kind` the kind of visit in the words of the list.
    """

    on: date | None
    precision: str = "day"
    either: tuple[date, date] | None = None
    outcome: Outcome = Outcome.UNKNOWN
    kind: str = ""
    text: str = ""
    technician: str = ""
    ref: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnderstoodRow:
    """One system at one site, as the list tells it. Where it is silent texts are "", numbers None.

    `row` is the first row it came from, `rows` all of them; `site` is equal for systems at one
    place. `contract_last_on` is the last day written, still inside the contract. `start_up_on` is
    the first of January where only a year stands. `secret` holds gate and lock codes and nothing
    else does. `extras` are columns that no field fits: pairs of heading and text. `sources`:
    pairs of field and cell ("phone", "F7").
    """

    row: int
    rows: tuple[int, ...]
    site: int
    section: str = ""
    own_number: str = ""
    owner: OwnerName | None = None
    second_contact: str = ""
    phones: tuple[Phone, ...] = ()
    emails: tuple[str, ...] = ()
    address: str = ""
    locality: str = ""
    region: str = ""
    postcode: str = ""
    billing_address: str = ""
    position: Position | None = None
    position_writing: Writing | None = None
    position_doubt: Doubt | None = None
    permit: str = ""
    authority: str = ""
    system_kind: str = ""
    treatment: str = ""
    dispersal: str = ""
    bedrooms: int | None = None
    gallons_day: int | None = None
    start_up_on: date | None = None
    contract_from: date | None = None
    contract_last_on: date | None = None
    visits_year: HowOften | None = None
    price: Price | None = None
    past_visits: tuple[PastVisit, ...] = ()
    next_due: str = ""
    notes: str = ""
    key: str = ""
    dog: str = ""
    access: str = ""
    secret: str = ""
    extras: tuple[tuple[str, str], ...] = ()
    sources: tuple[tuple[str, str], ...] = ()

    def source(self, field: str) -> str:
        """The cell a field came from, "" if none."""
        return dict(self.sources).get(field, "")

    @property
    def keys(self) -> tuple[tuple[str, str], ...]:
        """What to recognize it by when the list comes again, surest first.

        Pairs of kind and folded text: "own_number", "permit", then "name_address".
        """
        from servicedesk.exchange.addresses import address_key, folded_text

        name = folded_text(self.owner.typed) if self.owner else ""
        place = address_key(self.address, self.locality)
        found = [
            ("own_number", folded_text(self.own_number)),
            ("permit", folded_text(self.permit)),
            ("name_address", f"{name}|{place}" if name and place else ""),
        ]
        return tuple((kind, text) for kind, text in found if text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood:
    """The whole list. `left`: rows that are no site, each with its reason.

    `day_first` is the order used for dates that need one, None where none needed it or it must
    still be asked.
    """

    rows: tuple[UnderstoodRow, ...]
    questions: tuple[Question, ...]
    complaints: tuple[Complaint, ...]
    left: tuple[LeftRow, ...]
    day_first: bool | None

    @property
    def n_sites(self) -> int:
        """Places, counting two systems at one place once."""
        return len({row.site for row in self.rows})

    @property
    def n_placed(self) -> int:
        """Rows with a position."""
        return sum(row.position is not None for row in self.rows)

    def complaints_of(self, row: UnderstoodRow) -> tuple[Complaint, ...]:
        """What was said about one understood row."""
        return tuple(complaint for complaint in self.complaints if complaint.row in row.rows)
