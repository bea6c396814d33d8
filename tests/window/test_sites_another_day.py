"""Another day asked for from the file of a site."""

from datetime import timedelta

import pytest
from PySide6.QtCore import Qt

from servicedesk.desk import changes
from servicedesk.records.rounds import Round
from servicedesk.records.visits import Visit
from servicedesk.window.places.registry import all_places
from tests.builders import TODAY, a_contract, a_site, a_technician, a_visit
from tests.window.rounds_office import DeskOffice, a_desk

THURSDAY, FRIDAY = TODAY + timedelta(days=1), TODAY + timedelta(days=2)


@pytest.fixture
def office(file_store):
    """Lena comes to the one site on Thursday."""
    desk = a_desk(file_store)
    lena = a_technician(desk, "Lena Hobb")
    site = a_site(desk, "118 Dry Hollow Lane", lat_deg=30.01, lon_deg=-94.0)
    a_contract(desk, site)
    with desk.store.change("Ines", "planned") as work:
        round_ = work.add(Round(day=THURSDAY, lead_id=lena.id))
        work.add(Round(day=FRIDAY, lead_id=lena.id))
    a_visit(desk, site, planned_on=THURSDAY, round_id=round_.id, place=1)
    return DeskOffice(desk=desk)


@pytest.fixture
def opened(office, open_window, qtbot):
    window = open_window(office, tuple(k for k in all_places() if k.id == "sites"))
    window.shell.go("sites", 1)
    qtbot.waitUntil(lambda: window.place.file.seen is not None)
    return window


def the_visit(office):
    with office.desk.store.read() as session:
        return session.query(Visit).one()


def test_a_digit_takes_another_day_and_undo_gives_the_old_one_back(opened, office, qtbot):
    file = opened.place.file
    asker, sheet = file.another_day.asker, file.another_day.sheet
    assert not sheet.isVisible()

    file.coming.another.click()
    qtbot.waitUntil(lambda: asker.offer is not None)
    sheet.days[THURSDAY.weekday()].click()
    qtbot.waitUntil(lambda: asker.offer is not None and not asker.is_asking)
    assert sheet.isVisible()
    assert asker.offer.places, asker.offer.why_none
    assert THURSDAY not in {way.day for way in asker.offer.places}
    first = asker.offer.places[0].day
    qtbot.keyClick(sheet.list, Qt.Key.Key_1)

    qtbot.waitUntil(lambda: the_visit(office).planned_on == first)
    assert the_visit(office).told
    qtbot.waitUntil(lambda: not opened.shell.work.is_busy)
    assert not sheet.isVisible()
    changes.undo(office.desk)
    assert the_visit(office).planned_on == THURSDAY


def test_esc_closes_it_and_without_a_visit_it_says_so(opened, office, qtbot):
    file = opened.place.file
    file.another_day.ask()
    qtbot.waitUntil(lambda: file.another_day.asker.offer is not None)
    qtbot.keyClick(file.another_day.sheet.list, Qt.Key.Key_Escape)
    assert not file.another_day.sheet.isVisible()
    assert the_visit(office).planned_on == THURSDAY

    file.another_day._found(None)
    assert file.visits.notice.isVisible()
