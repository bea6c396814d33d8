"""What a day asks for stays the same once it is written."""

from datetime import timedelta

from servicedesk.desk.planning import day_case, proposed, take_plan
from tests.builders import TODAY, a_call, a_site, a_technician, something_owed

THURSDAY = TODAY + timedelta(days=1)


def test_a_written_round_is_timed_as_it_was_planned(desk):
    a_technician(desk)
    sites = [
        a_site(desk, f"{n} Quarry Spur", lat_deg=30.0 + n / 100, lon_deg=-94.0) for n in (1, 2, 3)
    ]
    something_owed(desk, sites[0], minutes=95)
    something_owed(desk, sites[1])
    a_call(desk, sites[2], promised_by_at=None)
    case = day_case(desk, THURSDAY)
    plan = proposed(desk, case)
    take_plan(desk, case, plan, what="Planned")

    again = day_case(desk, THURSDAY)

    def times(day):
        return [(s.arrival_min, s.begin_min, s.leave_min) for s in day.stops]

    assert [times(day) for day in again.stand.days] == [times(day) for day in plan.days]
    assert 95 in [wanted.service_min for wanted in again.wanted.values()]
