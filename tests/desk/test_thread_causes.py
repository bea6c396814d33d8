"""Where the trouble of a thread may sit."""

from datetime import timedelta

import pytest

from servicedesk.desk.thread_causes import components_behind
from servicedesk.desk.threads import threads_of_site
from servicedesk.records.visits import Finding
from tests.builders import TODAY, a_call, a_done_visit, a_site, a_system, a_unit


def an_alarm(desk, site, days_ago, checks=()):
    """A high-water alarm with a visit that reset it; `checks`: check and result."""
    call = a_call(desk, site, days_ago=days_ago, state="answered")
    on = TODAY - timedelta(days=days_ago - 1)
    visit = a_done_visit(
        desk, site, on, kind_of="callback", job={"call_id": call.id, "fix": "reset only"}
    )
    with desk.store.change(desk.who, "Looked") as work:
        for check, result in checks:
            work.add(
                Finding(visit_id=visit.id, check_id=check, result_id=result,
                        found_at=desk.clock.instant(on, 600))
            )  # fmt: skip


def test_what_was_looked_at_in_vain_points_away_from_it(desk):
    site = a_site(desk)
    for component in ("alarm-float", "splices-box", "effluent-pump"):
        a_unit(desk, site, component)
    an_alarm(desk, site, 200)
    (thread,) = threads_of_site(desk, site.id)
    before = components_behind(desk, thread)

    an_alarm(
        desk, site, 100,
        [("lamp-against-water", "on-without-high-water"), ("splice-look", "dry-sealed")],
    )  # fmt: skip
    (thread,) = threads_of_site(desk, site.id)
    after = components_behind(desk, thread)

    assert sum(before.values()) <= 1 + 1e-9
    # common practice, no source: the lamp burns, the water is low, the splice is dry: the float
    assert after["alarm-float"] > before["alarm-float"]
    assert after["splices-box"] / after["alarm-float"] < (
        before["splices-box"] / before["alarm-float"]
    )
    assert after["effluent-pump"] < before["effluent-pump"]


@pytest.mark.parametrize("symptoms", [[], ["said in own words"]])
def test_nothing_is_pointed_to_where_no_symptom_is_known(file_desk, symptoms):
    site = a_site(file_desk)
    a_call(file_desk, site, days_ago=20, symptoms=symptoms)
    (thread,) = threads_of_site(file_desk, site.id)

    assert components_behind(file_desk, thread) == {}


def test_nor_where_nobody_said_which_of_two_systems(file_desk):
    site = a_site(file_desk)
    a_system(file_desk, site)
    a_call(file_desk, site, days_ago=20)
    (thread,) = threads_of_site(file_desk, site.id)

    assert components_behind(file_desk, thread) == {}
