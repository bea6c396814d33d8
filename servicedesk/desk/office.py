"""Who sits at which store, at what time: the one value every verb of the desk begins with."""

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from servicedesk.records import company_rows
from servicedesk.records.company import Company
from servicedesk.records.store import Store, open_store
from servicedesk.values.clock import Clock
from servicedesk.values.position import Position
from servicedesk.values.trouble import Trouble
from servicedesk.words import languages, say
from servicedesk.words.formats import Formats


@dataclass(frozen=True, slots=True, kw_only=True)
class CompanyFacts:
    """What the verbs need to know of the company, as of now."""

    name: str
    phone: str
    email: str
    address: str
    emergency_phone: str
    region: str
    country: str
    currency: str
    units: str
    page_size: str
    working_days: frozenset[int]
    day_from_min: int
    day_until_min: int
    response_hours: int
    position: Position | None
    road_detour: float
    road_speed_kmh: float
    secrets_on_paper: bool
    invented_note: str
    holidays: dict[date, str]


@dataclass(frozen=True, slots=True)
class Desk:
    """A store, the person who sits here, the clock, and the company's way of writing."""

    store: Store
    who: str
    clock: Clock
    formats: Formats
    company: CompanyFacts

    @property
    def today(self) -> date:
        """The company's calendar day."""
        return self.clock.today()

    def seated(self, who: str) -> "Desk":
        """The same desk with somebody else at it."""
        return replace(self, who=who)

    def works_on(self, day: date) -> bool:
        """Does the company work on `day`?"""
        return day.weekday() in self.company.working_days and day not in self.company.holidays


def open_desk(place: str | Path, *, who: str | None = None, today: date | None = None) -> Desk:
    """Open the store at `place` and sit down. `today` fixes the day (``--today``).

    Raises Trouble as `open_store` does, and for a time zone that does not exist.
    """
    return desk_at(open_store(place), who=who, today=today)


def desk_at(store: Store, *, who: str | None = None, today: date | None = None) -> Desk:
    """Sit down at an open store."""
    with store.read() as session:
        company = company_rows.the_company(session)
        holidays = company_rows.holidays(session)
        seats = company_rows.seats(session)
    facts = _facts(company or Company(), holidays)
    zone_name = (company.time_zone if company else None) or "UTC"
    languages.use((company.language if company else None) or "en")
    return Desk(
        store=store,
        who=who or (seats[0][1] if seats else say("office")),
        clock=Clock(_zone(zone_name), today, store.now),
        formats=Formats((company.locale if company else None) or "en_US"),
        company=facts,
    )


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError) as error:
        raise Trouble(
            say("The company's time zone “{name}” is not known.", name=name),
            do=say("Choose another one in Set up, such as America/New_York."),
        ) from error


def _facts(company: Company, holidays: dict[date, str]) -> CompanyFacts:
    located = company.lat_deg is not None and company.lon_deg is not None
    return CompanyFacts(
        name=company.name or "",
        phone=company.phone or "",
        email=company.email or "",
        address=company.address or "",
        emergency_phone=company.emergency_phone or "911",
        region=company.region or "",
        country=company.country or "US",
        currency=company.currency or "USD",
        units=company.units or "us",
        page_size=company.page_size or "letter",
        working_days=frozenset(
            company.working_days if company.working_days is not None else range(5)
        ),
        day_from_min=8 * 60 if company.day_from_min is None else company.day_from_min,
        day_until_min=17 * 60 if company.day_until_min is None else company.day_until_min,
        response_hours=company.response_hours or 48,
        position=Position(company.lat_deg, company.lon_deg) if located else None,  # type: ignore[arg-type]
        road_detour=company.road_detour or 1.3,
        road_speed_kmh=company.road_speed_kmh or 55.0,
        secrets_on_paper=bool(company.secrets_on_paper),
        invented_note=company.invented_note or "",
        holidays=holidays,
    )


@dataclass(frozen=True, slots=True)
class Person:
    """A technician as the planner and the lists see one."""

    id: int
    name: str
    short_name: str


def technicians_at(desk: Desk, day: date) -> tuple[Person, ...]:
    """Technicians employed on `day`, by name."""
    with desk.store.read() as session:
        return tuple(
            Person(t.id, t.name, t.short_name or t.name.split()[0])
            for t in company_rows.technicians(session, day)
        )
