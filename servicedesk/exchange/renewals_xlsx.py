"""Renewals as a workbook that reckons: change the index, margin or cap, and all prices follow.

What was estimated is a typed value; only the steps of a price and the sums are formulas. Money is
reckoned in minor units inside a formula and rounded half away from zero, as `renewals.price` does:
an inner rounding to six digits takes away what binary fractions add.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from io import BytesIO
from typing import Any

from servicedesk.exchange.pattern_sheet import write_text

HEAD_HEIGHT_PT = 32.0  # two lines of a name
HEAD_COLOR = "E8E6DD"  # gray enough to be seen on paper
# texts to the right of a number or of a long text keep a distance from it
BESIDE_ANOTHER = frozenset({"visits", "decision", "missing"})
MOST_WIDE = 44  # of a column; longer texts are cut by the next cell, the whole stands in it


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """One contract. Money in minor units; None stays an empty cell. Texts are already words."""

    site: str
    locality: str
    holder: str
    number: int
    ends_on: date
    visits: str
    calls: int
    calls_expected: float | None
    labor_minor: int | None
    road_minor: int | None
    parts_minor: int | None
    calls_minor: int | None
    office_minor: int | None
    this_year_minor: int | None
    now_minor: int | None
    hand_minor: int | None
    is_renewing: bool  # False: no next price is shown
    is_full_year: bool  # False: nothing is said of what a part of a year kept
    decision: str
    why: str
    missing: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetColumn:
    """A column of the renewals: its name on the sheet and what is said of it."""

    name: str
    about: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumed:
    """A cell of the assumptions: name, value and where it is from. None: there is no such limit."""

    name: str
    value: Decimal | int | None
    origin: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RenewalBook:
    """Everything in the workbook, in words of the company.

    `sheet_names`: summary, renewals, assumptions, notes. `columns` follow `COLUMNS`; `index`,
    `margin`, `cap` are shares, `round_to` is in minor units.
    `digits` after the point of the currency. `notes` explain; `as_of` is the day of the estimates.
    """

    title: str
    subtitle: str
    sheet_names: tuple[str, str, str, str]
    columns: tuple[SheetColumn, ...]
    rows: Sequence[SheetRow]
    index: Assumed
    margin: Assumed
    cap: Assumed
    round_to: Assumed
    as_of: Assumed
    more: Sequence[Assumed]
    notes: Sequence[str]
    currency: str
    digits: int
    as_of_on: date
    totals_name: str
    summary_names: tuple[str, str, str, str, str]  # month, contracts, now, next year, difference
    page_of: str  # such as "Page {page} of {pages}"
    letter: bool


# field of the row, or the letter of a formula below; kind of the cell
COLUMNS = (
    ("site", "text"), ("locality", "text"), ("holder", "text"), ("number", "whole"),
    ("ends_on", "day"), ("visits", "text"), ("calls", "whole"), ("calls_expected", "number"),
    ("labor_minor", "money"), ("road_minor", "money"), ("parts_minor", "money"),
    ("calls_minor", "money"), ("office_minor", "money"), ("cost_next", "formula"),
    ("this_year_minor", "money"), ("now_minor", "money"), ("kept", "formula"),
    ("index_step", "formula"), ("cost_step", "formula"), ("cap_step", "formula"),
    ("round_step", "formula"), ("computed", "formula"), ("hand_minor", "money"),
    ("next", "formula"), ("rise", "share"), ("kept_next", "formula"), ("decision", "text"),
    ("why", "text"), ("missing", "text"),
)  # fmt: skip
FIRST_ROW = 5  # of the contracts; the head stands above
# cells of the assumptions
INDEX, MARGIN, CAP, ROUND_TO = "$B$4", "$B$5", "$B$6", "$B$7"


def letter_of(field: str) -> str:
    """The letter of a column by its field."""
    from openpyxl.utils import get_column_letter

    return str(get_column_letter([name for name, _ in COLUMNS].index(field) + 1))


def formulas(row: int, *, assumptions: str, digits: int) -> dict[str, str]:
    """The formulas of one row by field, with the sheet of assumptions by its name.

    A row without a price shows empty cells; one without a cost takes the index alone.
    """
    at = {name: f"{letter_of(name)}{row}" for name, _ in COLUMNS}
    sheet = "'" + assumptions.replace("'", "''") + "'!"
    unit = 10**digits
    now, index, margin = at["now_minor"], sheet + INDEX, sheet + MARGIN
    cap, step = sheet + CAP, sheet + ROUND_TO
    parts = f"{at['labor_minor']}:{at['office_minor']}"

    def whole(amount: str) -> str:
        return f"ROUND(ROUND({amount},6),0)/{unit}"

    indexed = f"({now}+{at['index_step']})"
    covering = f"({now}+{at['index_step']}+{at['cost_step']})"
    capped = f"({now}+{at['index_step']}+{at['cost_step']}+{at['cap_step']})"
    wanted = whole(f"{at['cost_next']}*{unit}*(1+{margin})")
    limit = whole(f"{now}*{unit}*(1+{cap})")
    nearest = f"ROUND(ROUND({capped}/{step},6),0)*{step}"
    over = f'AND({cap}<>"",ROUND({nearest},{digits})>{limit})'
    below = f"ROUNDDOWN(ROUND({limit}/{step},6),0)*{step}"

    def priced(then: str) -> str:
        return f'=IF({now}="","",ROUND({then},{digits}))'

    return {
        "cost_next": f'=IF(COUNT({parts})=0,"",ROUND(SUM({parts}),{digits}))',
        "kept": f'=IF(OR({now}="",{at["this_year_minor"]}=""),"",'
        f"ROUND({now}-{at['this_year_minor']},{digits}))",
        "index_step": priced(f"{whole(f'{now}*{unit}*(1+{index})')}-{now}"),
        "cost_step": priced(f'IF({at["cost_next"]}="",0,MAX(0,{wanted}-{indexed}))'),
        "cap_step": priced(f'IF({cap}="",0,MIN(0,{limit}-{covering}))'),
        "round_step": priced(f"IF({over},{below},{nearest})-{capped}"),
        "computed": priced(f"{capped}+{at['round_step']}"),
        "next": f'=IF({now}="","",IF({at["hand_minor"]}="",{at["computed"]},{at["hand_minor"]}))',
        "rise": f'=IF({now}="","",ROUND({at["next"]}/{now}-1,4))',
        "kept_next": f'=IF(OR({now}="",{at["cost_next"]}=""),"",'
        f"ROUND({at['next']}-{at['cost_next']},{digits}))",
    }


def renewals_xlsx(book: RenewalBook) -> bytes:
    """The workbook. Texts are texts whatever they begin with; equal input gives equal cells."""
    from openpyxl import Workbook

    made: Any = Workbook()
    for first in made.worksheets:
        made.remove(first)
    styles = _Styles(book)
    sheets = [made.create_sheet(name) for name in book.sheet_names]
    _renewals(sheets[1], book, styles)
    _assumptions(sheets[2], book, styles)
    _notes(sheets[3], book, styles)
    _summary(sheets[0], book, styles)
    for sheet in sheets:
        _print_setup(sheet, book, wide=sheet is sheets[1])
    made.active = 1
    made.calculation.fullCalcOnLoad = True
    buffer = BytesIO()
    made.save(buffer)
    return buffer.getvalue()


class _Styles:
    """Formats of cells by kind."""

    def __init__(self, book: RenewalBook) -> None:
        from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

        point = "." + "0" * book.digits if book.digits else ""
        money = (
            f"[$$-409]#,##0{point}"
            if book.currency == "USD"
            else f"[${book.currency}] #,##0{point}"
        )
        self.format = {
            "money": f"{money};[Red]-{money}",
            "formula": f"{money};[Red]-{money}",
            "share": "0.0%;[Red]-0.0%",
            "day": "yyyy-mm-dd",
            "whole": "0",
            "number": "0.00",
        }
        self.bold, self.title = Font(bold=True), Font(bold=True, size=14)
        self.indented = Alignment(horizontal="left", indent=1)
        self.head_left = Alignment(wrap_text=True, vertical="bottom")
        self.head_right = Alignment(wrap_text=True, vertical="bottom", horizontal="right")
        self.head_fill = PatternFill("solid", fgColor=HEAD_COLOR)
        self.head_line = Border(bottom=Side("thin", color="808080"))


def _renewals(sheet: Any, book: RenewalBook, styles: _Styles) -> None:
    _head(sheet, book, styles)
    for col, column in enumerate(book.columns, 1):
        _heading(sheet.cell(FIRST_ROW - 1, col), column.name, styles, COLUMNS[col - 1][1])
    sheet.row_dimensions[FIRST_ROW - 1].height = HEAD_HEIGHT_PT
    last = FIRST_ROW + len(book.rows) - 1
    for number, row in enumerate(book.rows, FIRST_ROW):
        own: dict[str, str | None] = {}
        own |= formulas(number, assumptions=book.sheet_names[2], digits=book.digits)
        if not row.is_renewing:
            own |= dict.fromkeys(("next", "rise", "kept_next"))
        if not row.is_full_year:
            own["kept"] = None
        for col, (field, kind) in enumerate(COLUMNS, 1):
            value = own[field] if field in own else getattr(row, field)
            cell = sheet.cell(number, col)
            _write(cell, value, kind, book, styles)
            if field in BESIDE_ANOTHER:
                cell.alignment = styles.indented
    _totals(sheet, book, styles, last)
    for col, (field, kind) in enumerate(COLUMNS, 1):
        letter = sheet.cell(1, col).column_letter
        texts = [str(getattr(row, field) or "") for row in book.rows] if kind == "text" else []
        longest = max([10, *(len(text) for text in texts)])
        sheet.column_dimensions[letter].width = min(MOST_WIDE, longest + 2)
    sheet.freeze_panes = f"B{FIRST_ROW}"
    ends = letter_of(COLUMNS[-1][0])
    sheet.auto_filter.ref = f"A{FIRST_ROW - 1}:{ends}{max(last, FIRST_ROW - 1)}"
    sheet.print_title_rows = f"{FIRST_ROW - 1}:{FIRST_ROW - 1}"
    sheet.print_title_cols = "A:A"


def _heading(cell: Any, name: str, styles: _Styles, kind: str) -> None:
    """A name over a column, over numbers at their right edge; two lines have room."""
    write_text(cell, name)
    cell.font, cell.fill, cell.border = styles.bold, styles.head_fill, styles.head_line
    cell.alignment = styles.head_left if kind == "text" else styles.head_right


def _write(cell: Any, value: Any, kind: str, book: RenewalBook, styles: _Styles) -> None:
    if value is None:
        return
    if kind == "text":
        write_text(cell, value)
        return
    if kind == "money":
        # a cell holds units; the text of a decimal keeps cents exact
        value = Decimal(value).scaleb(-book.digits)
    cell.value = value
    cell.number_format = styles.format[kind]


def _totals(sheet: Any, book: RenewalBook, styles: _Styles, last: int) -> None:
    """Sums of what the filter shows, above nothing: one empty row below the contracts."""
    row = last + 2
    write_text(sheet.cell(row, 1), book.totals_name)
    sheet.cell(row, 1).font = styles.bold
    if not book.rows:
        return
    for col, (field, kind) in enumerate(COLUMNS, 1):
        if kind in {"money", "formula"} or field == "calls":
            cell = sheet.cell(row, col)
            letter = cell.column_letter
            cell.value = f"=SUBTOTAL(109,{letter}{FIRST_ROW}:{letter}{last})"
            cell.number_format = styles.format[kind]
            cell.font = styles.bold


def _assumptions(sheet: Any, book: RenewalBook, styles: _Styles) -> None:
    _head(sheet, book, styles)
    for row, one in enumerate((book.index, book.margin, book.cap), 4):
        _assumed(sheet, row, one, "0.00%")
    _assumed(sheet, 7, book.round_to, styles.format["money"], book.digits)
    write_text(sheet.cell(8, 1), book.as_of.name)
    sheet.cell(8, 2).value = book.as_of_on
    sheet.cell(8, 2).number_format = styles.format["day"]
    write_text(sheet.cell(8, 3), book.as_of.origin)
    sheet.cell(8, 3).alignment = styles.indented
    for row, one in enumerate(book.more, 10):
        _assumed(sheet, row, one, styles.format["money"], book.digits)
    for letter, width in (("A", 44), ("B", 16), ("C", 70)):
        sheet.column_dimensions[letter].width = width
    sheet.freeze_panes = "A4"


def _assumed(sheet: Any, row: int, one: Assumed, number_format: str, digits: int = 0) -> None:
    from openpyxl.styles import Alignment, PatternFill

    write_text(sheet.cell(row, 1), one.name)
    cell = sheet.cell(row, 2)
    if one.value is not None:
        cell.value = Decimal(one.value).scaleb(-digits) if digits else one.value
    cell.number_format = number_format
    if row <= 7:  # may be changed: prices follow
        cell.fill = PatternFill("solid", fgColor="FFF4CC")
    write_text(sheet.cell(row, 3), one.origin)
    sheet.cell(row, 3).alignment = Alignment(horizontal="left", indent=1)


def _notes(sheet: Any, book: RenewalBook, styles: _Styles) -> None:
    from openpyxl.styles import Alignment

    _head(sheet, book, styles)
    row = 4
    for column in book.columns:
        write_text(sheet.cell(row, 1), column.name)
        write_text(sheet.cell(row, 2), column.about)
        row += 1
    row += 1
    for note in book.notes:
        write_text(sheet.cell(row, 2), note)
        row += 1
    for cell in sheet["B"]:
        cell.alignment = Alignment(wrap_text=True, vertical="top")
    sheet.column_dimensions["A"].width, sheet.column_dimensions["B"].width = 30, 100
    sheet.freeze_panes = "A4"


def _summary(sheet: Any, book: RenewalBook, styles: _Styles) -> None:
    """Contracts by the month they end in: now and next year, as formulas over the renewals."""
    _head(sheet, book, styles)
    for col, name in enumerate(book.summary_names, 1):
        _heading(sheet.cell(4, col), name, styles, "text" if col == 1 else "money")
    months = sorted({row.ends_on.replace(day=1) for row in book.rows})
    last_row = FIRST_ROW + len(book.rows) - 1
    source = "'" + book.sheet_names[1].replace("'", "''") + "'!"

    def column(field: str) -> str:
        letter = letter_of(field)
        return f"{source}${letter}${FIRST_ROW}:${letter}${last_row}"

    for row, month in enumerate(months, 5):
        sheet.cell(row, 1).value = month
        sheet.cell(row, 1).number_format = "mmm yyyy"
        sheet.cell(row, 1).alignment = styles.head_left
        span = f'{column("ends_on")},">="&A{row},{column("ends_on")},"<"&EDATE(A{row},1)'
        sheet.cell(row, 2).value = f"=COUNTIFS({span})"
        sheet.cell(row, 3).value = f"=SUMIFS({column('now_minor')},{span})"
        sheet.cell(row, 4).value = f"=SUMIFS({column('next')},{span})"
        sheet.cell(row, 5).value = f"=D{row}-C{row}"
    end = 4 + len(months)
    if months:
        write_text(sheet.cell(end + 1, 1), book.totals_name)
        for col in range(2, 6):
            letter = sheet.cell(1, col).column_letter
            sheet.cell(end + 1, col).value = f"=SUM({letter}5:{letter}{end})"
            sheet.cell(end + 1, col).font = styles.bold
        _chart(sheet, book, end)
        for row in range(5, end + 2):
            for col in (3, 4, 5):
                sheet.cell(row, col).number_format = styles.format["money"]
    for letter in "ABCDE":
        sheet.column_dimensions[letter].width = 24 if letter == "A" else 18


def _chart(sheet: Any, book: RenewalBook, end: int) -> None:
    from openpyxl.chart import BarChart, Reference

    chart = BarChart()
    chart.type, chart.height, chart.width = "col", 9, 22
    chart.title = book.title
    chart.add_data(
        Reference(sheet, min_col=3, max_col=4, min_row=4, max_row=end), titles_from_data=True
    )
    chart.set_categories(Reference(sheet, min_col=1, min_row=5, max_row=end))
    chart.x_axis.number_format, chart.x_axis.delete, chart.y_axis.delete = "mmm yyyy", False, False
    sheet.add_chart(chart, f"A{end + 4}")


def _head(sheet: Any, book: RenewalBook, styles: _Styles) -> None:
    write_text(sheet.cell(1, 1), book.title)
    sheet.cell(1, 1).font = styles.title
    write_text(sheet.cell(2, 1), book.subtitle)


def _print_setup(sheet: Any, book: RenewalBook, *, wide: bool) -> None:
    sheet.page_setup.orientation = "landscape" if wide else "portrait"
    sheet.page_setup.paperSize = 1 if book.letter else 9
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    # all columns on one page could not be read
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = (3 if wide else 1), 0
    margins = sheet.page_margins
    margins.left = margins.right = 0.4  # inches
    margins.top, margins.bottom, margins.footer = 0.5, 0.75, 0.3
    sheet.oddFooter.left.text = _plain_code(book.title)
    sheet.oddFooter.right.text = _plain_code(book.page_of).format(page="&P", pages="&N")


def _plain_code(text: str) -> str:
    """An ampersand begins a code in a footer; doubled it is one letter."""
    return text.replace("&", "&&")
