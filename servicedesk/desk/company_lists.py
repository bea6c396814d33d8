"""Set up: trucks, holidays, days off, who is on call, seats and licenses."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from servicedesk.desk import checking
from servicedesk.desk.checking import Wrong
from servicedesk.desk.company import plain_columns
from servicedesk.desk.office import Desk
from servicedesk.records import company_rows, setup_rows
from servicedesk.records.company import (
    CompanyLicense,
    DayOff,
    Holiday,
    OfficeUser,
    OnCall,
    TechnicianLicense,
    Truck,
)
from servicedesk.records.store import Changed
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class _Form:
    """Which fields a form may bring, and which of them must not be empty."""

    model: Any
    fields: tuple[str, ...]
    needed: tuple[str, ...]


_FORMS = {
    "truck": _Form(Truck, ("name", "plate", "ended_on"), ("name",)),
    "holiday": _Form(Holiday, ("day", "name"), ("day",)),
    "day_off": _Form(
        DayOff,
        ("technician_id", "from_on", "until_on", "why"),
        ("technician_id", "from_on", "until_on"),
    ),
    "on_call": _Form(
        OnCall, ("technician_id", "from_on", "until_on"), ("technician_id", "from_on", "until_on")
    ),
    "office_user": _Form(OfficeUser, ("name", "role", "technician_id", "ended_on"), ("name",)),
    "company_license": _Form(
        CompanyLicense,
        ("number", "license_class", "authority_id", "valid_from", "valid_until"),
        ("number",),
    ),
    "technician_license": _Form(
        TechnicianLicense,
        ("technician_id", "license_class", "number", "valid_from", "valid_until"),
        ("technician_id", "license_class"),
    ),
}
_SPANS = (("from_on", "until_on"), ("valid_from", "valid_until"))


def write_entry(
    desk: Desk,
    kind: str,
    values: Mapping[str, Any],
    *,
    row_id: int | None = None,
    seen: int | None = None,
) -> Changed:
    """Write a new truck, holiday, day_off, on_call, office_user, company_license or
    technician_license, or fields of one (`row_id`, shown at `seen`).

    Raises WrongEntry, StaleEdit; KeyError for another kind, ValueError for another field.
    """
    form = _FORMS[kind]
    checking.only_known(values, form.fields)
    with desk.store.read() as session:
        known = setup_rows.values_of(session, form.model, row_id) if row_id else {}
        named = setup_rows.technician_names(session)
        taken = company_rows.holidays(session)
    now = {**dict.fromkeys(form.needed), **known, **values}
    checking.refuse(_wrong_entry(form, now, values, named, taken if kind == "holiday" else {}))
    with desk.store.change(desk.who, _sentence(desk, kind, now, named)) as work:
        if row_id is None:
            work.add(form.model(**plain_columns(values)))
        else:
            record = work.fresh(form.model, row_id, seen=seen)
            for name, value in plain_columns(values).items():
                setattr(record, name, value)
    return work.changed


def _wrong_entry(
    form: _Form,
    now: Mapping[str, Any],
    given: Mapping[str, Any],
    named: Mapping[int, str],
    taken: Mapping[date, str],
) -> list[Wrong]:
    wrong = []
    for name in form.needed:
        value = now[name]
        if value is None or (isinstance(value, str) and not value.strip()):
            wrong.append(Wrong(name, say("This is needed.")))
    if given.get("technician_id") is not None and given["technician_id"] not in named:
        wrong.append(Wrong("technician_id", say("Choose one of the technicians.")))
    for begin, end in _SPANS:
        first, until = now.get(begin), now.get(end)
        if first is not None and until is not None and until <= first:
            wrong.append(Wrong(end, say("It ends before it begins.")))
    if given.get("day") in taken and given.get("day") is not None:
        says = say("That day is a holiday already: {name}.", name=taken[given["day"]])
        wrong.append(Wrong("day", says))
    return wrong


def _sentence(desk: Desk, kind: str, now: Mapping[str, Any], named: Mapping[int, str]) -> str:
    who = named.get(now.get("technician_id") or 0, "")
    match kind:
        case "holiday":
            return say("Wrote the holiday {day}", day=desk.formats.day(now["day"], near=desk.today))
        case "day_off":
            day = desk.formats.day(now["from_on"], near=desk.today)
            return say("Wrote days off of {who} from {day}", who=who, day=day)
        case "on_call":
            day = desk.formats.day(now["from_on"], near=desk.today)
            return say("Put {who} on call from {day}", who=who, day=day)
        case "technician_license":
            return say("Wrote the license {name} of {who}", name=now["license_class"], who=who)
        case "company_license":
            return say("Wrote the license {number}", number=now["number"])
    return say("Wrote {name}", name=now["name"])
