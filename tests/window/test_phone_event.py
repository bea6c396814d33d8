"""A storm over Phone: opened by keys, a night of forty calls taken and worked, closed again."""

from dataclasses import replace
from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from sample_db.storm import storm_night
from servicedesk.desk.callbacks import open_calls
from servicedesk.desk.events import open_event, running_event
from servicedesk.desk.intake import CallDraft, write_call
from servicedesk.records.calls import Call
from servicedesk.records.told import Told
from tests.builders import a_call, a_site
from tests.window.test_phone import (
    CTRL,
    _own_data,
    calls,
    company,
    desk,
    kinds,
    page,
    typist,
)

__all__ = ["_own_data", "company", "desk", "kinds", "typist"]
MOST_KEYS_IN_A_STORM = 10


def listed(typist):
    """Titles of the list, headings too."""
    return [row.title for row in typist.window.place.list.list.rows.rows]


def at_the_list(typist):
    typist.window.shell.go("phone")
    typist.settle()
    typist.window.place.first_focus().setFocus()


def events(typist):
    return typist.window.place.events


def test_e_and_enter_open_a_storm_over_everywhere_from_now_on(company, typist):
    a_call(company)
    at_the_list(typist)
    typist.n_keys = 0
    typist.key(Qt.Key.Key_E)
    typist.key(Qt.Key.Key_Return)
    typist.settle()

    storm = running_event(company)
    assert (storm.what, storm.area, storm.from_at) == ("storm", "everywhere", company.clock.now())
    assert typist.n_keys == 2
    band = events(typist).band
    assert band.isVisibleTo(typist.window.place)
    assert band.title.text() == "Storm since 10:46 am"
    assert QApplication.focusWidget() is typist.window.place.list.list


def test_what_where_and_since_when_are_chosen_by_keys(company, typist):
    a_call(company)
    at_the_list(typist)
    typist.key(Qt.Key.Key_E)
    typist.key(Qt.Key.Key_F)
    form = events(typist).form
    form.area.setFocus()
    typist.type("old")
    form.since.setFocus()
    typist.key(Qt.Key.Key_Down)
    typist.key(Qt.Key.Key_Down)
    form.write.setFocus()
    typist.key(Qt.Key.Key_Return)
    typist.settle()

    flood = running_event(company)
    assert (flood.title, flood.area) == ("Flood", "Old Tessing")
    assert flood.from_at == company.clock.now() - timedelta(hours=3)


def test_a_village_nobody_knows_is_said_under_the_field_and_put_right_by_a_key(
    qtbot, company, typist
):
    a_call(company)
    at_the_list(typist)
    typist.key(Qt.Key.Key_E)
    form = events(typist).form
    form.area.setFocus()
    typist.type("Olt Tessing")
    typist.key(Qt.Key.Key_Return)
    typist.settle()
    assert form.area_row.is_wrong
    assert running_event(company) is None

    typist.key(Qt.Key.Key_U, Qt.KeyboardModifier.AltModifier)
    qtbot.waitUntil(lambda: not form.area_row.is_wrong)  # a button takes its time
    typist.key(Qt.Key.Key_Return)
    typist.settle()
    assert running_event(company).area == "Old Tessing"


def test_esc_leaves_the_form_and_opens_nothing(company, typist):
    a_call(company)
    at_the_list(typist)
    typist.key(Qt.Key.Key_E)
    typist.key(Qt.Key.Key_Escape)
    typist.settle()

    assert running_event(company) is None
    assert not events(typist).form.isVisibleTo(typist.window.place)


def test_it_is_over_closes_it_and_the_band_goes(qtbot, company, typist):
    a_call(company)
    open_event(company, "storm")
    at_the_list(typist)
    typist.key(Qt.Key.Key_E)
    typist.key(Qt.Key.Key_C, Qt.KeyboardModifier.AltModifier)
    qtbot.waitUntil(lambda: running_event(company) is None)
    typist.settle()

    assert running_event(company) is None
    assert not events(typist).band.isVisibleTo(typist.window.place)


