"""Set up: the company, its people and its calendar."""

from datetime import date

import pytest

from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.company import edit_company, set_up, write_technician
from servicedesk.desk.company_lists import write_entry
from servicedesk.desk.office import desk_at, technicians_at
from servicedesk.records.errors import StaleEdit
from tests.builders import TODAY, a_technician


def wrong_of(verb, *args, **kwargs):
    with pytest.raises(WrongEntry) as caught:
        verb(*args, **kwargs)
    return [(w.field, w.meant) for w in caught.value.wrong]


def test_the_details_of_the_company_are_written_and_read_by_the_next_desk(desk):
    seen = set_up(desk).company["revision"]

    edit_company(desk, {"response_hours": 24, "working_days": (0, 1, 2, 3)}, seen=seen)

    again = desk_at(desk.store, today=TODAY)
    assert again.company.response_hours == 24
    assert again.company.working_days == {0, 1, 2, 3}
    assert again.company.name == "Sallow Fork Onsite Care"
    with pytest.raises(StaleEdit):
        edit_company(desk, {"name": "x"}, seen=seen)


def test_a_store_without_a_company_gets_one(store):
    desk = desk_at(store)

    edit_company(desk, {"name": "Sallow Fork Onsite Care", "time_zone": "America/New_York"})

    assert desk_at(store).clock.zone.key == "America/New_York"


def test_wrong_details_are_said_with_what_was_probably_meant(desk):
    assert wrong_of(edit_company, desk, {"name": " "}) == [("name", None)]
    assert wrong_of(edit_company, desk, {"time_zone": "Eastern"}) == [("time_zone", None)]
    assert wrong_of(edit_company, desk, {"locale": "tlh"}) == [("locale", None)]
    assert wrong_of(edit_company, desk, {"currency": "usd"}) == [("currency", "USD")]
    assert wrong_of(edit_company, desk, {"day_until_min": 5 * 60}) == [("day_until_min", 17 * 60)]
    assert wrong_of(edit_company, desk, {"day_from_min": 18 * 60}) == [("day_until_min", None)]
    assert wrong_of(edit_company, desk, {"day_until_min": 1500}) == [("day_until_min", None)]
    assert wrong_of(edit_company, desk, {"working_days": ()}) == [("working_days", None)]
    assert wrong_of(edit_company, desk, {"response_hours": 0}) == [("response_hours", None)]
    assert wrong_of(edit_company, desk, {"road_detour": 0.9}) == [("road_detour", None)]
    assert wrong_of(edit_company, desk, {"road_speed_kmh": 2.0}) == [("road_speed_kmh", None)]
    swapped = {"lat_deg": -94.1, "lon_deg": 30.1}
    assert wrong_of(edit_company, desk, swapped) == [("lat_deg", (30.1, -94.1))]
    assert wrong_of(edit_company, desk, {"lat_deg": None}) == [("lat_deg", None)]
    assert wrong_of(edit_company, desk, {"lon_deg": 180.0}) == [("lon_deg", None)]
    with pytest.raises(ValueError, match="invented_note"):
        edit_company(desk, {"invented_note": ""})
    with pytest.raises(ValueError, match="nautical"):
        edit_company(desk, {"units": "nautical"})


def test_a_technician_comes_and_goes(desk):
    write_technician(desk, {"name": "Lena Hobb", "from_on": date(2020, 1, 1), "skills": ("spray",)})
    (lena,) = set_up(desk).technicians
    assert (lena["short_name"], lena["skills"]) == ("Lena", ["spray"])

    write_technician(desk, {"until_on": TODAY}, technician_id=lena["id"], seen=lena["revision"])

    assert technicians_at(desk, TODAY) == ()
    assert [p.name for p in technicians_at(desk, date(2026, 10, 13))] == ["Lena Hobb"]
    with pytest.raises(StaleEdit):
        write_technician(desk, {"name": "x"}, technician_id=lena["id"], seen=lena["revision"])


