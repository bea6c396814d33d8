"""Where the list begins and which rows are no sites."""

import pytest

from servicedesk.exchange.headers import Left
from servicedesk.exchange.sheetfile import read_sheet_file
from servicedesk.exchange.understand import layout_for, likeliest_table
from servicedesk.values.trouble import Trouble
from tests.exchange.lists import SHEETS, a_layout

PLAIN = "Name,Address,Town,Phone\nQuillan,3 Heron Bank,Pinder,802-555-0142\nPell,52 Ashpit Lane,Pinder,802-555-0103\n"


def left_of(layout):
    return {row.number: row.why for row in layout.left}


def test_headings_on_the_first_row():
    layout = a_layout(PLAIN)

    assert (layout.header_row, layout.sure, len(layout.rows)) == (1, True, 2)


def test_titles_above_the_headings_are_named_as_such():
    layout = a_layout("Sallow Fork Onsite Care,,,\nCustomer list 2026,,,\n\n" + PLAIN)

    assert layout.header_row == 4
    assert left_of(layout) == {1: Left.TITLE, 2: Left.TITLE, 4: Left.HEADING}


def test_the_workbook_of_the_office_is_taken_apart():
    table = likeliest_table(read_sheet_file(SHEETS / "office_list.xlsx"))
    layout = layout_for(table)

    assert (table.name, layout.header_row, layout.sure) == ("Customers 2026", 4, True)
    assert left_of(layout) == {
        1: Left.TITLE, 2: Left.TITLE, 3: Left.TITLE, 4: Left.HEADING, 5: Left.SECTION, 16: Left.TOTAL,
        19: Left.REPEATED, 20: Left.SECTION, 33: Left.TOTAL, 34: Left.TOTAL, 36: Left.BELOW,
    }  # fmt: skip
    assert len(layout.rows) == 21
    assert layout.rows[0].section == "NORTH AND WEST (Tobin)"
    assert layout.rows[-1].section == "SOUTH AND EAST (Ada)"


def test_group_headings_are_joined_to_the_headings_below_them():
    layout = layout_for(likeliest_table(read_sheet_file(SHEETS / "office_list.xlsx")))

    texts = [heading.text for heading in layout.headings]
    assert texts[13:23] == [
        "Contract Start", "Contract End", "Contract Freq", "Contract Fee", "Inspections 2025 1st",
        "Inspections 2025 2nd", "Inspections 2025 3rd", "Inspections 2026 1st", "Inspections 2026 2nd",
        "Inspections 2026 3rd",
    ]  # fmt: skip


def test_a_person_can_choose_another_row():
    layout = a_layout("a,b,c\nx,y,z\n" + PLAIN, header_row=2)

    assert [heading.text for heading in layout.headings if heading.text] == ["x", "y", "z"]


def test_a_chosen_row_without_content_is_refused():
    with pytest.raises(Trouble, match="Row 9"):
        a_layout(PLAIN, header_row=9)


def test_headings_nobody_knows_are_a_guess():
    layout = a_layout("alpha,beta,gamma\nQuillan,3 Heron Bank,x\nPell,52 Ashpit Lane,y\n")

    assert (layout.header_row, layout.sure) == (1, False)


def test_an_owner_whose_name_begins_like_a_total_stays_a_row():
    rows = "".join(f"Total{n} Farms,{n} Heron Bank,Pinder,802-555-01{n}\n" for n in range(10, 20))

    layout = a_layout("Name,Address,Town,Phone\n" + rows + "Total 10 sites,,,\n")

    assert len(layout.rows) == 10
    assert left_of(layout)[12] is Left.TOTAL


def test_a_lone_date_below_a_row_is_no_section():
    layout = a_layout(
        "Date,Name,Address,Town,Phone\n2025-02-03,Quillan,3 Heron Bank,Pinder,802-555-0142\n2025-06-03,,,,\n2025-06-04,Pell,5 Heron Bank,Pinder,802-555-0103\n"
    )

    assert len(layout.rows) == 3
