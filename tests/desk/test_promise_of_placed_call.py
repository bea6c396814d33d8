"""A call keeps its promise once it stands on a round."""

from datetime import timedelta

from servicedesk.desk.callbacks import place_call
from servicedesk.desk.planning import day_case
from tests.builders import a_call, a_site, a_technician


def test_the_promise_of_a_call_holds_on_its_visit(desk):
    a_technician(desk)
    day = desk.today + timedelta(days=1)
    call = a_call(desk, a_site(desk), promised_by_at=desk.clock.instant(day, 11 * 60))

    before = day_case(desk, day)
    place_call(desk, call.id, day)
    after = day_case(desk, day)

    assert [s.promise_until_min for s in before.problem.stops] == [11 * 60]
    assert [s.promise_until_min for s in after.problem.stops] == [11 * 60]
