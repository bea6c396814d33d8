"""Set up: the company's details and its technicians."""

from collections.abc import Mapping
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from babel import Locale, UnknownLocaleError
from babel.numbers import list_currencies

from servicedesk.desk import checking
from servicedesk.desk.checking import Wrong
from servicedesk.desk.office import Desk
from servicedesk.records import company_rows, setup_rows
from servicedesk.records.company import (
    Company,
    Technician,
)
from servicedesk.records.setup_rows import SetUp
from servicedesk.records.store import Changed
from servicedesk.words import say

COMPANY_FIELDS = (
    "name",
    "address",
    "phone",
    "email",
    "emergency_phone",
    "region",
    "country",
    "time_zone",
    "locale",
    "language",
    "units",
    "currency",
    "page_size",
    "working_days",
    "day_from_min",
    "day_until_min",
    "response_hours",
    "unpaid_limit_minor",
    "lat_deg",
    "lon_deg",
    "road_detour",
    "road_speed_kmh",
    "alert_dial",
    "letterhead",
    "secrets_on_paper",
)
TECHNICIAN_FIELDS = (
    "name",
    "short_name",
    "phone",
    "email",
    "base",
    "home_lat_deg",
    "home_lon_deg",
    "day_from_min",
    "day_until_min",
    "overtime_min",
    "break_min",
    "break_from_min",
    "break_until_min",
    "working_days",
    "skills",
    "truck_id",
    "from_on",
    "until_on",
)


def set_up(desk: Desk) -> SetUp:
    """Everything Set up shows (a fixed number of queries)."""
    with desk.store.read() as session:
        return setup_rows.set_up(session)


def edit_company(desk: Desk, values: Mapping[str, Any], *, seen: int | None = None) -> Changed:
    """Write details of the company (any of COMPANY_FIELDS); makes its row in an empty store.

    The desk itself keeps what it read: sit down anew to see it. Raises WrongEntry, StaleEdit.
    """
    checking.only_known(values, COMPANY_FIELDS)
    with desk.store.read() as session:
        known = setup_rows.company_values(session)
    checking.refuse(wrong_company({**known, **values}, values))
    with desk.store.change(desk.who, say("Edited the company")) as work:
        company_id = known.get("id")
        if company_id is None:
            work.add(Company(uid=uuid4().hex, **plain_columns({"name": "", **values})))
        else:
            company = work.fresh(Company, company_id, seen=seen)
            for name, value in plain_columns(values).items():
                setattr(company, name, value)
    return work.changed


def wrong_company(now: Mapping[str, Any], given: Mapping[str, Any]) -> list[Wrong]:
    """What is wrong with the given fields, seen with all that stands (`now`)."""
    wrong = []
    if "name" in given and not given["name"].strip():
        wrong.append(Wrong("name", say("The company needs a name.")))
    if "time_zone" in given and not _is_zone(given["time_zone"]):
        says = say("“{name}” is no time zone; one is America/New_York.", name=given["time_zone"])
        wrong.append(Wrong("time_zone", says))
    if "locale" in given and not _is_locale(given["locale"]):
        says = say("“{name}” is no way of writing; one is en_US.", name=given["locale"])
        wrong.append(Wrong("locale", says))
    if "currency" in given and given["currency"] not in list_currencies():
        meant = given["currency"].strip().upper()
        says = say("“{name}” is no currency; one is USD.", name=given["currency"])
        wrong.append(Wrong("currency", says, meant if meant in list_currencies() else None))
    for name, allowed in (("units", ("us", "si")), ("page_size", ("letter", "a4"))):
        if name in given and given[name] not in allowed:
            raise ValueError(f"{given[name]!r} is none of {allowed}")
    wrong += wrong_hours(now, given)
    if given.get("response_hours") is not None and given["response_hours"] < 1:
        wrong.append(Wrong("response_hours", say("A promise takes an hour at least.")))
    if given.get("road_detour") is not None and given["road_detour"] < 1:
        says = say("No road is shorter than the straight line: 1 or more.")
        wrong.append(Wrong("road_detour", says))
    if given.get("road_speed_kmh") is not None and not 5 <= given["road_speed_kmh"] <= 130:
        wrong.append(Wrong("road_speed_kmh", say("A speed between 5 and 130 km/h is meant.")))
    wrong += _wrong_place(now, given, "lat_deg", "lon_deg")
    return wrong


def wrong_hours(now: Mapping[str, Any], given: Mapping[str, Any]) -> list[Wrong]:
    """What is wrong with working days and hours."""
    wrong = []
    days = given.get("working_days")
    if days is not None and (not days or not set(days) <= set(range(7))):
        wrong.append(Wrong("working_days", say("Choose at least one working day.")))
    begin, end = now.get("day_from_min"), now.get("day_until_min")
    if {"day_from_min", "day_until_min"} & set(given) and begin is not None and end is not None:
        if not 0 <= begin < 1440 or not 0 < end <= 1440:
            wrong.append(Wrong("day_until_min", say("A day has the hours from 0 to 24.")))
        elif end <= begin:
            meant = end + 720 if begin < end + 720 <= 1440 else None
            wrong.append(Wrong("day_until_min", say("The day ends before it begins."), meant))
    return wrong


