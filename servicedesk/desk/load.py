"""What to put on each truck for a day or week, and the chance of finishing at the first visit."""

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median
from typing import Any

from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.load_needs import Asked, asking
from servicedesk.desk.load_whom import Whom, whom_of
from servicedesk.desk.office import Desk
from servicedesk.desk.stock_names import Lying
from servicedesk.records import company_rows, planning_rows, stock_rows
from servicedesk.records.company import Technician
from servicedesk.stock.chance_range import ChanceRange, chance_range
from servicedesk.stock.load import Further, Load, Pick, Stock, best_load
from servicedesk.trade.faults import Knowledge

SERVICE = 0.95  # of the most that can be reached (judgment, no source)
# what fetching one piece from a supplier costs on top, in minor units (judgment, no source)
BUYING_MINOR = 3_000
COST_UNKNOWN_MINOR = 2_000  # where the catalogue has no cost at all
MOST_OF_A_KIND = 99


@dataclass(frozen=True, slots=True, kw_only=True)
class PickLine:
    """A part to put on the truck. `adds`: what the chance would lose without these.

    `whom`: who asks for it most.
    """

    key: str
    name: str
    numbers: str
    quantity: int
    buy: int
    on_truck: int
    on_shelf: int
    adds: float
    whom: Whom | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FurtherLine:
    """One more of a part, not picked: what it would add."""

    key: str
    name: str
    numbers: str
    adds: float
    on_shelf: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TruckLoad:
    """The load of one technician's truck. Chances are of finishing all visits at the first one.

    `before`: as the truck is now; `unbought`: with what the shelf has of the picks; `after`: with
    all picks, `low` and `high` how far off that may be (95 %), by what the shares rest on;
    `most`: with every part there is (the rest are causes that nobody can name).
    `at_least`: the chances are lower limits. `unclear`: sites with a call of which no symptom or
    system is written; they are left out. `not_kept`: parts that may be asked for and that the
    catalogue has no article of, with the chance; not counted as missing. `truck`: "" where the
    technician has none.
    """

    technician_id: int
    technician: str
    truck: str
    days: tuple[date, ...]
    n_visits: int
    n_inspections: int
    n_calls: int
    n_owed: int
    before: float
    unbought: float
    after: float
    low: float
    high: float
    most: float
    service: float
    at_least: bool
    is_best: bool
    picks: tuple[PickLine, ...]
    further: tuple[FurtherLine, ...]
    unclear: tuple[str, ...]
    not_kept: tuple[tuple[str, float], ...]


def truck_loads(
    desk: Desk,
    first: date,
    until: date,
    *,
    lead_ids: Collection[int] | None = None,
    service: float = SERVICE,
) -> tuple[TruckLoad, ...]:
    """The loads of all trucks with planned visits from `first` until `until` (excluded).

    Only of `lead_ids` if given. By the technician's name. Raises ValueError for a service outside
    0 to 1.
    """
    read = _read(desk, first, until)
    crews = _crews(read)
    asked = asking(desk, [v for crew in crews for v in crew.visits], read.lying)
    loads: list[TruckLoad] = []
    taken: Counter[str] = Counter()
    for crew in crews:
        if lead_ids is not None and set(lead_ids) <= {one.technician_id for one in loads}:
            break
        loads.append(_load(desk, crew, asked.of(crew.visits), read.lying, taken, service=service))
        # what goes on this truck is not on the shelf for the next one, asked for or not
        taken.update({pick.key: pick.quantity - pick.buy for pick in loads[-1].picks})
    return tuple(one for one in loads if lead_ids is None or one.technician_id in lead_ids)


def lying_now(desk: Desk) -> Lying:
    """The catalogue by kinds of part, and what lies where today."""
    with desk.store.read() as session:
        return _lying(desk, session)


def _lying(desk: Desk, session: Any) -> Lying:
    parts = stock_rows.parts(session, desk.today)
    places = stock_rows.places(session, desk.today)
    return Lying.of(parts, stock_rows.balances(session, on=desk.today), places)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Read:
    """What the store says of a span of days."""

    lying: Lying
    people: Mapping[int, Technician]
    trucks: Mapping[int, str]
    rounds: Mapping[int, planning_rows.RoundRow]
    visits: tuple[planning_rows.VisitRow, ...]
    sites: Mapping[int, planning_rows.SitePlace]


def _read(desk: Desk, first: date, until: date) -> _Read:
    days = [first + timedelta(days=n) for n in range((until - first).days)]
    with desk.store.read() as session:
        visits = [v for day in days for v in planning_rows.visits_of_day(session, day)]
        return _Read(
            lying=_lying(desk, session),
            people={t.id: t for t in company_rows.technicians(session, first)},
            trucks=company_rows.trucks(session),
            rounds={r.id: r for day in days for r in planning_rows.rounds_on(session, day)},
            visits=tuple(visits),
            sites=planning_rows.site_places(session, [v.site_id for v in visits]),
        )