def test_a_technician_who_cannot_be_planned_is_refused_where_it_is_wrong(desk):
    tobin = a_technician(desk, "Tobin Pell", from_on=date(2024, 1, 1))

    def wrong(**values):
        return [f for f, _ in wrong_of(write_technician, desk, values, technician_id=tobin.id)]

    assert wrong_of(write_technician, desk, {}) == [("name", None)]
    assert wrong(name="") == ["name"]
    assert wrong(base="home") == ["home_lat_deg"]
    assert wrong(until_on=date(2024, 1, 1)) == ["until_on"]
    assert wrong(break_min=300) == ["break_min"]
    assert wrong(break_until_min=11 * 60) == ["break_until_min"]
    assert wrong(break_from_min=7 * 60) == ["break_from_min"]
    assert wrong(day_until_min=12 * 60 + 30) == ["break_from_min"]
    assert wrong(truck_id=99) == ["truck_id"]
    assert wrong(working_days=(7,)) == ["working_days"]
    with pytest.raises(ValueError, match="beach"):
        write_technician(desk, {"base": "beach"}, technician_id=tobin.id)
    write_technician(
        desk,
        {"base": "home", "home_lat_deg": 30.2, "home_lon_deg": -94.2},
        technician_id=tobin.id,
    )


def test_trucks_calendar_seats_and_licenses_are_written(desk):
    lena = a_technician(desk)

    write_entry(desk, "truck", {"name": "T1", "plate": ""})
    write_entry(desk, "holiday", {"day": date(2026, 11, 26), "name": "Thanksgiving"})
    off = {"technician_id": lena.id, "from_on": date(2026, 10, 19), "until_on": date(2026, 10, 24)}
    write_entry(desk, "day_off", {**off, "why": "vacation"})
    write_entry(desk, "on_call", off)
    write_entry(desk, "office_user", {"name": "Ada", "role": "office"})
    write_entry(desk, "company_license", {"number": "OS-1", "valid_until": date(2027, 1, 1)})
    license_ = {"technician_id": lena.id, "license_class": "maintenance provider"}
    changed = write_entry(desk, "technician_license", license_)

    now = set_up(desk)
    assert [t["name"] for t in now.trucks] == ["T1"]
    assert [h["name"] for h in now.holidays] == ["Thanksgiving"]
    assert [d["why"] for d in now.days_off] == ["vacation"]
    assert [o["technician_id"] for o in now.on_call] == [lena.id]
    assert [s["name"] for s in now.seats] == ["Ines", "Ada"]
    assert [c["number"] for c in now.company_licenses] == ["OS-1"]
    assert [c["license_class"] for c in now.technician_licenses] == ["maintenance provider"]
    assert set(changed.rows) == {"technician_license"}
    assert desk_at(desk.store, today=TODAY).works_on(date(2026, 11, 26)) is False


def test_an_entry_is_edited_once_for_each_look_at_it(desk):
    write_entry(desk, "truck", {"name": "T1"})
    (truck,) = set_up(desk).trucks

    write_entry(desk, "truck", {"ended_on": TODAY}, row_id=truck["id"], seen=truck["revision"])

    assert set_up(desk).trucks[0]["name"] == "T1"
    with pytest.raises(StaleEdit):
        write_entry(desk, "truck", {"name": "T2"}, row_id=truck["id"], seen=truck["revision"])


def test_wrong_entries_of_the_lists_are_said_at_their_field(desk):
    lena = a_technician(desk)
    write_entry(desk, "holiday", {"day": date(2026, 11, 26), "name": "Thanksgiving"})
    day = date(2026, 10, 19)

    def wrong(kind, **values):
        return [field for field, _ in wrong_of(write_entry, desk, kind, values)]

    assert wrong("truck", name=" ") == ["name"]
    assert wrong("holiday", name="x") == ["day"]
    assert wrong("holiday", day=date(2026, 11, 26)) == ["day"]
    assert wrong("day_off", technician_id=lena.id, from_on=day, until_on=day) == ["until_on"]
    assert wrong("on_call", technician_id=99, from_on=day, until_on=TODAY) == [
        "technician_id",
        "until_on",
    ]
    assert wrong("company_license", number="1", valid_from=day, valid_until=day) == ["valid_until"]
    with pytest.raises(KeyError):
        write_entry(desk, "boat", {})
    with pytest.raises(ValueError, match="color"):
        write_entry(desk, "truck", {"name": "T1", "color": "red"})
