"""From the store to the life strip: which trouble is in view, and where nobody looked."""

from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from servicedesk.desk.office import desk_at
from servicedesk.desk.sitefile import site_file
from servicedesk.desk.threads import threads_of_site
from servicedesk.records.visits import Finding
from servicedesk.values.clock import Clock
from servicedesk.window.widgets.life_strip_data import life_of, thread_in_view
from tests.builders import (
    TIME_ZONE,
    TODAY,
    a_call,
    a_company,
    a_done_visit,
    a_site,
    a_unit,
    system_of,
)
from tests.conftest import NOW


@pytest.fixture
def desk(file_store):
    a_company(file_store)
    clock = Clock(ZoneInfo(TIME_ZONE), now_utc=lambda: NOW)
    return replace(desk_at(file_store), clock=clock)


def ago(days):
    return TODAY - timedelta(days=days)


def an_alarm(desk, site, days_ago, *, fix="reset only", looks=(), **values):
    """A call and its visit; `looks`: check, result and unit."""
    call = a_call(desk, site, days_ago=days_ago, state="answered", **values)
    job = {"call_id": call.id, "fix": fix}
    visit = a_done_visit(desk, site, ago(days_ago - 1), kind_of="callback", job=job)
    with desk.store.change(desk.who, "Looked") as work:
        for check, result, unit in looks:
            work.add(
                Finding(
                    visit_id=visit.id, system_id=system_of(desk, site).id, check_id=check,
                    result_id=result, unit_id=unit.id,
                    found_at=desk.clock.instant(ago(days_ago - 1), 600),
                )
            )  # fmt: skip
    return call


def life(desk, site):
    in_view = thread_in_view(threads_of_site(desk, site.id))
    return life_of(desk, site_file(desk, site.id), in_view)


def rows(found):
    return {row.name: row.unlooked for row in found.rows if row.unlooked}


def test_two_alarms_that_were_reset_are_the_trouble_in_view(desk):
    site = a_site(desk)
    smell = an_alarm(desk, site, 500, symptoms=["odour-inside"])
    first, last = an_alarm(desk, site, 400), an_alarm(desk, site, 100)

    found = life(desk, site)

    assert (found.thread.from_on, found.thread.until_on) == (ago(400), ago(100))
    assert found.thread.words == "same trouble: 2 calls in 10 months"
    assert found.thread.told.startswith(
        "same trouble: High-water alarm, 2 calls in 10 months, quiet 99 days since it was reset, "
    )
    assert {p.key[1]: p.in_thread for p in found.calls} == {
        smell.id: False, first.id: True, last.id: True,
    }  # fmt: skip


def test_one_call_or_a_trouble_that_has_ended_is_not_in_view(desk):
    site = a_site(desk)
    an_alarm(desk, site, 1900, fix="fixed")
    an_alarm(desk, site, 1800, fix="fixed")

    assert life(desk, site).thread is None

    other = a_site(desk, "2 Long Road")
    an_alarm(desk, other, 20)
    assert life(desk, other).thread is None


def test_what_the_trouble_points_to_and_nobody_looked_at_says_since_when(desk):
    site = a_site(desk)
    a_unit(desk, site, "splices-box", installed_on=ago(943))
    a_unit(desk, site, "discharge-line", installed_on=ago(943))  # less than one in twenty
    looked = a_unit(desk, site, "alarm-float", installed_on=ago(943))
    pump = a_unit(desk, site, "effluent-pump", installed_on=ago(943))
    an_alarm(desk, site, 700, looks=[("run-in-hand", "runs-level-falls", pump)])
    an_alarm(desk, site, 400, symptoms=["odour-inside"])
    an_alarm(desk, site, 300)
    an_alarm(desk, site, 100, looks=[("alarm-float-look", "hanging", looked)])

    # 943 days are 31 months; the pump was looked at when the trouble began
    assert rows(life(desk, site)) == {"Splices box": "never opened in 31 months"}


def test_a_look_before_the_trouble_counts_from_then_and_a_new_unit_is_not_framed(desk):
    site = a_site(desk)
    old = a_unit(desk, site, "splices-box", installed_on=ago(2000))
    a_unit(desk, site, "alarm-float", installed_on=ago(50))
    an_alarm(desk, site, 900, symptoms=["odour-inside"], looks=[("splice-look", "dry-sealed", old)])
    an_alarm(desk, site, 300)
    an_alarm(desk, site, 100)

    assert rows(life(desk, site)) == {"Splices box": "not opened in 30 months"}
