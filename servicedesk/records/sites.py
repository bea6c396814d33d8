"""Where we drive to, and the systems that stand there."""

from datetime import date
from typing import Any

from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Kind, Logged, Record, Uid, ref


class Site(Logged):
    """One place a truck drives to."""

    __tablename__ = "site"
    uid: Mapped[Uid]
    number: Mapped[int] = mapped_column(unique=True)  # said aloud; from the counter, never reused
    own_number: Mapped[str | None] = mapped_column(index=True)  # as in the company's old list
    address: Mapped[str] = mapped_column(index=True)  # house and street: 118 Dry Hollow Lane
    locality: Mapped[str] = mapped_column(default="", index=True)  # village
    postcode: Mapped[str] = mapped_column(default="")
    lat_deg: Mapped[float | None]
    lon_deg: Mapped[float | None]
    position_source: Mapped[str | None]  # values.position.PositionSource
    access_note: Mapped[str] = mapped_column(default="")
    gate_note: Mapped[str] = mapped_column(default="")  # no codes here: they are secrets
    dogs_note: Mapped[str] = mapped_column(default="")
    lids_note: Mapped[str] = mapped_column(default="")
    call_before: Mapped[bool] = mapped_column(default=False)
    visiting_from_min: Mapped[int | None]
    visiting_until_min: Mapped[int | None]
    visiting_days: Mapped[list[Any] | None]  # weekdays, Monday is 0; None: any
    wanted_technician_id: Mapped[int | None] = ref("technician", optional=True)
    note: Mapped[str] = mapped_column(default="")
    on_hold: Mapped[bool] = mapped_column(default=False)  # unpaid over the company's limit
    since_on: Mapped[date | None]
    ended_on: Mapped[date | None]
    ended_why: Mapped[str] = mapped_column(default="")


class SiteKey(Logged):
    """A key of a site that we hold."""

    __tablename__ = "site_key"
    site_id: Mapped[int] = ref("site")
    label: Mapped[str]
    technician_id: Mapped[int | None] = ref("technician", optional=True)  # None: in the office
    returned_on: Mapped[date | None]


class SiteSecret(Record):
    """A gate, alarm or key code. Never indexed, never exported; the log only says *changed*."""

    __tablename__ = "site_secret"
    kind = Kind.SECRET
    site_id: Mapped[int] = ref("site")
    what: Mapped[str]  # gate, alarm, key
    value: Mapped[str]  # through records.secrets, where encryption will go


class ClosedSpan(Logged):
    """Days on which a site cannot be visited: winter, power off."""

    __tablename__ = "closed_span"
    site_id: Mapped[int] = ref("site")
    from_on: Mapped[date]
    until_on: Mapped[date]
    every_year: Mapped[bool] = mapped_column(default=False)
    why: Mapped[str] = mapped_column(default="")


class System(Logged):
    """One permitted treatment train at a site."""

    __tablename__ = "system"
    uid: Mapped[Uid]
    site_id: Mapped[int] = ref("site")
    label: Mapped[str] = mapped_column(default="")  # only where a site has several
    permit: Mapped[str | None] = mapped_column(index=True)
    authority_id: Mapped[int | None] = ref("authority", optional=True)
    rule_id: Mapped[str | None]  # id of a service rule
    permit_visits: Mapped[int | None]  # a year, where the rule says "as the permit says"
    treatment: Mapped[str] = mapped_column(default="aerobic")
    dispersal: Mapped[str] = mapped_column(default="")  # spray, drip, pumped, gravity
    equipment: Mapped[list[Any]] = mapped_column(default=list)  # equipment flags of trade knowledge
    design_flow_gpd: Mapped[int | None]
    bedrooms: Mapped[int | None]
    single_family: Mapped[bool] = mapped_column(default=True)
    started_on: Mapped[date | None]
    installer_id: Mapped[int | None] = ref("firm", optional=True)
    ended_on: Mapped[date | None]
    ended_why: Mapped[str] = mapped_column(default="")


class Tank(Logged):
    """A tank or chamber of a system."""

    __tablename__ = "tank"
    system_id: Mapped[int] = ref("system")
    what: Mapped[str]  # trash, aeration, clarifier, pump
    volume_gal: Mapped[int | None]
    material: Mapped[str] = mapped_column(default="")