@dataclass(frozen=True, slots=True)
class _Crew:
    lead_id: int
    name: str
    truck: str
    truck_id: int | None
    visits: tuple[planning_rows.VisitRow, ...]
    sites: Mapping[int, planning_rows.SitePlace]

    def n_of(self, kind: str) -> int:
        return sum(job.kind == kind for visit in self.visits for job in visit.jobs)

    def addresses(self) -> dict[str, str]:
        """By the key of a visit."""
        return {str(v.id): self.address(v.site_id) for v in self.visits}

    def address(self, site_id: int) -> str:
        return self.sites[site_id].address if site_id in self.sites else ""


def _crews(read: _Read) -> list[_Crew]:
    """Who has planned visits, by name."""
    crews = []
    for lead_id, tech in sorted(read.people.items(), key=lambda one: (one[1].name, one[0])):
        own = [v for v in read.visits if v.state == "planned" and v.lead_id == lead_id]
        if own:
            truck_id = read.rounds[own[0].round_id or 0].truck_id or tech.truck_id
            truck = read.trucks.get(truck_id or 0, "")
            crews.append(_Crew(lead_id, tech.name, truck, truck_id, tuple(own), read.sites))
    return crews


def _load(
    desk: Desk,
    crew: _Crew,
    asked: Asked,
    lying: Lying,
    taken: Mapping[str, int],
    *,
    service: float,
) -> TruckLoad:
    known = knowledge_of(desk)
    keys = sorted({part for need in asked.needs for part in need.parts})
    stock = stock_of(lying, keys, lying.on_truck(crew.truck_id), taken)
    found = best_load(asked.needs, stock, service=service)
    span = _span(asked, stock, found)
    whom = whom_of(asked.needs, crew.addresses())
    return TruckLoad(
        technician_id=crew.lead_id,
        technician=crew.name,
        truck=crew.truck,
        days=tuple(sorted({v.planned_on for v in crew.visits if v.planned_on is not None})),
        n_visits=len(crew.visits),
        n_inspections=crew.n_of("inspection"),
        n_calls=crew.n_of("callback"),
        n_owed=crew.n_of("owed"),
        before=found.before,
        unbought=found.unbought,
        after=found.after,
        low=span.low,
        high=span.high,
        most=found.most,
        service=service,
        at_least=not found.is_exact,
        is_best=found.is_best,
        picks=tuple(_pick(one, stock, lying, known, whom) for one in found.picks),
        further=tuple(_further(one, lying, known) for one in found.further),
        unclear=tuple(filter(None, (crew.address(site) for site in asked.unclear))),
        not_kept=tuple((lying.name(key, known), chance) for key, chance in asked.not_kept),
    )


def _span(asked: Asked, stock: Stock, found: Load) -> ChanceRange:
    """How far off the chance with all picks may be."""
    loaded = Counter(stock.on_truck)
    loaded.update({pick.part: pick.quantity for pick in found.picks})
    span = chance_range(asked.needs, loaded, asked.seen)
    return ChanceRange(min(found.after, span.low), max(found.after, span.high))


def _pick(
    one: Pick, stock: Stock, lying: Lying, known: Knowledge, whom: Mapping[str, Whom]
) -> PickLine:
    return PickLine(
        key=one.part,
        name=lying.name(one.part, known),
        numbers=lying.numbers(one.part),
        quantity=one.quantity,
        buy=one.buy,
        on_truck=stock.on_truck[one.part],
        on_shelf=stock.to_be_had[one.part],
        adds=one.adds,
        whom=whom.get(one.part),
    )


def _further(one: Further, lying: Lying, known: Knowledge) -> FurtherLine:
    return FurtherLine(
        key=one.part,
        name=lying.name(one.part, known),
        numbers=lying.numbers(one.part),
        adds=one.adds,
        on_shelf=one.is_at_hand,
    )


def stock_of(
    lying: Lying, keys: Collection[str], on_truck: tuple[int, ...], taken: Mapping[str, int]
) -> Stock:
    """What is on the truck and the shelf, what can be bought, and what a piece costs to carry.

    `taken`: what other trucks take from the shelf before.
    """
    costs = {
        key: [p.cost_minor for p in lying.articles.get(key, ()) if p.cost_minor is not None]
        for key in keys
    }
    every = [cost for some in costs.values() for cost in some]
    usual = median(every) if every else COST_UNKNOWN_MINOR
    return Stock(
        on_truck={key: lying.at(key, on_truck) for key in keys},
        to_be_had={key: lying.at(key, lying.shelves) - taken.get(key, 0) for key in keys},
        cost={key: float(min(costs[key], default=usual)) for key in keys},
        to_buy=dict.fromkeys(keys, MOST_OF_A_KIND),
        buying=BUYING_MINOR,
    )
