"""Who sits here is chosen, kept on this computer for each store, and never silently wrong."""

from datetime import timedelta

import pytest
from PySide6.QtCore import Qt

from servicedesk.desk.front import FrontOffice
from servicedesk.records.company import OfficeUser
from servicedesk.window.places.registry import all_places
from servicedesk.window.seats import kept_seat, sit_here, take_kept_seat
from tests.builders import TODAY
from tests.desk.conftest import _seated
from tests.window.test_owed import _Plain, settle

INES, OTTO = 1, 2


@pytest.fixture
def desk(file_store):
    """Ines and Otto may sit here."""
    desk = _seated(file_store)
    with desk.store.change("Ines", "Wrote a seat") as work:
        work.add(OfficeUser(name="Otto"))
    return desk


def started(desk, **options):
    """The office after a start of the program."""
    office = FrontOffice(desk.seated("Ines"), **options)
    take_kept_seat(office)
    return office


def edit(desk, seat_id, **values):
    with desk.store.change("Ines", "Edited a seat") as work:
        seat = work.get(OfficeUser, seat_id)
        for name, value in values.items():
            setattr(seat, name, value)


def test_whoever_sat_here_last_sits_here_after_a_restart(desk):
    sit_here(started(desk), OTTO)
    assert started(desk).desk.who == "Otto"


def test_nobody_sits_down_where_several_could_and_none_was_chosen(desk):
    office = started(desk)
    assert office.desk.who == ""
    assert office.company().seat_name == ""


def test_the_only_seat_needs_no_question(desk):
    edit(desk, OTTO, ended_on=TODAY)
    assert started(desk).desk.who == "Ines"


def test_a_seat_that_ended_is_asked_about_again(desk):
    sit_here(started(desk), OTTO)
    edit(desk, OTTO, ended_on=TODAY)
    office = started(desk)
    assert (office.desk.who, office.seats().before) == ("", "Otto")


def test_a_store_put_in_the_place_of_another_lets_no_stranger_sign(desk):
    sit_here(started(desk), OTTO)
    edit(desk, OTTO, name="Olga")
    assert started(desk).desk.who == ""


def test_each_store_keeps_its_own(desk):
    office = started(desk)
    sit_here(office, OTTO)
    assert kept_seat(office.seats().store) == (OTTO, "Otto")
    assert kept_seat("another.store") == (0, "")


def test_a_person_named_at_the_start_goes_first_and_is_not_kept(desk):
    sit_here(started(desk), OTTO)
    office = FrontOffice(desk.seated("Nell"), asks_seat=False)
    take_kept_seat(office)
    assert office.desk.who == "Nell"
    assert started(desk).desk.who == "Otto"


def test_who_is_renamed_stays_and_who_ends_leaves_while_the_window_is_open(desk):
    office = started(desk)
    sit_here(office, OTTO)
    edit(desk, OTTO, name="Otto K.")
    assert office.company().seat_name == "Otto K."
    edit(desk, OTTO, ended_on=TODAY - timedelta(days=1))
    assert office.company().seat_name == ""
    office.reread()
    assert office.desk.who == ""  # nobody stays nobody


def test_the_window_asks_until_somebody_sits_down(qtbot, open_window, desk):
    kinds = [_Plain(k) for k in all_places() if k.id == "sites"]
    window = open_window(started(desk), kinds)
    qtbot.waitUntil(window.seat_sheet.isVisible)
    qtbot.keyClick(window.seat_sheet, Qt.Key.Key_Escape)
    assert window.seat_sheet.isVisible()

    window.seat_sheet.buttons[OTTO].click()
    settle(qtbot, window)

    assert not window.seat_sheet.isVisible()
    assert window.spine.seat.text() == "Otto"
    assert started(desk).desk.who == "Otto"


def test_the_seat_is_changed_from_the_menu_and_can_be_left_as_it_is(qtbot, open_window, desk):
    office = started(desk)
    sit_here(office, INES)
    kinds = [_Plain(k) for k in all_places() if k.id == "sites"]
    window = open_window(office, kinds)
    window.acts.run("seat")
    qtbot.waitUntil(window.seat_sheet.isVisible)
    assert window.seat_sheet.buttons[INES].hasFocus()
    qtbot.keyClick(window.seat_sheet, Qt.Key.Key_Escape)
    assert not window.seat_sheet.isVisible()
    assert office.desk.who == "Ines"
