"""What is written from the sites' pages: places, new sites, edits of two people at once."""

from datetime import timedelta

import pytest
from PySide6.QtCore import Qt

from servicedesk.desk import changes
from servicedesk.desk.rules import write_own_rules
from servicedesk.desk.site_entry import edit_site
from servicedesk.desk.sitefile import site_file
from servicedesk.desk.sites import site_rows
from servicedesk.window.places.registry import all_places
from tests.builders import TODAY, a_call, a_contract, a_site, a_visit
from tests.desk.test_rules import a_rule
from tests.window.rounds_office import DeskOffice, a_desk


def kinds():
    return tuple(kind for kind in all_places() if kind.id == "sites")


@pytest.fixture
def office(file_store):
    desk = a_desk(file_store)
    hollow = a_site(
        desk, "118 Dry Hollow Lane", owner="Quillan, Ruth", lat_deg=30.01, lon_deg=-94.0
    )
    a_contract(desk, hollow)
    a_call(desk, hollow)
    a_call(desk, hollow)
    a_visit(desk, hollow, planned_on=TODAY + timedelta(days=1))
    a_site(desk, "9 Tessing Road", owner="Pell, Ada", lat_deg=None, lon_deg=None)
    return DeskOffice(desk=desk)


@pytest.fixture
def window(office, open_window, qtbot):
    opened = open_window(office, kinds())
    qtbot.waitUntil(lambda: opened.place.is_settled and len(opened.place.list.table.rows.ids) == 2)
    return opened


def id_of(place, address):
    return next(i for i, row in place._rows.items() if row.address == address)


def row_now(office, site_id):
    return site_rows(office.desk, [site_id])[0]


@pytest.fixture
def bar(window, qtbot):
    """Where is this? with the only site that has no place."""
    place = window.place
    place.list.choose_filter("where")
    qtbot.waitUntil(lambda: place.is_settled and len(place.list.table.rows.ids) == 1)
    qtbot.waitUntil(place.list.place_bar.button.isEnabled)
    qtbot.wait(300)
    return place.list.place_bar


def test_a_pasted_geo_address_sets_the_place_and_says_so(window, bar, office, qtbot):
    site_id = window.place.list.table.current_id

    qtbot.keyClicks(bar.field, "geo:30.02,-94.05")
    qtbot.keyClick(bar.field, Qt.Key.Key_Return)

    qtbot.waitUntil(lambda: bar.told.text() != "")
    assert "9 Tessing Road" in bar.told.text()
    now = row_now(office, site_id)
    assert (now.position.lat_deg, now.position.lon_deg) == (30.02, -94.05)
    assert now.position_state == "known"
    changes.undo(office.desk)
    assert row_now(office, site_id).position is None


def test_what_cannot_be_read_as_a_place_is_said_under_the_field(bar, qtbot):
    qtbot.keyClicks(bar.field, "behind the mill")

    bar.look()

    assert bar.entry.is_wrong
    assert bar.field.text() == "behind the mill"


def test_exchanged_figures_are_asked_about_and_never_mended_silently(window, bar, office, qtbot):
    place = (office.desk.company.position.lat_deg, office.desk.company.position.lon_deg)
    qtbot.keyClicks(bar.field, f"{place[1]}, {place[0]}")

    bar.look()
    assert bar.entry.is_wrong
    assert row_now(office, window.place.list.table.current_id).position is None
    bar.entry._fix.click()

    lat, lon = (float(part) for part in bar.field.text().split(","))
    assert (lat, lon) == pytest.approx(place)


def test_a_new_site_without_an_address_says_so_under_the_field_and_loses_nothing(
    window, office, qtbot
):
    place = window.place
    place.new_site()
    form = place.forms.form(office.desk)
    form.fields["owner"].put_text("Teasel, Una")

    form.write()
    qtbot.waitUntil(lambda: form.fields["address"].is_wrong)
    assert form.fields["owner"].text() == "Teasel, Una"
    form.fields["address"].put_text("67 Burnt Mill")
    form.write()

    qtbot.waitUntil(lambda: place.title() == "67 Burnt Mill")
    assert not form.isVisible()
    assert place.file.seen.file.people_now[0].name == "Teasel, Una"


def test_a_new_site_with_a_pasted_link_stands_on_the_map(window, office, qtbot):
    place = window.place
    place.new_site()
    form = place.forms.form(office.desk)
    form.fields["address"].put_text("67 Burnt Mill")
    form.fields["position"].put_text("https://maps.example/?q=30.05,-94.01")

    form.write()

    qtbot.waitUntil(lambda: place.title() == "67 Burnt Mill")
    file = place.file.seen.file
    assert (file.position.lat_deg, file.position.lon_deg) == (30.05, -94.01)
    assert file.position_state == "known"


