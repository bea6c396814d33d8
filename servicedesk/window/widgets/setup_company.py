"""What Set up shows and asks of the company: rows, fields, and writing what a form brought."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Protocol

from servicedesk.desk.checking import Wrong, WrongEntry
from servicedesk.desk.company import edit_company, set_up, write_technician
from servicedesk.desk.company_lists import write_entry
from servicedesk.desk.office import Desk
from servicedesk.desk.price_figures import figures_of, write_figures
from servicedesk.desk.rules import OwnRule, own_rules
from servicedesk.window.models.row_list import Row
from servicedesk.window.widgets.setup_entries import (
    NUMBERS,
    TIMES,
    fields_for,
    kinds_of_list,
    roles,
    with_places,
    without_places,
)
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.window.widgets.setup_prices import price_fields
from servicedesk.window.widgets.setup_rules import rule_lines
from servicedesk.words import say

_HOURS: Mapping[str, Any] = {
    "working_days": (0, 1, 2, 3, 4),
    "day_from_min": 8 * 60,
    "day_until_min": 17 * 60,
}
_NEW: Mapping[str, Mapping[str, Any]] = {
    "company": {"time_zone": "America/New_York", **_HOURS},
    "technician": {
        **_HOURS,
        "overtime_min": 60,
        "break_min": 30,
        "break_from_min": 11 * 60 + 30,
        "break_until_min": 13 * 60,
        "base": "office",
        "skills": ("inspection", "callback", "repair"),
    },
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
    def days_off(self) -> tuple[Mapping[str, Any], ...]:
        """Days on which a technician does not work."""

    @property
    def on_call(self) -> tuple[Mapping[str, Any], ...]:
        """Who answers outside working hours."""

    @property
    def company_licenses(self) -> tuple[Mapping[str, Any], ...]:
        """Licenses of the company."""

    @property
    def technician_licenses(self) -> tuple[Mapping[str, Any], ...]:
        """Licenses of technicians."""

    @property
    def seats(self) -> tuple[Mapping[str, Any], ...]:
        """Who sits in the office."""


@dataclass(frozen=True, slots=True)
class Entry:
    """What a form is about: company, prices or a kind of `kinds_of_list`; no key is a new one."""

    kind: str
    row_id: int | None


def rows_of(desk: Desk, seen: SetUp) -> list[Row]:
    """The company, then its lists, each under its heading."""
    office = seen.company
    name = office.get("name") or say("No company yet")
    rows = [
        Row(title=name, second=office.get("address", ""), thing=Entry("company", office.get("id")))
    ]
    if office:
        rows.append(
            Row(
                title=say("Prices and bills (P)"),
                second=say("index, margin, cap, rounding, costs, trip charge, hold, reminders"),
                thing=Entry("prices", office["id"]),
            )
        )
        rows += _rule_rows(desk)
    lists = lists_of(seen)
    for kind, heading, _, key in kinds_of_list():
        title = say("{heading} ({key} adds one)", heading=heading, key=key)
        rows.append(Row(title=title, is_heading=True))
        for one in lists[kind]:
            first, second = _lines(desk, seen, kind, one)
            here = kind == "office_user" and one["name"] == desk.who
            rows.append(
                Row(
                    title=first,
                    second=second,
                    thing=Entry(kind, one["id"]),
                    right=say("sits here") if here else "",
                )
            )
    return rows


def _rule_rows(desk: Desk) -> list[Row]:
    rows = [Row(title=say("Service rules of your own (U adds one)"), is_heading=True)]
    for number, rule in enumerate(own_rules(desk)):
        first, second = rule_lines(rule)
        rows.append(Row(title=first, second=second, thing=Entry("rule", number)))
    return rows


def lists_of(seen: SetUp) -> dict[str, tuple[Mapping[str, Any], ...]]:
    """Rows of every list by its kind; holidays that have passed are left out of none."""
    return {
        "technician": seen.technicians,
        "technician_license": seen.technician_licenses,
        "day_off": seen.days_off,
        "on_call": seen.on_call,
        "truck": seen.trucks,
        "holiday": tuple(sorted(seen.holidays, key=lambda row: row["day"], reverse=True)),
        "company_license": seen.company_licenses,
        "office_user": seen.seats,
    }


def _lines(desk: Desk, seen: SetUp, kind: str, one: Mapping[str, Any]) -> tuple[str, str]:
    who = {t["id"]: t["name"] for t in seen.technicians}.get(one.get("technician_id"), "")
    match kind:
        case "technician":
            trucks = {truck["id"]: truck["name"] for truck in seen.trucks}
            truck = trucks.get(one["truck_id"])
            return one["name"], _joined(one["phone"], truck, _ended(desk, one))
        case "holiday":
            return desk.formats.day(one["day"], near=desk.today), one["name"]
        case "day_off" | "on_call":
            return who, _joined(_span(desk, one["from_on"], one["until_on"]), one.get("why"))
        case "technician_license" | "company_license":
            title = _joined(who, one["license_class"], one["number"])
            return title, _span(desk, one["valid_from"], one["valid_until"])
        case "truck":
            return one["name"], _joined(one["plate"], _ended(desk, one))
    return one["name"], _joined(roles().get(one["role"]), _ended(desk, one))


def _span(desk: Desk, begin: date | None, until: date | None) -> str:
    """First to last day; `until` is excluded."""
    last = until - timedelta(days=1) if until is not None else None
    days = [desk.formats.day(day, near=desk.today) if day else "" for day in (begin, last)]
    if all(days):
        return say("{first} to {last}", first=days[0], last=days[1])
    return say("until {day}", day=days[1]) if days[1] else days[0]


def _joined(*parts: str | None) -> str:
    return " · ".join(part for part in parts if part)


def _ended(desk: Desk, row: Mapping[str, Any]) -> str:
    on = row.get("ended_on") or row.get("until_on")
    return say("until {day}", day=desk.formats.day(on, near=desk.today)) if on else ""


def title_of(entry: Entry) -> str:
    """What stands over the form."""
    if entry.kind == "company":
        return say("Company details")
    if entry.kind == "prices":
        return say("Prices and bills")
    if entry.kind == "rule":
        return say("Service rule of your own")
    titles = {kind: (heading, new) for kind, heading, new, _ in kinds_of_list()}
    return titles[entry.kind][1 if entry.row_id is None else 0]


def is_first(seen: SetUp, entry: Entry) -> bool:
    """Is it written for the first time? A store made by us has a company without a name."""
    nameless = entry.kind == "company" and not seen.company.get("name", "").strip()
    return entry.row_id is None or nameless


def fields_of(kind: str, seen: SetUp, *, is_new: bool = False) -> tuple[FieldSpec, ...]:
    """What is asked."""
    if kind == "prices":
        return price_fields(seen.company["currency"])
    return fields_for(
        kind,
        trucks=tuple((t["id"], t["name"]) for t in seen.trucks),
        technicians=tuple((t["id"], t["name"]) for t in seen.technicians),
        is_new=is_new,
    )


def values_of(seen: SetUp, entry: Entry) -> Mapping[str, Any]:
    """What stands in the form at first; with its revision where it is written already."""
    if entry.row_id is None:
        return _NEW.get(entry.kind, {})
    if entry.kind == "company":
        return with_places(seen.company)
    if entry.kind == "prices":
        return figures_of(seen.company)
    rows = lists_of(seen)[entry.kind]
    return with_places(next((row for row in rows if row["id"] == entry.row_id), {}))


def rule_of(desk: Desk, entry: Entry) -> OwnRule | None:
    """The own rule that a row shows; None for a new one."""
    found = own_rules(desk)
    is_there = entry.row_id is not None and entry.row_id < len(found)
    return found[entry.row_id] if is_there and entry.row_id is not None else None


def read_anew(office: Any) -> SetUp:
    """On the worker, after a change or an undo: the office sits down anew and is read."""
    office.reread()
    return set_up(office.desk)


def write(office: Any, entry: Entry, values: dict[str, Any], seen: int | None) -> object:
    """On the worker. Details of the company make the office sit down anew."""
    desk: Desk = office.desk
    if entry.kind == "prices":
        return write_figures(desk, values, seen=seen)
    values = without_places(values)
    _refuse_empty(values)
    if entry.kind == "company":
        first = values.pop("first_technician", "")
        changed = edit_company(desk, values, seen=seen)
        office.reread()
        if first.strip():
            _write_first(office.desk, first, values)
            return None  # two changes: everything is read anew
        return changed
    if entry.kind == "technician":
        return write_technician(desk, values, technician_id=entry.row_id, seen=seen)
    return write_entry(desk, entry.kind, values, row_id=entry.row_id, seen=seen)


def _write_first(desk: Desk, name: str, week: Mapping[str, Any]) -> None:
    """The first technician works the company's week."""
    hours = {key: week[key] for key in _HOURS if key in week}
    write_technician(desk, {**_NEW["technician"], **hours, "name": name})


def _refuse_empty(values: Mapping[str, Any]) -> None:
    wrong = [Wrong(name, say("Write a time; one is 8:30 am.")) for name in TIMES
             if values.get(name, 0) is None]  # fmt: skip
    wrong += [Wrong(name, say("Write a number; 0 is none.")) for name in NUMBERS
              if values.get(name, 0) is None]  # fmt: skip
    if wrong:
        raise WrongEntry(wrong)
