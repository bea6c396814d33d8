"""Files read into rows: encodings, separators, merged cells, true addresses."""

import io
import zipfile
from datetime import date, datetime

import openpyxl
import pytest

from servicedesk.exchange.csvfile import decoded, likely_separator, looks_like_formula
from servicedesk.exchange.sheetfile import Area, column_letters, read_sheet_file, text_of


def book_bytes(fill):
    book = openpyxl.Workbook()
    fill(book)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"]
)
def test_every_encoding_of_an_office_gives_the_same_text(encoding):
    text = "Name;Straße\r\nMüllner, Núñez;Café – “5”\r\n"

    assert decoded(text.encode(encoding))[0] == text


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
def test_the_separator_is_found(separator):
    lines = ["Name", "Address", "Note"], ['"Quillan, Ruth; Tom"', "3 Heron Bank", "a | b"]
    text = "\n".join(
        separator.join(line if separator != "|" else [c.replace("|", "/") for c in line])
        for line in lines * 4
    )

    assert likely_separator(text) == separator


def test_a_separator_declared_in_the_first_line_is_taken():
    sheet = read_sheet_file(b"sep=;\r\nName;Fee\r\nQuillan;12,50\r\n", name="a.csv")

    assert (sheet.delimiter, sheet.decimal_comma) == (";", True)
    assert sheet.tables[0].rows[1].values == ("Quillan", "12,50")


def test_blank_lines_keep_the_numbers_of_the_rows_below_true():
    sheet = read_sheet_file(b"Name,Fee\r\n\r\n,,\r\nQuillan,5\r\n", name="a.csv")

    assert [row.number for row in sheet.tables[0].rows] == [1, 4]
    assert sheet.tables[0].rows[1].cell(2).ref == "B4"


def test_columns_have_the_letters_of_a_spreadsheet():
    assert [column_letters(n) for n in (1, 26, 27, 52, 703, 16384)] == [
        "A",
        "Z",
        "AA",
        "AZ",
        "AAA",
        "XFD",
    ]


def test_values_read_as_a_person_reads_them():
    assert text_of(90001.0) == "90001"
    assert text_of(285.5) == "285.5"
    assert text_of(datetime(2026, 1, 2)) == "2026-01-02"
    assert text_of(datetime(2026, 1, 2, 7, 5)) == "2026-01-02 07:05"
    assert text_of(" a\xa0b ") == "a b"
    assert text_of(None) == ""
    assert text_of(True) == "yes"


def test_a_workbook_keeps_dates_numbers_merges_and_leading_zeros():
    def fill(book):
        sheet = book.active
        sheet.append(["Title"])
        sheet.merge_cells("A1:C1")
        sheet.append(["Zip", "Since", "Fee"])
        sheet.append([7030, date(2026, 1, 2), 285])
        sheet["A3"].number_format = "00000"
        hidden = book.create_sheet("old")
        hidden.sheet_state = "hidden"
        hidden["B2"] = "x"

    sheet = read_sheet_file(book_bytes(fill), name="a.xlsx")

    first, old = sheet.tables
    assert first.merged == (Area(1, 1, 1, 3),)
    assert first.rows[2].values == ("07030", datetime(2026, 1, 2), 285)
    assert (old.hidden, old.rows[0].cell(2).ref) == (True, "B2")


def test_shared_strings_as_spreadsheet_programs_write_them_are_read():
    content = book_bytes(lambda book: book.active.append([1]))
    result = io.BytesIO()
    shared = (
        '<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" count="1" uniqueCount="1">'
        "<si><t>Quillan</t></si></sst>"
    )
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(result, "w") as new:
        for info in old.infolist():
            body = old.read(info).decode()
            if info.filename == "xl/worksheets/sheet1.xml":
                body = body.replace('<c r="A1" t="n"><v>1</v></c>', '<c r="A1" t="s"><v>0</v></c>')
                assert 't="s"' in body
            if info.filename == "[Content_Types].xml" and "sharedStrings" not in body:
                body = body.replace(
                    "</Types>",
                    f'<Override PartName="/xl/sharedStrings.xml" ContentType="{kind}"/></Types>',
                )
            if info.filename != "xl/sharedStrings.xml":
                new.writestr(info.filename, body)
        new.writestr("xl/sharedStrings.xml", shared)

    assert read_sheet_file(result.getvalue(), name="a.xlsx").tables[0].rows[0].values == (
        "Quillan",
    )


def test_a_phone_with_a_plus_is_no_formula():
    assert looks_like_formula("=1+1")
    assert looks_like_formula("+cmd|' /C calc'!A0")
    assert not looks_like_formula("+1 802 555 0142")
    assert not looks_like_formula("-58.08667")
    assert not looks_like_formula("- see note (gate)")
    assert not looks_like_formula("=")
