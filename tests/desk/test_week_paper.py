"""The week on the wall as the rounds of the store have it."""

from datetime import timedelta
from io import BytesIO

from pypdf import PdfReader

from servicedesk.desk.week_paper import week_on_the_wall, week_paper
from servicedesk.papers.week_page import WallCell, WallPlace
from servicedesk.records.company import DayOff, Holiday
from tests.builders import TODAY, a_contract, a_round, a_site, a_technician, a_visit

MONDAY = TODAY - timedelta(days=2)


def a_stop(desk, round_, place, address, locality="Old Tessing", **values):
    site = a_site(desk, address, owner=address, locality=locality)
    return a_visit(desk, site, planned_on=round_.day, round_id=round_.id, place=place, **values)


def cells(page, name):
    return next(person.cells for person in page.people if person.name == name)


def test_places_stand_in_the_order_of_the_round_and_neighbors_stand_together(file_desk):
    lena = a_technician(file_desk)
    round_ = a_round(file_desk, lena, TODAY)
    a_stop(file_desk, round_, 1, "1 Weir", "Pinder")
    a_stop(file_desk, round_, 2, "2 Weir", "Pinder")
    a_stop(file_desk, round_, 3, "3 Quay", "Marl Quay", promise_from_min=840,
           promise_until_min=900)  # fmt: skip
    a_stop(file_desk, round_, 4, "4 Weir", "Pinder")

    page = week_on_the_wall(file_desk, TODAY)

    assert page.title == "Week of October 12 to October 16, 2026"
    assert page.days == ("Monday 12", "Tuesday 13", "Wednesday 14", "Thursday 15", "Friday 16")
    assert cells(page, "Lena")[2].places == (
        WallPlace("Pinder", ("1 Weir", "2 Weir")),
        WallPlace("Marl Quay", ("3 Quay, 2:00 pm",)),
        WallPlace("Pinder", ("4 Weir",)),
    )


def test_days_off_and_holidays_say_so(file_desk):
    lena = a_technician(file_desk)
    a_technician(file_desk, "Tobin Ashe", working_days=[0, 1])
    with file_desk.store.change("Ines", "Days off") as work:
        work.add(DayOff(technician_id=lena.id, from_on=MONDAY, until_on=TODAY, why="training"))
    page = week_on_the_wall(file_desk, TODAY)
    assert [cell.words for cell in cells(page, "Lena")] == [
        "off: training", "off: training", "", "", ""
    ]  # fmt: skip
    assert [cell.words for cell in cells(page, "Tobin")] == ["", "", *["does not work"] * 3]


def test_a_holiday_with_a_round_on_it_is_a_column_and_without_one_is_none(file_desk):
    from servicedesk.desk.office import desk_at

    lena = a_technician(file_desk)
    with file_desk.store.change("Ines", "Holidays") as work:
        work.add(Holiday(day=MONDAY, name="Columbus Day"))
        work.add(Holiday(day=TODAY, name="Fair"))
    round_ = a_round(file_desk, lena, MONDAY)
    a_stop(file_desk, round_, 1, "1 Weir", "Pinder")
    a_technician(file_desk, "Tobin Ashe")
    page = week_on_the_wall(desk_at(file_desk.store, today=TODAY), TODAY)
    assert page.days == ("Monday 12", "Tuesday 13", "Thursday 15", "Friday 16")
    assert cells(page, "Tobin")[0] == WallCell(words="Columbus Day")


def test_open_windows_without_a_day_stand_at_the_foot(file_desk):
    """Three visits a year from April 1: the second window closes on November 30."""
    site = a_site(file_desk)
    a_contract(file_desk, site)
    later = week_on_the_wall(file_desk, TODAY)
    assert [one.where for one in later.windows if not one.is_late] == []
    page = week_on_the_wall(file_desk, TODAY + timedelta(days=42))
    assert ("Nov 30", "118 Dry Hollow Lane, Old Tessing") in [
        (one.by, one.where) for one in page.windows
    ]


def test_the_paper_is_one_page_that_carries_the_company(file_desk):
    a_technician(file_desk)
    (page,) = PdfReader(BytesIO(week_paper(file_desk, TODAY))).pages
    assert "Sallow Fork Onsite Care" in page.extract_text()