def test_a_night_of_forty_calls_is_taken_with_few_keys_each_and_worked_in_order(desk, typist):
    names = [f"{first}{second}x" for first in "BDFGKLMNPR" for second in "aeio"]
    sites = [
        a_site(desk, f"{n} Storm Road", owner=name, lat_deg=30 + n / 400, lon_deg=-94.0)
        for n, name in enumerate(names)
    ]
    dusk = desk.clock.now() - timedelta(hours=12)
    open_event(desk, "storm", from_at=dusk)
    night = storm_night([site.id for site in sites], begins_at=dusk, seed=3)
    name_of = {site.id: name for site, name in zip(sites, names, strict=True)}
    for one in night[:-5]:
        said = {one.danger: "yes"} if one.danger else {}
        write_call(desk, CallDraft(site_id=one.site_id, symptoms=(one.symptom,),
                                   answers=said, called_at=one.called_at))  # fmt: skip

    for one in night[-5:]:
        typist.n_keys = 0
        typist.key(Qt.Key.Key_F4)
        typist.type(name_of[one.site_id])
        typist.key(Qt.Key.Key_Return)
        typist.settle()
        typist.key(Qt.Key.Key_1)
        for _ in range(3):
            typist.key(Qt.Key.Key_N)
        assert not page(typist).asking._sheet.checks.isVisibleTo(page(typist))
        assert "site and lamp are enough" in page(typist).head.hint.text
        typist.key(Qt.Key.Key_Return, CTRL)
        typist.settle()
        assert typist.n_keys <= MOST_KEYS_IN_A_STORM

    found = calls(desk)
    storm = running_event(desk)
    assert len(found) == 40
    assert {call.event_id for call in found} == {storm.id}
    taken = [call.site_id for call in found[-5:]]
    assert taken == [one.site_id for one in night[-5:]]
    at_the_list(typist)
    rows = listed(typist)
    n_danger = sum(bool(one.danger) or one.symptom in ("slow-drains", "lid-hazard")
                   for one in night[:-5])  # fmt: skip
    assert rows[0] == "Storm: danger first"
    assert rows[n_danger + 1] == "Storm: phone them before a truck moves"
    assert len(rows) == 42
    assert f"40 calls · {n_danger} of danger" in events(typist).band.line.text


def test_whoever_was_phoned_goes_to_the_road_and_it_stands_in_the_log(desk, typist):
    sites = [a_site(desk, f"{n} Storm Road", lat_deg=30 + n / 50, lon_deg=-94.0) for n in (3, 1, 2)]
    open_event(desk, "storm")
    for site in sites:
        write_call(desk, CallDraft(site_id=site.id, symptoms=("high-water-alarm",)))
    at_the_list(typist)
    for title in ("3 Storm Road", "2 Storm Road"):
        call = next(one for one in open_calls(desk) if one.title == title)
        assert typist.window.place.list.list.choose(("call", call.id))
        typist.key(Qt.Key.Key_B)
        typist.key(Qt.Key.Key_Return)
        typist.settle()

    assert listed(typist) == [
        "Storm: phone them before a truck moves",
        "1 Storm Road",
        "Storm: by road, each the nearest to the one before",
        "2 Storm Road",
        "3 Storm Road",
    ]
    with desk.store.read() as session:
        told = session.query(Told).all()
        assert [one.what for one in told] == [
            "We know of it and come as soon as the road allows."
        ] * 2
        assert all(one.call_id for one in told)


def test_a_call_that_is_none_of_the_storm_stands_apart_with_one_key(company, typist):
    open_event(company, "storm")
    typist.key(Qt.Key.Key_F4)
    typist.type("dry")
    typist.key(Qt.Key.Key_Return)
    typist.settle()
    typist.key(Qt.Key.Key_6)
    typist.key(Qt.Key.Key_V)
    assert "stands apart" in page(typist).head.hint.text
    typist.settle()
    assert page(typist).asking._sheet.checks.rows  # it is asked like any other
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()

    assert calls(company)[0].event_id is None


def test_those_still_calling_a_day_later_leave_with_one_key(company, typist):
    site = a_site(company, "9 Storm Road")
    now = company.clock.now()
    day_before = replace(
        company, clock=replace(company.clock, now_utc=lambda: now - timedelta(hours=30))
    )
    open_event(day_before, "storm")
    write_call(day_before, CallDraft(site_id=site.id, symptoms=("high-water-alarm",)))
    write_call(company, CallDraft(site_id=site.id, symptoms=("high-water-alarm",)))
    at_the_list(typist)
    band = events(typist).band
    assert band.still.text().startswith("1 still calls a day later")
    assert listed(typist)[-2:] == ["Waiting for an answer", "9 Storm Road"]

    typist.key(Qt.Key.Key_K)
    typist.settle()

    with company.store.read() as session:
        assert {call.event_id for call in session.query(Call)} == {None}
    assert not band.still.isVisibleTo(band)


@pytest.mark.parametrize("joins", [True, False])
def test_one_call_leaves_or_joins_with_one_key(company, typist, joins):
    call = a_call(company, a_site(company, "9 Storm Road"), days_ago=2)
    open_event(company, "storm", from_at=company.clock.now() - timedelta(days=1 if joins else 3))
    at_the_list(typist)
    assert typist.window.place.list.list.choose(("call", call.id))
    typist.key(Qt.Key.Key_L)
    typist.settle()

    with company.store.read() as session:
        assert (session.get(Call, call.id).event_id is not None) is joins
