"""Builders: a list as text, and the whole way from a file to understood rows."""

from datetime import date
from pathlib import Path

from servicedesk.exchange.columns import propose
from servicedesk.exchange.sheetfile import read_sheet_file
from servicedesk.exchange.understand import layout_for, likeliest_table, understand
from servicedesk.exchange.understood import Answers

SHEETS = Path(__file__).parents[2] / "sample_db" / "sheets"
TODAY = date(2026, 10, 14)


def a_layout(text, *, name="list.csv", header_row=None):
    return layout_for(
        likeliest_table(read_sheet_file(text.encode(), name=name)), header_row=header_row
    )


def a_mapping(text):
    return propose(a_layout(text))


def fields_of(mapping):
    return {choice.heading: choice.field for choice in mapping.choices}


def read_list(source, *, mapping=None, currency="USD", area=None, **answers):
    """A file of the samples by name, or the text of a list, understood."""
    if "\n" in source:
        sheet = read_sheet_file(source.encode(), name="list.csv")
    else:
        sheet = read_sheet_file(SHEETS / source)
    layout = layout_for(likeliest_table(sheet))
    return understand(
        layout,
        mapping or propose(layout),
        Answers(**answers),
        country="US",
        today=TODAY,
        currency=currency,
        area=area,
        decimal_comma=sheet.decimal_comma,
    )


def codes(result):
    return [question.code for question in result.questions]


def row_of(result, own_number, permit=None):
    (row,) = [
        row for row in result.rows if row.own_number == own_number and permit in (None, row.permit)
    ]
    return row
