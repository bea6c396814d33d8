"""What a store needs before a day can be planned: an office and somebody who goes out."""

from collections import Counter
from dataclasses import dataclass
from statistics import fmean
from uuid import uuid4

from servicedesk.desk.office import Desk
from servicedesk.exchange.understood import Understood
from servicedesk.records import company_rows
from servicedesk.records.brought_rows import Book
from servicedesk.records.company import Company, Technician
from servicedesk.records.store import Work
from servicedesk.values.position import Position
from servicedesk.words import say


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """What is added with a first list. `technician`: a name, "" if somebody is there already.

    `position`: of the office, None if it is known or cannot be guessed. `told`: both in words.
    """

    technician: str = ""
    position: Position | None = None
    told: tuple[str, ...] = ()


def start_of(desk: Desk, understood: Understood, book: Book) -> Start:
    """What the store lacks: a technician of the list, the office amid the sites."""
    technician, position, told = "", None, []
    places = [row.position for row in understood.rows if row.position is not None]
    if desk.company.position is None and places:
        position = Position(
            round(fmean(p.lat_deg for p in places), 6), round(fmean(p.lon_deg for p in places), 6)
        )
        told.append(
            say("The office is taken to lie amid the sites, at {lat}, {lon}: set it in Set up.",
                lat=f"{position.lat_deg:.4f}", lon=f"{position.lon_deg:.4f}")
        )  # fmt: skip
    if not book.technicians and understood.rows:
        technician = _who(understood) or say("Technician 1")
        told.append(
            say("There was no technician: “{name}” is added, from the office, 8 to 5, Monday to "
                "Friday. The name and hours can be changed in Set up.", name=technician)
        )  # fmt: skip
    return Start(technician=technician, position=position, told=tuple(told))


def _who(understood: Understood) -> str:
    """Whoever the list names most often, the one with the latest visit of equals."""
    names = [
        (visit.technician, visit.on)
        for row in understood.rows
        for visit in row.past_visits
        if visit.technician and visit.on is not None
    ]
    counted = Counter(name for name, _on in names)
    latest = {name: max(on for its, on in names if its == name) for name in counted}
    return max(counted, key=lambda name: (counted[name], latest[name], name), default="")


def write_start(desk: Desk, work: Work, start: Start) -> dict[str, int]:
    """Inside a change: write what was lacking; the new technician's key by name."""
    if start.position is not None:
        company = company_rows.the_company(work.session)
        if company is None:
            company = work.add(Company(uid=uuid4().hex, name=""))
        company.lat_deg, company.lon_deg = start.position.lat_deg, start.position.lon_deg
    if not start.technician:
        return {}
    hours = desk.company
    technician = work.add(
        Technician(
            name=start.technician,
            short_name=start.technician.split()[0],
            day_from_min=hours.day_from_min,
            day_until_min=hours.day_until_min,
            working_days=sorted(hours.working_days),
        )
    )
    return {technician.name: technician.id}
