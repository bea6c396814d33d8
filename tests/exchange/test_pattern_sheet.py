"""A written spreadsheet read again: texts are texts, numbers numbers."""

from io import BytesIO

from openpyxl import load_workbook

from servicedesk.exchange.pattern_sheet import rows_sheet


def written(rows, names=("group", "rate"), title="Groups"):
    return load_workbook(BytesIO(rows_sheet([(title, names, rows)]))).worksheets[0]


def test_a_text_that_looks_like_a_formula_stays_a_text():
    sheet = written([["=1+1", 2.5], ["+49", None]])

    assert sheet["A2"].value == "=1+1"
    assert sheet["A2"].data_type == "s"
    assert sheet["A3"].value == "+49"


def test_numbers_are_numbers_and_nothing_is_nothing():
    sheet = written([["M-40", 12.9], ["R-2", None]])

    assert sheet["B2"].value == 12.9
    assert sheet["B3"].value is None


def test_control_signs_and_names_of_sheets_are_made_fit():
    sheet = written([["a\x07b", 1]], title="Rows / [all]: " + "x" * 40)

    assert sheet["A2"].value == "a b"
    assert len(sheet.title) <= 31
    assert not set("[]:/") & set(sheet.title)
