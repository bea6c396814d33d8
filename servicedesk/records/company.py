"""The company itself: details, calendar, people who work in it, trucks, seats."""

from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Logged, personal, ref


class Company(Logged):
    """One store is one company: this table has one row."""

    __tablename__ = "company"
    uid: Mapped[str]
    name: Mapped[str]
    address: Mapped[str] = mapped_column(default="")
    phone: Mapped[str] = mapped_column(default="")
    email: Mapped[str] = mapped_column(default="")
    emergency_phone: Mapped[str] = mapped_column(default="911")
    region: Mapped[str] = mapped_column(default="")
    country: Mapped[str] = mapped_column(default="US")  # ISO 3166, for phones and dates
    time_zone: Mapped[str] = mapped_column(default="UTC")  # IANA name
    locale: Mapped[str] = mapped_column(default="en_US")  # CLDR name
    language: Mapped[str] = mapped_column(default="en")
    units: Mapped[str] = mapped_column(default="us")  # us: US customary; si
    currency: Mapped[str] = mapped_column(default="USD")
    page_size: Mapped[str] = mapped_column(default="letter")  # letter or a4
    working_days: Mapped[list[Any]] = mapped_column(default=lambda: [0, 1, 2, 3, 4])  # Monday is 0
    day_from_min: Mapped[int] = mapped_column(default=8 * 60)
    day_until_min: Mapped[int] = mapped_column(default=17 * 60)
    response_hours: Mapped[int] = mapped_column(
        default=48
    )  # promise where contract and rule are silent
    unpaid_limit_minor: Mapped[int | None]
    lat_deg: Mapped[float | None]  # of the office
    lon_deg: Mapped[float | None]
    road_detour: Mapped[float] = mapped_column(default=1.3)  # road over straight line
    road_speed_kmh: Mapped[float] = mapped_column(default=55.0)
    alert_dial: Mapped[int] = mapped_column(default=0)  # -1 fewer alerts, 0, +1 more alerts
    learn_since_at: Mapped[datetime | None]  # what was learned before it was forgotten
    price_policy: Mapped[dict[str, Any]] = mapped_column(default=dict)
    letterhead: Mapped[str] = mapped_column(default="")
    texts: Mapped[dict[str, Any]] = mapped_column(default=dict)  # letters in the company's wording
    secrets_on_paper: Mapped[bool] = mapped_column(default=False)
    invented_note: Mapped[str] = mapped_column(default="")  # marks invented data on every paper


class CompanyLicense(Logged):
    """A license of the company."""

    __tablename__ = "company_license"
    number: Mapped[str]
    license_class: Mapped[str] = mapped_column(default="")
    authority_id: Mapped[int | None] = ref("authority", optional=True)
    valid_from: Mapped[date | None]
    valid_until: Mapped[date | None]


class Holiday(Logged):
    """A day on which nobody works."""

    __tablename__ = "holiday"
    day: Mapped[date] = mapped_column(index=True)
    name: Mapped[str] = mapped_column(default="")


class OnCall(Logged):
    """Who answers the phone outside working hours."""

    __tablename__ = "on_call"
    technician_id: Mapped[int] = ref("technician")
    from_on: Mapped[date]
    until_on: Mapped[date]


class Technician(Logged):
    """Somebody who goes out."""

    __tablename__ = "technician"
    name: Mapped[str]
    short_name: Mapped[str] = mapped_column(default="")
    phone: Mapped[str | None] = personal()
    email: Mapped[str | None] = personal()
    base: Mapped[str] = mapped_column(
        default="office"
    )  # office or home: where the day begins and ends
    home_lat_deg: Mapped[float | None]
    home_lon_deg: Mapped[float | None]
    day_from_min: Mapped[int] = mapped_column(default=8 * 60)
    day_until_min: Mapped[int] = mapped_column(default=17 * 60)
    overtime_min: Mapped[int] = mapped_column(default=60)  # at most, beyond day_until_min
    break_min: Mapped[int] = mapped_column(default=30)
    break_from_min: Mapped[int] = mapped_column(default=11 * 60 + 30)
    break_until_min: Mapped[int] = mapped_column(default=13 * 60)  # latest begin
    working_days: Mapped[list[Any]] = mapped_column(default=lambda: [0, 1, 2, 3, 4])
    skills: Mapped[list[Any]] = mapped_column(default=list)
    truck_id: Mapped[int | None] = ref("truck", optional=True)  # the usual one
    from_on: Mapped[date | None]
    until_on: Mapped[date | None]


class TechnicianLicense(Logged):
    """A license that a technician holds."""

    __tablename__ = "technician_license"
    technician_id: Mapped[int] = ref("technician")
    license_class: Mapped[str]
    number: Mapped[str] = mapped_column(default="")
    valid_from: Mapped[date | None]
    valid_until: Mapped[date | None]


class DayOff(Logged):
    """Days on which a technician does not work."""

    __tablename__ = "day_off"
    technician_id: Mapped[int] = ref("technician")
    from_on: Mapped[date] = mapped_column(index=True)
    until_on: Mapped[date]
    why: Mapped[str] = mapped_column(default="")


class Truck(Logged):
    """A truck: where parts ride."""

    __tablename__ = "truck"
    name: Mapped[str]
    plate: Mapped[str] = mapped_column(default="")
    ended_on: Mapped[date | None]


class OfficeUser(Logged):
    """Somebody who sits here. Chosen, not proven, until several seats are set up."""

    __tablename__ = "office_user"
    name: Mapped[str]
    role: Mapped[str] = mapped_column(default="office")  # office, technician, owner
    technician_id: Mapped[int | None] = ref("technician", optional=True)
    last_looked_at: Mapped[datetime | None]
    ended_on: Mapped[date | None]


class ColumnMemory(Logged):
    """How the columns of a list were understood last time."""

    __tablename__ = "column_memory"
    signature: Mapped[str] = mapped_column(unique=True)  # folded headers of the list
    mapping: Mapped[dict[str, Any]]
    answers: Mapped[dict[str, Any]] = mapped_column(default=dict)


class BroughtRow(Logged):
    """What a list last said about a record, to tell its edits from ours."""

    __tablename__ = "brought_row"
    list_name: Mapped[str] = mapped_column(index=True)
    row_key: Mapped[str] = mapped_column(index=True)
    site_id: Mapped[int] = ref("site")
    system_id: Mapped[int | None] = ref("system", optional=True)
    cells: Mapped[dict[str, Any]]
    seen_on: Mapped[date]
