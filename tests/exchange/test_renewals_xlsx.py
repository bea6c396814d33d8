"""The renewals workbook: every price reckoned anew from its formulas against our own."""

import random
import shutil
import subprocess
from datetime import date
from decimal import Decimal
from io import BytesIO

import pytest
from openpyxl import load_workbook

from servicedesk.exchange.renewals_xlsx import (
    CAP,
    COLUMNS,
    FIRST_ROW,
    INDEX,
    MARGIN,
    ROUND_TO,
    Assumed,
    RenewalBook,
    SheetColumn,
    SheetRow,
    letter_of,
    renewals_xlsx,
)
from servicedesk.renewals.price import Policy, next_price
from tests.exchange.reckon import Reckoner

NAMES = ("Summary", "Renewals", "Assumptions", "Notes")
AS_IT_IS = Policy(Decimal("0.028"), Decimal("0.18"), Decimal("0.09"), 500)
# the second one meets halves of a cent: 125.00 by 2.82 percent
CHANGED = (
    AS_IT_IS,
    Policy(Decimal("0.0282"), Decimal("0.105"), Decimal("0.2"), 1),
    Policy(Decimal("-0.013"), Decimal(0), Decimal("0.005"), 100),
    Policy(Decimal("0.046959199"), Decimal("0.333"), None, 250),
)


def a_row(**values):
    money = dict.fromkeys(
        ("labor_minor", "road_minor", "parts_minor", "calls_minor", "office_minor")
    )
    plain = {
        "site": "118 Dry Hollow Lane", "locality": "Old Tessing", "holder": "Quillan", "number": 7,
        "ends_on": date(2026, 12, 31), "visits": "2 of 3", "calls": 1, "calls_expected": 0.4,
        "this_year_minor": 31000, "now_minor": 43000, "hand_minor": None, "is_renewing": True,
        "is_full_year": True, "decision": "Renew", "why": "", "missing": "",
    }  # fmt: skip
    return SheetRow(**{**plain, **money, **values})


def rows_by_chance(n=300, seed=4):
    chance = random.Random(seed)
    some = [
        a_row(
            number=number,
            now_minor=chance.choice([12500, chance.randrange(10000, 90000)]),
            labor_minor=chance.randrange(5000, 40000),
            road_minor=chance.randrange(0, 20000),
            parts_minor=chance.randrange(0, 20000),
            calls_minor=chance.randrange(0, 15000),
            office_minor=0,
            hand_minor=chance.choice([None, None, chance.randrange(10000, 90000)]),
            ends_on=date(2026, chance.randrange(9, 13), 28),
        )
        for number in range(n)
    ]
    return [*some, a_row(number=n), a_row(number=n + 1, now_minor=None)]


def a_book(rows, policy=AS_IT_IS, **values):
    def assumed(name, value):
        return Assumed(name=name, value=value, origin="your figure")

    plain = {
        "title": "Renewals for 2027", "subtitle": "Sallow Fork & Sons", "sheet_names": NAMES,
        "columns": tuple(SheetColumn(name=field, about="") for field, _ in COLUMNS),
        "index": assumed("Index", policy.index), "margin": assumed("Margin", policy.margin),
        "cap": assumed("Cap", policy.cap), "round_to": assumed("Rounding", policy.round_to_minor),
        "as_of": assumed("Estimated on", None), "more": [assumed("An hour", 6500)],
        "notes": ["=1+1"], "currency": "USD", "digits": 2, "as_of_on": date(2026, 11, 25),
        "totals_name": "Sum", "page_of": "Page {page} of {pages}", "letter": True,
        "summary_names": ("Month", "Contracts", "Now", "Next", "More"),
    }  # fmt: skip
    return RenewalBook(rows=rows, **{**plain, **values})


def opened(content, **options):
    return load_workbook(BytesIO(content), **options)


def cost_of(row):
    parts = [row.labor_minor, row.road_minor, row.parts_minor, row.calls_minor, row.office_minor]
    known = [part for part in parts if part is not None]
    return sum(known) if known else None


def compare(rows, policy, value):
    """Every step of every row: `value(field, row)` is the sheet's."""
    fields = {
        "index_step": "index_minor", "cost_step": "cost_minor", "cap_step": "cap_minor",
        "round_step": "rounding_minor", "computed": "computed_minor", "next": "next_minor",
    }  # fmt: skip
    n = 0
    for at, row in enumerate(rows, FIRST_ROW):
        if row.now_minor is None:
            assert {value(field, at) or "" for field in fields} == {""}
            continue
        price = next_price(row.now_minor, cost_of(row), policy, hand_minor=row.hand_minor)
        for field, name in fields.items():
            shown = value(field, at)
            assert round(shown * 100, 6) == getattr(price, name), (field, row, policy)
            n += 1
        if cost_of(row) is not None:
            assert round(value("kept_next", at) * 100, 6) == price.next_minor - cost_of(row)
    assert n >= 6 * (len(rows) - 1)


