"""A visit planned from the file of a site."""

from datetime import timedelta

import pytest

from servicedesk.desk import changes
from servicedesk.records.sites import Site
from servicedesk.records.visits import Visit
from servicedesk.window.places.registry import all_places
from tests.builders import TODAY, a_contract, a_site, a_technician, a_visit
from tests.window.rounds_office import DeskOffice, a_desk

THURSDAY = TODAY + timedelta(days=1)


@pytest.fixture
def office(file_store):
    desk = a_desk(file_store)
    a_technician(desk, "Lena Hobb")
    a_contract(desk, a_site(desk, "118 Dry Hollow Lane", lat_deg=30.01, lon_deg=-94.0))
    return DeskOffice(desk=desk)


@pytest.fixture
def file(office, open_window, qtbot):
    """The file of the one site."""
    opened = open_window(office, tuple(k for k in all_places() if k.id == "sites"))
    opened.shell.go("sites", 1)
    qtbot.waitUntil(lambda: opened.place.file.seen is not None)
    return opened.place.file


def visits(office):
    with office.desk.store.read() as session:
        return session.query(Visit).order_by(Visit.id).all()


def test_a_visit_is_planned_from_the_file_and_shows_there(file, office, qtbot):
    file.coming.plan.click()
    form = file._page.forms.form(office.desk)
    assert form.isVisible()
    form.fields["on"].put(THURSDAY)
    form.fields["technician_id"].put(1)
    form.fields["held_at_min"].put(570)

    form.write()

    qtbot.waitUntil(lambda: "tomorrow" in file.coming.next.text())
    (visit,) = visits(office)
    assert (visit.planned_on, visit.held_crew_id, visit.held_at_min) == (THURSDAY, 1, 570)
    assert not file.visits.notice.isVisible()
    changes.undo(office.desk)
    assert visits(office) == []


def test_a_day_that_has_passed_is_said_at_the_day(file, office, qtbot):
    file.visits.plan()
    form = file._page.forms.form(office.desk)
    form.fields["on"].put(TODAY - timedelta(days=3))

    form.write()

    qtbot.waitUntil(lambda: form.fields["on"].is_wrong)
    assert visits(office) == []


def test_what_joins_a_stop_that_is_there_is_told(file, office, qtbot):
    with office.desk.store.read() as session:
        site = session.get(Site, 1)
    there = a_visit(office.desk, site, planned_on=THURSDAY, kind_of="estimate")
    file.visits.plan()
    form = file._page.forms.form(office.desk)
    form.fields["on"].put(THURSDAY)
    form.fields["kind"].put("repair")

    form.write()

    qtbot.waitUntil(file.visits.notice.isVisible)
    assert "joins" in file.visits.notice.more.text
    assert [v.id for v in visits(office)] == [there.id]
