"""The sheets at the right of the map that ask something: another day, somebody away."""

from datetime import timedelta

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QContextMenuEvent
from PySide6.QtWidgets import QApplication

from servicedesk.desk.planning import day_case
from servicedesk.records.company import DayOff
from servicedesk.records.rounds import Round
from servicedesk.records.told import Told
from servicedesk.records.visits import Visit
from tests.builders import a_site, a_visit
from tests.window.rounds_office import THURSDAY
from tests.window.test_rounds import LENA, TOBIN, opened  # noqa: F401 (a fixture)

FRIDAY = THURSDAY + timedelta(days=1)


def a_friday(page):
    """Tobin goes out on Friday, too."""
    desk = page.office.desk
    with desk.store.change("Ines", "Friday") as work:
        round_ = work.add(Round(day=FRIDAY, lead_id=int(TOBIN)))
    site = a_site(desk, "5 Friday Lane", lat_deg=30.02, lon_deg=-94.01)
    a_visit(desk, site, planned_on=FRIDAY, round_id=round_.id, place=1)
    page.place.refresh(None)
    page.settle()
    return desk


def test_another_day_offers_places_at_once_and_a_digit_takes_one(opened):  # noqa: F811
    page = opened()
    desk, place = a_friday(page), page.place
    stop = page.stop("Brisk Ferry")
    site = place.page.stops[stop].site_id
    place.choose(stop)

    page.key(Qt.Key.Key_A)
    page.settle()
    sheet = place.view.another_day
    assert place.view.side.currentWidget() is sheet
    sheet.days[THURSDAY.weekday()].setChecked(True)
    page.settle()

    assert "not Thu" in sheet.note.text()
    assert {way.day for way in place.another_day.offer.places} == {FRIDAY}
    page.key(Qt.Key.Key_1, on=sheet.list)
    page.settle()
    assert place.view.side.currentWidget() is place.tray
    with desk.store.read() as session:
        visit = session.query(Visit).filter_by(site_id=site).one()
        told = session.query(Told).one()
    assert (visit.planned_on, visit.wishes, visit.told) == (FRIDAY, {"not_days": [3]}, True)
    assert told.promised_on == FRIDAY


def test_no_day_yet_frees_the_visit_and_esc_changes_nothing(opened):  # noqa: F811
    page = opened()
    desk, place = page.office.desk, page.place
    stop = page.stop("Brisk Ferry")
    place.choose(stop)
    place.ask_another_day()
    page.settle()
    before = page.orders()
    page.key(Qt.Key.Key_Escape, on=place.view.another_day.list)
    assert not place.another_day.is_open
    assert page.orders() == before

    place.ask_another_day()
    page.settle()
    place.view.another_day.none.click()
    page.settle()

    assert stop not in place.plan.crew_id_of
    with desk.store.read() as session:
        assert session.get(Visit, int(stop[1:])).planned_on is None


def test_somebody_away_is_shown_before_it_is_written(opened):  # noqa: F811
    page = opened()
    desk, place = page.office.desk, page.place
    before = page.orders()
    row = next(r for r in place.bench.figure.rows if r.crew_id == LENA)
    at = QPoint(30, round(row.box.center[1]))
    seen = []
    place.bench.crew_menu.connect(lambda crew, _at: seen.append(crew))
    place.bench.crew_menu.disconnect(place._crew_menu)
    event = QContextMenuEvent(QContextMenuEvent.Reason.Mouse, at, place.bench.mapToGlobal(at))
    QApplication.sendEvent(place.bench, event)
    assert seen == [LENA]

    place.ask_absent(LENA)
    page.settle()

    sheet = place.view.away
    assert place.view.side.currentWidget() is sheet
    assert len(sheet.list.rows.rows) == 3
    assert page.orders() == before
    sheet.take.click()
    page.settle()
    assert LENA not in page.orders()
    with desk.store.read() as session:
        assert session.query(DayOff).one().from_on == THURSDAY
    placed = day_case(desk, THURSDAY).stand.orders[TOBIN]
    shown = {i for order in before.values() for i in order}
    assert set(placed) <= shown


def test_a_change_by_somebody_else_closes_what_was_worked_out(opened):  # noqa: F811
    page = opened()
    place = page.place
    place.ask_absent(LENA, for_good=True)
    page.settle()
    assert "leaves" in place.view.away.title_label.text()

    place.refresh(None)
    page.settle()

    assert place.view.side.currentWidget() is place.tray
