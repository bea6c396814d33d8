"""The list of sites and one site's file on a real store, driven by keys without a screen."""

from datetime import timedelta

import pytest
from PySide6.QtCore import Qt

from servicedesk.desk import changes
from servicedesk.desk.sitefile import site_file
from servicedesk.window.places.registry import all_places
from tests.builders import (
    TODAY,
    a_call,
    a_contract,
    a_done_visit,
    a_site,
    a_unit,
    a_visit,
    something_owed,
)
from tests.window.rounds_office import THURSDAY, DeskOffice, a_desk


def kinds():
    return tuple(kind for kind in all_places() if kind.id == "sites")


@pytest.fixture
def office(file_store):
    desk = a_desk(file_store)
    hollow = a_site(
        desk, "118 Dry Hollow Lane", owner="Quillan, Ruth", lat_deg=30.01, lon_deg=-94.0
    )
    a_contract(desk, hollow)
    a_unit(desk, hollow)
    a_call(desk, hollow)
    a_done_visit(desk, hollow, TODAY - timedelta(days=100))
    a_visit(desk, hollow, planned_on=THURSDAY)
    something_owed(desk, hollow, what="West spray head tied up")
    a_site(desk, "9 Tessing Road", owner="Pell, Ada")
    return DeskOffice(desk=desk)


@pytest.fixture
def opened(office, open_window, qtbot):
    window = open_window(office, kinds())
    place = window.place
    qtbot.waitUntil(lambda: place.is_settled and len(place.list.table.rows.ids) == 2)
    return window


def the_file(window, qtbot, office, address):
    desk = office.desk
    place = window.place
    site_id = next(i for i, row in place._rows.items() if row.address == address)
    window.shell.go("sites", site_id)
    qtbot.waitUntil(lambda: place.file.address == address and place.is_settled)
    return site_file(desk, site_id)


def texts(sheet):
    lines = sheet.lines
    return [
        lines.itemAt(n).widget().words.text()
        for n in range(lines.count())
        if hasattr(lines.itemAt(n).widget(), "words")
    ]


def test_typing_three_signs_leaves_the_sites_they_lead_to(opened, qtbot):
    place = opened.place
    place.search()

    qtbot.keyClicks(place.list.search, "hol")

    qtbot.waitUntil(lambda: place.is_settled and len(place.list.table.rows.ids) == 1)
    assert place.list.row(place.list.table.rows.ids[0]).address == "118 Dry Hollow Lane"


def test_owing_something_is_written_and_can_be_taken_back(opened, office, qtbot):
    the_file(opened, qtbot, office, "9 Tessing Road")
    page = opened.place.file
    page.owe()
    form = opened.place.forms.form(office.desk)
    form.fields["what"].put("Riser screw missing")

    form.write()

    qtbot.waitUntil(lambda: any("Riser screw" in line for line in texts(page.coming)))
    changes.undo(office.desk)
    opened.place.refresh(None)
    qtbot.waitUntil(lambda: not any("Riser screw" in line for line in texts(page.coming)))


def test_a_site_opens_with_enter(opened, qtbot):
    place = opened.place
    place.list.table.setFocus()

    qtbot.keyClick(place.list.table, Qt.Key.Key_Return)

    qtbot.waitUntil(lambda: place.title() != "")
