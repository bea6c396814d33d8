"""The sample sheets are what their script writes, and are marked as invented."""

from sample_db.make_sheets import office_book
from servicedesk.exchange.sheetfile import read_sheet_file
from tests.exchange.lists import SHEETS


def test_the_workbooks_are_what_the_rows_give(tmp_path):
    for name, with_positions in (
        ("office_list.xlsx", True),
        ("office_list_without_positions.xlsx", False),
    ):
        office_book(tmp_path / name, with_positions=with_positions)

        assert read_sheet_file(tmp_path / name).tables == read_sheet_file(SHEETS / name).tables


def test_every_sheet_can_be_read_and_says_that_it_is_invented():
    assert "invented" in (SHEETS / "README.md").read_text(encoding="utf-8").casefold()
    for name in ("office_list.xlsx", "office_list_without_positions.xlsx", "strangers_twelve.csv"):
        texts = [
            cell.text for table in read_sheet_file(SHEETS / name).tables for cell in table.cells()
        ]
        assert any("Invented data" in text for text in texts), name
    assert "Invented" in (SHEETS / "waypoints.gpx").read_text(encoding="utf-8")


def test_no_real_telephone_is_printed():
    # numbers of stories: 555-0100 to 555-0199, source: check nanp-fiction of tests/data/exchange_standards.json
    for path in SHEETS.iterdir():
        if path.suffix in (".xlsx", ".csv"):
            for table in read_sheet_file(path).tables:
                for cell in table.cells():
                    assert "555-" not in cell.text or "555-01" in cell.text, cell
