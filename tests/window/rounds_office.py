"""An office with a real store for the rounds page: two technicians, five visits on Thursday."""

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

from servicedesk.desk.office import desk_at
from servicedesk.desk.planning import day_case, take_plan
from servicedesk.routes.day import retimed
from servicedesk.values.clock import Clock
from tests.builders import (
    TIME_ZONE,
    TODAY,
    a_company,
    a_site,
    a_technician,
    a_visit,
    something_owed,
)
from tests.conftest import NOW
from tests.window.office import FakeOffice

THURSDAY = TODAY + timedelta(days=1)
SPOTS = ((0.02, 0.0), (0.0, 0.03), (-0.03, 0.01), (0.01, -0.04), (0.04, 0.04), (-0.02, -0.02))


@dataclass
class DeskOffice(FakeOffice):
    desk: Any = None


def a_desk(store):
    a_company(store)
    return replace(desk_at(store), clock=Clock(ZoneInfo(TIME_ZONE), now_utc=lambda: NOW))


def an_office(store, *, planned=True):
    """Lena has three stops, Tobin two, one site waits with owed work."""
    desk = a_desk(store)
    lena, tobin = a_technician(desk, "Lena Hobb"), a_technician(desk, "Tobin Ashe")
    streets = (
        "10 Quarry Spur",
        "77 Brisk Ferry",
        "3 Heron Bank",
        "Pinder Chapel",
        "52 Ashpit Lane",
    )
    visits = []
    for n, street in enumerate(streets):
        site = a_site(desk, street, owner=f"Owner {n}", lat_deg=30 + SPOTS[n][0],
                      lon_deg=-94 + SPOTS[n][1])  # fmt: skip
        promise = {"promise_until_min": 10 * 60 + 30} if n == 2 else {}
        visits.append(
            a_visit(desk, site, planned_on=THURSDAY, service_min=90 if n == 4 else 45, **promise)
        )
    waiting = a_site(desk, "240 Low Meadow", owner="Waiting, W", lat_deg=29.98, lon_deg=-94.02)
    something_owed(desk, waiting)
    if planned:
        case = day_case(desk, THURSDAY)
        ids = [f"v{v.id}" for v in visits]
        orders = {str(lena.id): ids[:3], str(tobin.id): ids[3:]}
        take_plan(desk, case, retimed(case.problem, orders, planner="hand"), what="Planned")
    return DeskOffice(desk=desk)