def _wrong_place(
    now: Mapping[str, Any], given: Mapping[str, Any], lat: str, lon: str
) -> list[Wrong]:
    if not {lat, lon} & set(given):
        return []
    lat_deg, lon_deg = now.get(lat), now.get(lon)
    if (lat_deg is None) != (lon_deg is None):
        return [Wrong(lat, say("A place needs both latitude and longitude."))]
    if lat_deg is not None and lon_deg is not None:
        if not -90 <= lat_deg <= 90:
            # north-south and east-west are easily swapped
            swapped = (lon_deg, lat_deg) if -90 <= lon_deg <= 90 else None
            return [Wrong(lat, say("A latitude lies between −90 and 90."), swapped)]
        if not -180 <= lon_deg < 180:
            return [Wrong(lon, say("A longitude lies between −180 and 180."))]
    return []


def _is_zone(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True


def _is_locale(name: str) -> bool:
    try:
        Locale.parse(name)
    except (UnknownLocaleError, ValueError):
        return False
    return True


def plain_columns(values: Mapping[str, Any]) -> dict[str, Any]:
    """Values as columns keep them: texts stripped, tuples as lists."""
    return {name: _column(value) for name, value in values.items()}


def _column(value: Any) -> Any:
    if isinstance(value, str):
        return value.strip()
    return list(value) if isinstance(value, tuple | frozenset) else value


# --- technicians


def write_technician(
    desk: Desk,
    values: Mapping[str, Any],
    *,
    technician_id: int | None = None,
    seen: int | None = None,
) -> Changed:
    """Write a new technician, or fields of one (any of TECHNICIAN_FIELDS).

    `until_on` ends somebody's time with the company. Raises WrongEntry, StaleEdit.
    """
    checking.only_known(values, TECHNICIAN_FIELDS)
    with desk.store.read() as session:
        known = setup_rows.technician_values(session, technician_id)
        trucks = set(company_rows.trucks(session))
    now = {**known, **values}
    given = values if technician_id is not None else {"name": "", **values}
    checking.refuse(_wrong_technician(now, given, trucks))
    name = now["name"].strip()
    with desk.store.change(desk.who, say("Wrote {name}", name=name)) as work:
        if technician_id is None:
            columns = plain_columns(values)
            columns["short_name"] = columns.get("short_name") or name.split()[0]
            work.add(Technician(**columns))
        else:
            record = work.fresh(Technician, technician_id, seen=seen)
            for column, value in plain_columns(values).items():
                setattr(record, column, value)
    return work.changed


def _wrong_technician(
    now: Mapping[str, Any], given: Mapping[str, Any], trucks: set[int]
) -> list[Wrong]:
    wrong = []
    if "name" in given and not given["name"].strip():
        wrong.append(Wrong("name", say("A technician needs a name.")))
    wrong += wrong_hours(now, given)
    wrong += _wrong_break(now, given)
    wrong += _wrong_place(now, given, "home_lat_deg", "home_lon_deg")
    if now.get("base") not in (None, "office", "home"):
        raise ValueError(f"{now['base']!r} is neither office nor home")
    at_home = bool({"base", "home_lat_deg"} & set(given)) and now.get("base") == "home"
    if at_home and now.get("home_lat_deg") is None:
        says = say("A day that begins at home needs the place of that home.")
        wrong.append(Wrong("home_lat_deg", says))
    if given.get("truck_id") is not None and given["truck_id"] not in trucks:
        wrong.append(Wrong("truck_id", say("That truck is not the company's any more.")))
    begin, end = now.get("from_on"), now.get("until_on")
    if begin is not None and end is not None and end <= begin:
        wrong.append(Wrong("until_on", say("The last day lies before the first.")))
    return wrong


def _wrong_break(now: Mapping[str, Any], given: Mapping[str, Any]) -> list[Wrong]:
    wrong = [
        Wrong(name, say("Between none and 4 hours are meant."))
        for name in ("break_min", "overtime_min")
        if given.get(name) is not None and not 0 <= given[name] <= 240
    ]
    fields = {"break_from_min", "break_until_min", "day_from_min", "day_until_min"}
    begin, latest = now.get("break_from_min"), now.get("break_until_min")
    if not fields & set(given) or begin is None or latest is None:
        return wrong
    day_from, day_until = now.get("day_from_min"), now.get("day_until_min")
    if latest < begin:
        wrong.append(Wrong("break_until_min", say("The latest break is before the first.")))
    elif (day_from is not None and begin < day_from) or (
        day_until is not None and latest > day_until
    ):
        wrong.append(Wrong("break_from_min", say("The break lies outside the day.")))
    return wrong