def assume(book, policy):
    sheet = book["Assumptions"]
    cells = (INDEX, policy.index), (MARGIN, policy.margin), (CAP, policy.cap)
    for cell, value in cells:
        sheet[cell.replace("$", "")].value = value
    sheet[ROUND_TO.replace("$", "")].value = policy.round_to_minor / 100


@pytest.mark.parametrize("policy", CHANGED)
def test_prices_follow_index_margin_and_cap_to_the_cent(policy):
    rows = rows_by_chance()
    book = opened(renewals_xlsx(a_book(rows)))
    assume(book, policy)
    reckoner = Reckoner(book)

    compare(rows, policy, lambda field, row: reckoner.value("Renewals", f"{letter_of(field)}{row}"))


def test_prices_recalculated_by_a_spreadsheet_program(tmp_path):
    program = shutil.which("soffice") or shutil.which("libreoffice")
    if program is None:
        pytest.skip(
            "no spreadsheet program to recalculate with; mend: apt-get install libreoffice-calc"
        )
    rows = rows_by_chance(60)
    for n, policy in enumerate(CHANGED):
        book = opened(renewals_xlsx(a_book(rows)))
        assume(book, policy)
        book.save(tmp_path / f"{n}.xlsx")
    subprocess.run(
        [program, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to",
         "xlsx:Calc MS Excel 2007 XML", "--outdir", str(tmp_path / "out"),
         *(str(tmp_path / f"{n}.xlsx") for n in range(len(CHANGED)))],
        check=True, capture_output=True, timeout=240,
    )  # fmt: skip
    for n, policy in enumerate(CHANGED):
        book = load_workbook(tmp_path / "out" / f"{n}.xlsx", data_only=True)
        sheet = book["Renewals"]
        compare(rows, policy, lambda field, row, of=sheet: of[f"{letter_of(field)}{row}"].value)


def test_what_is_not_known_stays_empty():
    rows = [
        a_row(now_minor=None),
        a_row(is_renewing=False),
        a_row(is_full_year=False, calls_expected=None),
    ]
    book = opened(renewals_xlsx(a_book(rows)))
    value = Reckoner(book).value

    def at(field, row):
        return value("Renewals", f"{letter_of(field)}{row}")

    assert [at(field, 5) for field in ("now_minor", "next", "kept")] == [None, "", ""]
    assert [at(field, 6) for field in ("next", "rise", "kept_next")] == [None, None, None]
    assert (at("kept", 6), at("kept", 7), at("calls_expected", 7)) == (120, None, None)
    assert (at("cost_next", 7), at("kept_next", 7)) == ("", "")


def test_typed_cells_head_filter_print_and_totals():
    rows = [a_row(labor_minor=12345), a_row(site="=HYPERLINK(1)", holder="+1", why="@x")]
    book = opened(renewals_xlsx(a_book(rows)))
    sheet = book["Renewals"]
    price, day = sheet[f"{letter_of('labor_minor')}5"], sheet[f"{letter_of('ends_on')}5"]

    assert (price.value, price.data_type) == (123.45, "n")
    assert "$" in price.number_format
    assert day.is_date
    assert {sheet[f"A{6}"].data_type, book["Notes"]["B34"].data_type} == {"s"}
    assert book["Notes"]["B34"].value == "=1+1"
    assert sheet.freeze_panes == "B5"
    assert sheet.auto_filter.ref == f"A4:{letter_of('missing')}6"
    assert sheet.print_title_rows == "$4:$4"
    assert sheet.page_setup.orientation == "landscape"
    letter = letter_of("now_minor")
    assert sheet[f"{letter}8"].value == f"=SUBTOTAL(109,{letter}5:{letter}6)"
    assert "Summary" in book.sheetnames
    assert len(book["Summary"]._charts) == 1


def test_only_steps_of_prices_and_sums_are_formulas():
    book = opened(renewals_xlsx(a_book([a_row(labor_minor=1)])))
    formulas = {
        field for field, _ in COLUMNS
        if book["Renewals"][f"{letter_of(field)}{FIRST_ROW}"].data_type == "f"
    }  # fmt: skip

    assert formulas == {
        "cost_next", "kept", "index_step", "cost_step", "cap_step", "round_step", "computed",
        "next", "rise", "kept_next",
    }  # fmt: skip
    assert all(cell.data_type != "f" for row in book["Assumptions"].iter_rows() for cell in row)


def test_without_a_contract_the_workbook_opens():
    book = opened(renewals_xlsx(a_book([])))

    assert book.sheetnames == list(NAMES)
    assert book["Summary"].max_row == 4