def test_two_who_edit_one_site_see_both_versions_and_mine_can_be_kept(window, office, qtbot):
    place = window.place
    site_id = id_of(place, "118 Dry Hollow Lane")
    window.shell.go("sites", site_id)
    qtbot.waitUntil(lambda: place.title() == "118 Dry Hollow Lane")
    place.file.edit()
    form = place.forms.form(office.desk)
    form.fields["dogs_note"].put_text("Two dogs, ring first")
    seen = site_file(office.desk, site_id).head.revision
    edit_site(office.desk.seated("Ada"), site_id, {"dogs_note": "One dog"}, seen=seen)

    form.write()
    qtbot.waitUntil(form.both.isVisible)
    texts = [label.text() for label in form.both.findChildren(type(form.both.what))]
    assert "One dog" in texts
    assert "Two dogs, ring first" in texts
    assert "Ada" in form.both.what.text()
    form.both.keep_mine.click()

    qtbot.waitUntil(lambda: not form.isVisible())
    assert site_file(office.desk, site_id).head.dogs_note == "Two dogs, ring first"


def test_an_entry_put_away_with_esc_is_there_again(window, office, qtbot):
    place = window.place
    place.new_site()
    form = place.forms.form(office.desk)
    form.fields["address"].put_text("4 Old Weir")
    qtbot.keyClick(form, Qt.Key.Key_Escape)
    assert not form.isVisible()

    place.new_site()

    assert form.fields["address"].text() == "4 Old Weir"


def test_telling_them_the_day_answers_when_we_come(window, office, qtbot):
    place = window.place
    window.shell.go("sites", id_of(place, "118 Dry Hollow Lane"))
    qtbot.waitUntil(lambda: place.title() == "118 Dry Hollow Lane")
    assert not place.file.seen.file.coming.told
    place.file.tell()
    form = place.forms.form(office.desk)

    form.write()

    qtbot.waitUntil(lambda: place.file.seen.file.coming.told)
    assert any(e.kind == "told" for e in place.file.history.shown)


def test_a_filter_leaves_only_its_sites(window, qtbot):
    place = window.place

    place.list.choose_filter("called")

    qtbot.waitUntil(lambda: place.is_settled and len(place.list.table.rows.ids) == 1)
    assert place.list.row(place.list.table.rows.ids[0]).address == "118 Dry Hollow Lane"
    assert place.list.pills["called"].text().endswith("1")


def test_a_search_is_answered_at_once_from_the_rows_at_hand(window, qtbot):
    place = window.place
    place.list.search.setText("pell")  # no event is processed in between: nothing was asked

    ids = place.list.table.rows.ids

    assert [place._rows[i].owner for i in ids] == ["Pell, Ada"]
    place.list.search.setText("pell hollow")
    assert place.list.table.rows.ids == ()  # all words have to be there


def test_a_point_on_the_map_and_its_row_are_chosen_together(window, qtbot):
    place = window.place
    qtbot.waitUntil(lambda: bool(place.list.map.spots))
    site_id = id_of(place, "118 Dry Hollow Lane")
    place.list.table.choose(id_of(place, "9 Tessing Road"))

    qtbot.mouseClick(
        place.list.map, Qt.MouseButton.LeftButton, pos=place.list.map.spots[site_id].toPoint()
    )

    assert place.list.table.current_id == site_id


def test_a_form_is_never_wider_than_what_is_seen_of_it(window, office, qtbot):
    place = window.place
    place.new_site()
    form = place.forms.form(office.desk)
    qtbot.wait(50)  # one turn of the layouts

    assert form.area.widget().minimumSizeHint().width() <= form.area.viewport().width()
    assert form.area.widget().width() <= form.area.viewport().width()


def test_the_service_rule_of_a_system_is_chosen_from_its_file(window, office, qtbot):
    place = window.place
    site_id = id_of(place, "118 Dry Hollow Lane")
    write_own_rules(office.desk, {"Brisk Mere": [a_rule()]})
    window.shell.go("sites", site_id)
    qtbot.waitUntil(lambda: place.title() == "118 Dry Hollow Lane")
    place.keys["rule"].trigger()
    form = place.forms.form(office.desk)
    (field,) = form.fields.values()
    field.put("brisk-spray")
    form.write()

    qtbot.waitUntil(lambda: not form.isVisible())
    (system,) = site_file(office.desk, site_id).systems
    assert system.rule_id == "brisk-spray"
