"""What Set up shows and asks of the company: rows, fields, and writing what a form brought."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from servicedesk.desk.checking import Wrong, WrongEntry
from servicedesk.desk.company import edit_company, set_up, write_technician
from servicedesk.desk.company_lists import write_entry
from servicedesk.desk.office import Desk
from servicedesk.window.models.row_list import Row
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.words import say

_NEW: Mapping[str, Mapping[str, Any]] = {
    "company": {
        "emergency_phone": "911",
        "time_zone": "America/New_York",
        "working_days": (0, 1, 2, 3, 4),
        "day_from_min": 480,
        "day_until_min": 1020,
    },
    "technician": {"working_days": (0, 1, 2, 3, 4), "day_from_min": 480, "day_until_min": 1020},
    "office_user": {"role": "office"},
}


class SetUp(Protocol):
    """What `set_up` of the desk answers: rows as mappings, `id` and `revision` among them."""

    @property
    def company(self) -> Mapping[str, Any]:
        """Empty where there is none yet."""

    @property
    def technicians(self) -> tuple[Mapping[str, Any], ...]:
        """Everybody who goes out."""

    @property
    def trucks(self) -> tuple[Mapping[str, Any], ...]:
        """All trucks."""

    @property
    def holidays(self) -> tuple[Mapping[str, Any], ...]:
        """Days on which nobody works."""

    @property
    def seats(self) -> tuple[Mapping[str, Any], ...]:
        """Who sits in the office."""


@dataclass(frozen=True, slots=True)
class Entry:
    """What a form is about: company, technician, truck, holiday or office_user; None is new."""

    kind: str
    row_id: int | None


def rows_of(desk: Desk, seen: SetUp) -> list[Row]:
    """The company, then its lists, each under its heading."""
    formats = desk.formats
    office = seen.company
    name = office.get("name") or say("No company yet")
    rows = [
        Row(title=name, second=office.get("address", ""), thing=Entry("company", office.get("id")))
    ]
    trucks = {truck["id"]: truck["name"] for truck in seen.trucks}

    def add(heading: str, kind: str, found: list[tuple[int, str, str]]) -> None:
        rows.append(Row(title=heading, is_heading=True))
        rows.extend(Row(title=t, second=s, thing=Entry(kind, row_id)) for row_id, t, s in found)

    add(
        say("Technicians (T adds one)"),
        "technician",
        [
            (t["id"], t["name"], _joined(t["phone"], trucks.get(t["truck_id"]), _ended(desk, t)))
            for t in seen.technicians
        ],
    )
    add(
        say("Trucks (R adds one)"),
        "truck",
        [(t["id"], t["name"], _joined(t["plate"], _ended(desk, t))) for t in seen.trucks],
    )
    add(
        say("Holidays (H adds one)"),
        "holiday",
        [(h["id"], formats.day(h["day"], near=desk.today), h["name"]) for h in seen.holidays],
    )
    add(
        say("Seats (S adds one)"),
        "office_user",
        [
            (u["id"], u["name"], _joined(_roles().get(u["role"]), _ended(desk, u)))
            for u in seen.seats
        ],
    )
    return rows


def _joined(*parts: str | None) -> str:
    return " · ".join(part for part in parts if part)


def _ended(desk: Desk, row: Mapping[str, Any]) -> str:
    on = row.get("ended_on") or row.get("until_on")
    return say("until {day}", day=desk.formats.day(on, near=desk.today)) if on else ""


def _roles() -> dict[str, str]:
    return {"office": say("office"), "technician": say("technician"), "owner": say("owner")}


def title_of(entry: Entry) -> str:
    """What stands over the form."""
    if entry.kind == "company":
        return say("Company details")
    new = {"technician": say("New technician"), "truck": say("New truck"),
           "holiday": say("New holiday"), "office_user": say("New seat")}  # fmt: skip
    old = {"technician": say("Technician"), "truck": say("Truck"),
           "holiday": say("Holiday"), "office_user": say("Seat")}  # fmt: skip
    return (new if entry.row_id is None else old)[entry.kind]


def fields_of(kind: str, seen: SetUp) -> tuple[FieldSpec, ...]:
    """What is asked."""
    name = FieldSpec(name="name", label=say("Name"))
    week = (
        FieldSpec(name="working_days", label=say("Working days"), kind="weekdays",
                  heading=say("Working week")),
        FieldSpec(name="day_from_min", label=say("Begins"), kind="time", hint="8:00 am"),
        FieldSpec(name="day_until_min", label=say("Ends"), kind="time", hint="5:00 pm"),
    )  # fmt: skip
    phone = FieldSpec(name="phone", label=say("Phone"))
    ended = FieldSpec(name="ended_on", label=say("Ended on"), kind="day", hint=say("not ended"))
    match kind:
        case "company":
            return (
                name,
                FieldSpec(name="address", label=say("Address")),
                phone,
                FieldSpec(name="email", label=say("Email")),
                FieldSpec(name="emergency_phone", label=say("Emergency phone")),
                FieldSpec(name="region", label=say("Region")),
                FieldSpec(name="time_zone", label=say("Time zone"), hint="America/New_York"),
                *week,
            )
        case "technician":
            trucks = tuple((t["id"], t["name"]) for t in seen.trucks)
            truck = FieldSpec(name="truck_id", label=say("Usual truck"), kind="choice",
                              options=((None, say("none")), *trucks))  # fmt: skip
            return (name, phone, truck, *week)
        case "truck":
            return (name, FieldSpec(name="plate", label=say("Plate")), ended)
        case "holiday":
            return (FieldSpec(name="day", label=say("Day"), kind="day"), name)
    role = FieldSpec(name="role", label=say("Role"), kind="choice", options=tuple(_roles().items()))
    return (name, role, ended)


def values_of(seen: SetUp, entry: Entry) -> Mapping[str, Any]:
    """What stands in the form at first; with its revision where it is written already."""
    if entry.row_id is None:
        return _NEW.get(entry.kind, {})
    if entry.kind == "company":
        return seen.company
    lists = {"technician": seen.technicians, "truck": seen.trucks,
             "holiday": seen.holidays, "office_user": seen.seats}  # fmt: skip
    return next((row for row in lists[entry.kind] if row["id"] == entry.row_id), {})


def read_anew(office: Any) -> SetUp:
    """On the worker, after a change or an undo: the office sits down anew and is read."""
    office.reread()
    return set_up(office.desk)


def write(office: Any, entry: Entry, values: dict[str, Any], seen: int | None) -> object:
    """On the worker. Details of the company make the office sit down anew."""
    desk: Desk = office.desk
    hours = [name for name in ("day_from_min", "day_until_min") if values.get(name, 0) is None]
    if hours:
        raise WrongEntry([Wrong(name, say("Write a time; one is 8:30 am.")) for name in hours])
    if entry.kind == "company":
        changed = edit_company(desk, values, seen=seen)
        office.reread()
        return changed
    if entry.kind == "technician":
        return write_technician(desk, values, technician_id=entry.row_id, seen=seen)
    return write_entry(desk, entry.kind, values, row_id=entry.row_id, seen=seen)
