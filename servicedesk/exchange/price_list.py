"""A supplier's price list taken apart: what each column means, what each line says or lacks.

Headings stand in ``resources/trade/price_columns.yaml``. Nothing here knows the company's parts.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache, lru_cache

import yaml
from rapidfuzz import fuzz, process

from servicedesk.exchange.columns import EXTRA, IGNORE, Choice, folded, signature_of
from servicedesk.exchange.headers import DataRow, Layout, layout_of
from servicedesk.exchange.prices import price_in
from servicedesk.exchange.sheetfile import SheetFile, Table
from servicedesk.values.resources import resource

FIELDS = ("supplier_number", "name", "cost", "price", "pack", "unit", "barcode")
NEEDED = ("supplier_number", "cost")
LEAST_HEADINGS = 3  # that make a sheet a price list by itself
_ALSO_OF_SITES = {"own_number", "price", "notes", EXTRA, IGNORE}  # meanings of a column either way
ALIKE = 88  # below, two headings only share letters
MOST_MINOR = 100_000_000
MOST_PACK = 10_000
# words of a heading that make it sure, where a plain one stands beside it: "Your price" and "Price"
_DIGITS = re.compile(r"[\s\-.]")


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a line: `code` with the `text` of the cell, and whether it is left out."""

    row: int
    code: str
    text: str = ""
    column: str = ""
    skips: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceLine:
    """A line that can be read. Sums in minor units; None: the list has no such column or cell."""

    row: int
    number: str
    name: str
    cost_minor: int
    price_minor: int | None
    pack: int | None
    unit: str
    barcode: str


@dataclass(frozen=True, slots=True)
class PriceList:
    """All lines with their faults, in the order of the file."""

    columns: tuple[Choice, ...]
    lines: tuple[PriceLine, ...]
    faults: tuple[Fault, ...]
    n_rows: int

    @property
    def signature(self) -> str:
        """The key to remember the columns by; apart from lists of sites."""
        return "prices:" + signature_of([choice.heading for choice in self.columns])


def price_layout(file: SheetFile, table: str | None = None) -> Layout:
    """The sheet with the prices: the one named, else the one with most known headings.

    Raises Trouble for an empty sheet, KeyError for one that is not there.
    """
    if table is not None:
        return layout_of(file.table(table), known_heading)
    filled = [one for one in file.tables if one.rows] or list(file.tables)
    return layout_of(max(filled, key=_strength), known_heading)


def _strength(table: Table) -> float:
    return max(
        (sum(known_heading(row.text(col)) for col in row.filled()) for row in table.rows[:40]),
        default=0.0,
    )


@cache
def _headings() -> dict[str, tuple[str, ...]]:
    text = resource("trade", "price_columns.yaml").read_text(encoding="utf-8")
    fields = yaml.safe_load(text)["fields"]
    return {name: tuple(folded(str(one)) for one in fields[name]) for name in FIELDS}


@lru_cache(maxsize=5_000)
def _scores(heading: str) -> tuple[tuple[float, str], ...]:
    """How well a heading fits each field, best first; an exact one before all others.

    Of two headings that both fit, the one that stands earlier in its list is the surer.
    """
    text = folded(heading)
    if not text:
        return ()
    found = []
    for name, known in _headings().items():
        if text in known:
            found.append((1.0 - 0.2 * known.index(text) / len(known), name))
            continue
        best = process.extractOne(text, known, scorer=fuzz.token_sort_ratio, score_cutoff=ALIKE)
        if best is not None:
            found.append((0.75 * best[1] / 100, name))
    return tuple(sorted(found, key=lambda one: (-one[0], FIELDS.index(one[1]))))


def known_heading(text: str) -> float:
    """How surely a text is a heading of a price list, 0..1."""
    scores = _scores(text)
    return scores[0][0] if scores else 0.0


def propose_columns(
    layout: Layout, remembered: Mapping[str, Sequence[Sequence[str]]] | None = None
) -> tuple[Choice, ...]:
    """What each column is: as remembered for these headings, else by the headings."""
    headings = layout.headings
    key = "prices:" + signature_of([one.text for one in headings])
    if remembered and key in remembered:
        kept = dict(enumerate(remembered[key]))
        return tuple(
            Choice(one.col, one.text, kept[n][1] if n in kept else IGNORE, 1.0, remembered=True)
            for n, one in enumerate(headings)
        )
    offers = sorted(
        ((score, -one.col, name) for one in headings for score, name in _scores(one.text)),
        reverse=True,
    )
    given: dict[int, tuple[str, float]] = {}
    for score, col, name in offers:
        if -col not in given and name not in {field for field, _ in given.values()}:
            given[-col] = (name, round(score, 2))
    return tuple(Choice(one.col, one.text, *given.get(one.col, (IGNORE, 0.0))) for one in headings)


def is_price_list(layout: Layout, known: Iterable[str]) -> bool:
    """Whether a sheet is a supplier's list: numbers, costs and a third heading of such lists.

    `known`: what its columns would be in a list of sites; any that tells of a place or a person
    makes it one of those.
    """
    fields = {one.field for one in by_field(propose_columns(layout))}
    tells_of_sites = set(known) - _ALSO_OF_SITES
    return not tells_of_sites and len(fields) >= LEAST_HEADINGS and set(NEEDED) <= fields


def with_field(columns: Sequence[Choice], heading: str, field: str) -> tuple[Choice, ...]:
    """The same with one column corrected by its heading. Raises KeyError for what is not there."""
    if field not in (*FIELDS, IGNORE):
        raise KeyError(field)
    if folded(heading) not in {folded(one.heading) for one in columns}:
        raise KeyError(heading)
    found = []
    for one in columns:
        if folded(one.heading) == folded(heading):
            found.append(Choice(one.col, one.heading, field, 1.0))
        elif one.field == field and field != IGNORE:
            found.append(Choice(one.col, one.heading, IGNORE, 1.0))
        else:
            found.append(one)
    return tuple(found)


