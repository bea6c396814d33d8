"""What each form of Set up asks."""

from collections.abc import Callable, Mapping
from typing import Any

from servicedesk.values.position import Position
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.words import say
from servicedesk.words.seats import seat_text

Options = tuple[tuple[Any, str], ...]
PLACES = {"place": ("lat_deg", "lon_deg"), "home": ("home_lat_deg", "home_lon_deg")}
TIMES = ("day_from_min", "day_until_min", "break_from_min", "break_until_min")
NUMBERS = ("overtime_min", "break_min", "response_hours", "road_detour", "road_speed_kmh")
_PLACE_HINT = "29.9541, −94.0213"


def kinds_of_list() -> tuple[tuple[str, str, str, str], ...]:
    """Every list: kind, heading, title of a new one, its key."""
    return (
        ("technician", say("Technicians"), say("New technician"), "T"),
        ("technician_license", say("Licenses of technicians"), say("New license"), "K"),
        ("day_off", say("Days off"), say("New days off"), "D"),
        ("on_call", say("On call"), say("New on-call days"), "O"),
        ("truck", say("Trucks"), say("New truck"), "R"),
        ("holiday", say("Holidays"), say("New holiday"), "H"),
        ("company_license", say("Licenses of the company"), say("New company license"), "L"),
        ("office_user", say("Seats"), say("New seat"), "S"),
    )


def roles() -> dict[str, str]:
    """What somebody at a seat is."""
    return {role: seat_text(role) for role in ("office", "technician", "owner")}


def fields_for(
    kind: str, *, trucks: Options, technicians: Options, is_new: bool
) -> tuple[FieldSpec, ...]:
    """The fields of one form. A new company also names its first technician."""
    makers: dict[str, Callable[[], tuple[FieldSpec, ...]]] = {
        "truck": _truck,
        "holiday": _holiday,
        "company_license": _license,
        "office_user": _seat,
    }
    if kind == "company":
        return _company_short() if is_new else _company()
    if kind == "technician":
        return _technician(trucks)
    if kind in makers:
        return makers[kind]()
    who = FieldSpec(name="technician_id", label=say("Who"), kind="choice", options=technicians)
    if kind == "technician_license":
        return (who, *_license()[1:2], _license()[0], *_license()[2:])
    span = (
        who,
        FieldSpec(name="from_on", label=say("From"), kind="day"),
        FieldSpec(name="until_on", label=say("Last day"), kind="last_day"),
    )
    why = FieldSpec(name="why", label=say("Why"))
    return (*span, why) if kind == "day_off" else span


def with_places(values: Mapping[str, Any]) -> dict[str, Any]:
    """Latitude and longitude as one place, as the form shows it."""
    found = dict(values)
    for name, (lat, lon) in PLACES.items():
        if lat in values and lon in values:
            known = values[lat] is not None and values[lon] is not None
            found[name] = Position(values[lat], values[lon]) if known else None
    return found


def without_places(values: Mapping[str, Any]) -> dict[str, Any]:
    """Places as latitude and longitude, as the desk takes them."""
    found = dict(values)
    for name, (lat, lon) in PLACES.items():
        if name in found:
            place = found.pop(name)
            found[lat] = place.lat_deg if place is not None else None
            found[lon] = place.lon_deg if place is not None else None
    return found


def _name() -> FieldSpec:
    return FieldSpec(name="name", label=say("Name"))


def _week() -> tuple[FieldSpec, ...]:
    return (
        FieldSpec(name="working_days", label=say("Working days"), kind="weekdays",
                  heading=say("Working week")),
        FieldSpec(name="day_from_min", label=say("Begins"), kind="time", hint="8:00 am"),
        FieldSpec(name="day_until_min", label=say("Ends"), kind="time", hint="5:00 pm"),
    )  # fmt: skip


def _reach() -> tuple[FieldSpec, ...]:
    return (
        FieldSpec(name="phone", label=say("Phone")),
        FieldSpec(name="email", label=say("Email")),
    )


