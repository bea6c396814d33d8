"""What the simulation carries while it makes rows."""

from dataclasses import asdict, dataclass, field
from datetime import date, timedelta
from functools import cache
from importlib import resources
from random import Random
from typing import Any

import yaml

from sample_db.rows import Calendar, Row, Rows
from sample_db.sizes import Size
from sample_db.world import Point, World


@cache
def truth_table() -> dict[str, Any]:
    """The rates of truth.yaml."""
    text = resources.files("sample_db").joinpath("truth.yaml").read_text(encoding="utf-8")
    loaded: dict[str, Any] = yaml.safe_load(text)
    return loaded


@dataclass(slots=True, eq=False)
class Tech:
    """A technician with the days off."""

    row: Row
    off: list[tuple[date, date]] = field(default_factory=list)

    def works(self, day: date) -> bool:
        return not any(a <= day < b for a, b in self.off)


@dataclass(frozen=True, slots=True)
class Sale:
    """The house was sold: who had it before, until when."""

    day: date
    customer_id: int
    caller: str
    phone: str


@dataclass(slots=True, eq=False)
class Plant:
    """One system with everything the simulation asks for."""

    system: Row
    site: Row
    at: Point
    customer_id: int
    caller: str
    phone: str
    flags: frozenset[str]
    multiplier: float
    joined: date
    left: date | None = None  # nobody comes after this day
    units: dict[str, Row] = field(default_factory=dict)
    contracts: list[Row] = field(default_factory=list)
    kind: dict[str, Any] | None = None  # recurring trouble seeded here
    bad_on: date | None = None
    never: frozenset[str] = frozenset()  # checks nobody does here
    never_items: frozenset[str] = frozenset()
    closed_in_winter: bool = False  # December 15 to March 1, every year
    minutes: int = 45
    amps: float = 6.5
    psi: float = 2.8
    sale: Sale | None = None
    pumped_on: date = date.min  # the trash tank
    sludge_in_a_year: float = 3.0

    def person(self, day: date) -> tuple[int, str, str]:
        """Customer, caller and phone on a day: before a sale the seller."""
        if self.sale is not None and day < self.sale.day:
            return self.sale.customer_id, self.sale.caller, self.sale.phone
        return self.customer_id, self.caller, self.phone


@dataclass(slots=True, eq=False)
class Truth:
    """What was seeded, by keys of the rows: for tests and for *truth | what the program found*."""

    size: str
    seed: int
    today: date
    recurring: list[dict[str, Any]] = field(default_factory=list)
    practice: dict[str, Any] = field(default_factory=dict)
    model: dict[str, Any] = field(default_factory=dict)
    storm: dict[str, Any] = field(default_factory=dict)
    unsent_job_ids: list[int] = field(default_factory=list)
    short_part_ids: list[int] = field(default_factory=list)
    locked_gate_job_ids: list[int] = field(default_factory=list)
    late_system_ids: list[int] = field(default_factory=list)
    closing_system_ids: list[int] = field(default_factory=list)
    failures: list[dict[str, Any]] = field(
        default_factory=list
    )  # every real failure, with its cause

    def to_json(self) -> dict[str, Any]:
        """Plain values for a JSON file; days as ISO text."""

        def plain(value: Any) -> Any:
            if isinstance(value, date):
                return value.isoformat()
            if isinstance(value, dict):
                return {k: plain(v) for k, v in value.items()}
            if isinstance(value, list):
                return [plain(v) for v in value]
            return value

        made: dict[str, Any] = plain(asdict(self))
        return made


@dataclass(slots=True, eq=False)
class Setting:
    """Everything shared by the makers."""

    size: Size
    seed: int
    today: date
    rng: Random
    rows: Rows
    world: World
    calendar: Calendar
    truth: Truth
    techs: list[Tech] = field(default_factory=list)
    plants: list[Plant] = field(default_factory=list)
    authority_id: int = 1
    phones: dict[int, str] = field(default_factory=dict)  # customer: E.164
    sales: dict[int, Sale] = field(default_factory=dict)  # by site

    def truth_share(self, name: str) -> float:
        """A share of inspections from truth.yaml."""
        share: float = truth_table()["inspections"][name]
        return share

    @property
    def begin(self) -> date:
        """The first day of the history."""
        return self.today - timedelta(days=round(self.size.years * 365.25))

    @property
    def detail_from(self) -> date:
        """From this day on every item and reading was kept."""
        return self.today - timedelta(days=round(self.size.detail_years * 365.25))


def weighted(rng: Random, weights: dict[str, float]) -> str:
    """One key, drawn by weight."""
    return rng.choices(list(weights), list(weights.values()))[0]