def missing_fields(columns: Sequence[Choice]) -> tuple[str, ...]:
    """Fields without which no line can be read."""
    return tuple(name for name in NEEDED if name not in {one.field for one in columns})


def read_lines(
    layout: Layout, columns: Sequence[Choice], *, currency: str, decimal_comma: bool = False
) -> PriceList:
    """Every line of the list, or what is wrong with it; one fault a line that leaves it out."""
    reader = _Reader({one.field: one for one in columns if one.field != IGNORE}, currency,
                     decimal_comma)  # fmt: skip
    lines: list[PriceLine] = []
    faults: list[Fault] = []
    first: dict[str, PriceLine] = {}
    for data in layout.rows:
        found = reader.read(data)
        faults += reader.faults
        if found is None:
            continue
        known = first.get(found.number.casefold())
        if known is not None:
            same = (known.cost_minor, known.pack) == (found.cost_minor, found.pack)
            code = "repeated" if same else "twice"
            faults.append(Fault(found.row, code, str(known.row), reader.heading("supplier_number")))
            continue
        first[found.number.casefold()] = found
        lines.append(found)
    return PriceList(tuple(columns), tuple(lines), tuple(faults), len(layout.rows))


class _Reader:
    """Reads rows one by one; `faults` are those of the last one."""

    def __init__(self, fields: dict[str, Choice], currency: str, decimal_comma: bool) -> None:  # noqa: FBT001 (private)
        self._fields, self._currency, self._comma = fields, currency, decimal_comma
        self.faults: list[Fault] = []

    def heading(self, field: str) -> str:
        return self._fields[field].heading if field in self._fields else ""

    def read(self, data: DataRow) -> PriceLine | None:
        self.faults = []
        number = self._text(data, "supplier_number")
        if not number:
            self._fault(data, "no_number", "supplier_number", self._text(data, "name"))
            return None
        cost = self._minor(data, "cost")
        price = self._minor(data, "price")
        if any(fault.skips for fault in self.faults):
            return None
        if cost is None:
            self._fault(data, "no_cost", "cost", number)
            return None
        pack = self._pack(data)
        barcode = self._barcode(data)
        if any(fault.skips for fault in self.faults):
            return None
        return PriceLine(
            row=data.row.number, number=number, name=self._text(data, "name"), cost_minor=cost,
            price_minor=price, pack=pack, unit=self._text(data, "unit"), barcode=barcode,
        )  # fmt: skip

    def _text(self, data: DataRow, field: str) -> str:
        choice = self._fields.get(field)
        return "" if choice is None else " ".join(data.row.text(choice.col).split())

    def _fault(
        self, data: DataRow, code: str, field: str, text: str, *, skips: bool = True
    ) -> None:
        self.faults.append(Fault(data.row.number, code, text[:60], self.heading(field), skips))

    def _minor(self, data: DataRow, field: str) -> int | None:
        typed = self._text(data, field)
        if not typed:
            return None
        value = price_in(
            typed, currency=self._currency, decimal_comma=self._comma, heading=self.heading(field)
        )
        if value.foreign:
            self._fault(data, "foreign", field, typed)
        elif (
            value.number is None or value.amount is None or not _is_only_a_sum(typed, value.number)
        ):
            self._fault(data, "no_sum", field, typed)
        elif value.number < 0:
            self._fault(data, "below_zero", field, typed)
        elif value.number == 0 and field == "cost":
            self._fault(data, "zero", field, typed)
        elif value.amount.minor > MOST_MINOR:
            self._fault(data, "too_much", field, typed)
        else:
            return value.amount.minor
        return None

    def _pack(self, data: DataRow) -> int | None:
        typed = self._text(data, "pack")
        if not typed:
            return None
        found = re.fullmatch(r"(\d{1,5})(?:[.,]0+)?(?:\s*[^\W\d]+\.?)?", typed)
        if found is None or not 1 <= int(found.group(1)) <= MOST_PACK:
            self._fault(data, "no_pack", "pack", typed)
            return None
        return int(found.group(1))

    def _barcode(self, data: DataRow) -> str:
        typed = _DIGITS.sub("", self._text(data, "barcode"))
        if not typed:
            return ""
        if not is_barcode(typed):
            self._fault(data, "no_barcode", "barcode", typed, skips=False)
            return ""
        return typed


def _is_only_a_sum(typed: str, number: Decimal) -> bool:
    """No second number stands beside it: "12.50 / 14.00" is no one price."""
    return len(re.findall(r"\d[\d.,'’\s]*", typed)) == 1 and number.is_finite()


def is_barcode(digits: str) -> bool:
    """Is it a GTIN of 8, 12, 13 or 14 digits whose last one checks the others?

    GS1 General Specifications, section 7.9 (check digit: from the right, weights 3 and 1, to the
    next ten); written from memory, tested by GTINs in print.
    """
    if not digits.isascii() or not digits.isdigit() or len(digits) not in (8, 12, 13, 14):
        return False
    body = [int(one) for one in digits[-2::-1]]
    total = sum(one * (3 if n % 2 == 0 else 1) for n, one in enumerate(body))
    return (10 - total % 10) % 10 == int(digits[-1])


def plain_columns(columns: Sequence[Choice]) -> list[list[str]]:
    """Heading and field of each column, for keeping."""
    return [[one.heading, one.field] for one in columns]


def by_field(columns: Sequence[Choice]) -> Iterator[Choice]:
    """The columns that are read, in the order of the file."""
    return (one for one in columns if one.field != IGNORE)