def _company_short() -> tuple[FieldSpec, ...]:
    return (
        _name(),
        FieldSpec(name="region", label=say("Region")),
        FieldSpec(name="time_zone", label=say("Time zone"), hint="America/New_York"),
        *_week(),
        FieldSpec(name="first_technician", label=say("First technician"),
                  heading=say("Who goes out"), hint=say("can be named later")),
    )  # fmt: skip


def _company() -> tuple[FieldSpec, ...]:
    return (
        _name(),
        FieldSpec(name="address", label=say("Address")),
        *_reach(),
        FieldSpec(name="emergency_phone", label=say("Emergency phone")),
        FieldSpec(name="region", label=say("Region")),
        *_week(),
        FieldSpec(name="response_hours", label=say("Answer within (h)"), kind="number"),
        FieldSpec(name="place", label=say("Office"), kind="place", hint=_PLACE_HINT,
                  covers=PLACES["place"], heading=say("Where rounds begin")),
        FieldSpec(name="road_detour", label=say("Road over straight"), kind="decimal"),
        FieldSpec(name="road_speed_kmh", label=say("Speed (km/h)"), kind="decimal"),
        FieldSpec(name="time_zone", label=say("Time zone"), hint="America/New_York",
                  heading=say("How things are written")),
        FieldSpec(name="locale", label=say("Way of writing"), hint="en_US"),
        FieldSpec(name="currency", label=say("Currency"), hint="USD"),
        FieldSpec(name="units", label=say("Units"), kind="choice",
                  options=(("us", say("US customary")), ("si", say("metric")))),
        FieldSpec(name="page_size", label=say("Paper"), kind="choice",
                  options=(("letter", say("Letter")), ("a4", say("A4")))),
        FieldSpec(name="secrets_on_paper", label=say("Route sheets"), kind="tick",
                  hint=say("Print gate codes on route sheets")),
    )  # fmt: skip


def _technician(trucks: Options) -> tuple[FieldSpec, ...]:
    return (
        _name(),
        FieldSpec(name="short_name", label=say("Called"), hint=say("first name")),
        *_reach(),
        FieldSpec(name="truck_id", label=say("Usual truck"), kind="choice",
                  options=((None, say("none")), *trucks)),
        FieldSpec(name="skills", label=say("Does"), kind="list",
                  hint=say("inspection, callback, repair, electrical")),
        *_week(),
        FieldSpec(name="overtime_min", label=say("Overtime (min)"), kind="number"),
        FieldSpec(name="break_min", label=say("Break (min)"), kind="number"),
        FieldSpec(name="break_from_min", label=say("Break from"), kind="time"),
        FieldSpec(name="break_until_min", label=say("Begins at the latest"), kind="time"),
        FieldSpec(name="base", label=say("Day begins at"), kind="choice",
                  options=(("office", say("the office")), ("home", say("home"))),
                  heading=say("Where the day begins")),
        FieldSpec(name="home", label=say("Home"), kind="place", hint=_PLACE_HINT,
                  covers=PLACES["home"]),
        FieldSpec(name="from_on", label=say("With us from"), kind="day",
                  heading=say("With the company")),
        FieldSpec(name="until_on", label=say("Last day"), kind="last_day", hint=say("still here")),
    )  # fmt: skip


def _truck() -> tuple[FieldSpec, ...]:
    return (_name(), FieldSpec(name="plate", label=say("Plate")), _ended())


def _holiday() -> tuple[FieldSpec, ...]:
    return (FieldSpec(name="day", label=say("Day"), kind="day"), _name())


def _license() -> tuple[FieldSpec, ...]:
    return (
        FieldSpec(name="number", label=say("Number")),
        FieldSpec(name="license_class", label=say("Class")),
        FieldSpec(name="valid_from", label=say("Valid from"), kind="day"),
        FieldSpec(name="valid_until", label=say("Last day"), kind="last_day"),
    )


def _seat() -> tuple[FieldSpec, ...]:
    role = FieldSpec(name="role", label=say("Role"), kind="choice", options=tuple(roles().items()))
    return (_name(), role, _ended())


def _ended() -> FieldSpec:
    return FieldSpec(name="ended_on", label=say("Ended on"), kind="day", hint=say("not ended"))
