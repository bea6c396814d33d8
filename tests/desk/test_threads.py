"""Threads from the store: what each visit tried, a person's word as one undoable change."""

from datetime import timedelta

import pytest

from servicedesk.desk.changes import last_change, undo
from servicedesk.desk.thread_facts import facts_of, fleet_facts, quiet_model
from servicedesk.desk.threads import (
    join_calls,
    open_threads,
    split_call,
    thread_of_call,
    thread_of_new_call,
    threads_of_site,
    threads_of_system,
)
from servicedesk.records.calls import Event
from servicedesk.records.visits import Finding, Job, PartLine
from servicedesk.trouble.quiet import ASSUMED
from servicedesk.values.trouble import Trouble
from tests.builders import (
    TODAY,
    a_call,
    a_done_visit,
    a_site,
    a_system,
    a_technician,
    something_owed,
    system_of,
)


def ago(days):
    return TODAY - timedelta(days=days)


def a_fix(desk, site, days_ago, *, days_after=1, symptoms=("high-water-alarm",), **job):
    """A call and the visit made for it; columns of the job in `job`."""
    technician = job.pop("technician", None)
    call = a_call(desk, site, days_ago=days_ago, state="answered", symptoms=list(symptoms))
    visit = a_done_visit(
        desk, site, ago(days_ago - days_after), kind_of="callback", technician=technician,
        job={"call_id": call.id, **job},
    )  # fmt: skip
    return call, visit


def test_a_thread_tells_what_each_visit_tried_and_how_long_it_is_quiet(desk):
    site, lena = a_site(desk), a_technician(desk)
    first, _ = a_fix(desk, site, 700, no_fault_found=True, did="Reset the alarm")
    second, _ = a_fix(
        desk, site, 200, symptoms=["alarm-comes-and-goes"], fix="reset only", technician=lena
    )

    (thread,) = threads_of_site(desk, site.id)

    assert (thread.name, thread.span) == ("Alarm that comes and goes", "2 calls in 16 months")
    assert (thread.site_id, thread.address) == (site.id, "118 Dry Hollow Lane")
    assert [call.call_id for call in thread.calls] == [first.id, second.id]
    old, new = thread.calls
    assert [(t.on, t.who, t.did) for t in old.tried] == [
        (ago(699), "", "Reset the alarm. no fault found")
    ]
    assert (old.quiet_days, old.still_quiet) == (499, False)
    assert [(t.who, t.did) for t in new.tried] == [("Lena Hobb", "reset only")]
    assert (new.quiet_days, new.still_quiet) == (199, True)
    assert thread.quiet == "quiet 199 days since it was reset"
    assert thread.last_fix == new.tried[0]
    passes = desk.formats.day(thread.thread.quiet.passes_90_on, near=TODAY)
    percent = round(100 * thread.thread.quiet.holds)
    assert thread.chance == f"{percent}% that it holds; 90% on {passes} if it stays quiet"
    assert thread.by_hand == ""


def test_checks_with_a_result_and_parts_go_with_the_visit(desk):
    site = a_site(desk)
    _, visit = a_fix(desk, site, 50, checks_done=["alarm-test"], parts_changed=["alarm-float"])
    at = desk.clock.instant(ago(49), 600)
    with desk.store.change(desk.who, "Looked") as work:
        for check, result in (("water-level", "normal"), ("splice-look", None)):
            work.add(Finding(visit_id=visit.id, check_id=check, result_id=result, found_at=at))
        work.add(PartLine(visit_id=visit.id, text="Float, wide angle"))

    (thread,) = threads_of_site(desk, site.id)

    (tried,) = thread.thread.tried
    assert tried.checks == ("alarm-test", "water-level")
    assert tried.parts == ("alarm-float", "Float, wide angle")


@pytest.mark.parametrize(
    ("job", "kind"),
    [
        ({"fix": "fixed", "cause_id": "pump-jammed", "cause_known_by": "seen"}, "cause fixed"),
        ({"fix": "fixed", "cause_id": "pump-jammed", "cause_known_by": "presumed"}, "fixed"),
        ({"fix": "fixed"}, "fixed"),
        ({"fix": "patched"}, "workaround"),
        ({"fix": "reset only"}, "reset only"),
        ({"no_fault_found": True, "fix": "reset only"}, "no fault found"),
        ({}, "nothing said"),
        ({"outcome": "could not", "could_not": "no access"}, "nobody"),
    ],
)
def test_what_a_visit_came_to_is_the_kind_of_its_fix(file_desk, job, kind):
    site = a_site(file_desk)
    a_fix(file_desk, site, 30, **job)

    (thread,) = threads_of_site(file_desk, site.id)

    assert thread.thread.quiet.fix == kind
    assert (thread.last_fix is None) == (kind == "nobody")


def test_what_was_patched_and_mended_later_is_a_fix_of_the_cause_named_then(desk):
    site = a_site(desk)
    known = {"cause_id": "alarm-float-hung-up", "cause_known_by": "a direct check"}
    _, visit = a_fix(desk, site, 90, fix="patched", **known)
    owed = something_owed(desk, site, visit_id=visit.id)
    a_done_visit(desk, site, ago(40), kind_of="owed", job={"owed_id": owed.id, "did": "New tree"})

    (thread,) = threads_of_site(desk, site.id)

    assert (thread.thread.quiet.fix, thread.thread.quiet.since) == ("cause fixed", ago(40))
    assert thread.last_fix.did == "New tree"
    assert len(thread.calls[0].tried) == 2


def test_an_open_call_waits_and_a_dropped_one_is_no_call(desk):
    site = a_site(desk)
    a_fix(desk, site, 60, fix="reset only")
    a_call(desk, site, days_ago=30, state="dropped")
    waiting = a_call(desk, site, days_ago=0.1)

    (thread,) = threads_of_site(desk, site.id)

    assert [call.call_id for call in thread.calls][1:] == [waiting.id]
    assert (thread.quiet, thread.chance) == ("a call is waiting", "")
    assert thread.last_fix is None


def test_a_call_of_a_storm_belongs_to_no_thread(desk):
    site = a_site(desk)
    with desk.store.change(desk.who, "Opened a storm") as work:
        storm = work.add(Event(what="storm", from_at=desk.clock.now()))
    call = a_call(desk, site, event_id=storm.id)

    assert threads_of_site(desk, site.id) == ()
    assert thread_of_call(desk, call.id) is None
    with pytest.raises(Trouble, match="belongs to no trouble"):
        split_call(desk, call.id)


def test_systems_of_a_site_have_threads_of_their_own(desk):
    site = a_site(desk)
    first, second = system_of(desk, site), a_system(desk, site)
    one, _ = a_fix(desk, site, 60, fix="reset only")
    calls = [a_call(desk, site, days_ago=n, state="answered", system_id=s.id)
             for n, s in ((50, first), (40, second))]  # fmt: skip

    assert [t.thread.calls[0].call_id for t in threads_of_system(desk, site.id, first.id)] == [
        calls[0].id
    ]
    assert thread_of_call(desk, one.id).system_id is None  # nobody said which
    with pytest.raises(Trouble, match="two systems"):
        join_calls(desk, calls[0].id, calls[1].id)


# --- a person's word


def test_a_split_call_stands_apart_and_one_undo_brings_it_back(desk):
    site = a_site(desk)
    calls = [a_fix(desk, site, days, fix="reset only")[0] for days in (300, 200, 100)]

    split_call(desk, calls[1].id, why="that one was the neighbor's")

    assert last_change(desk).what == "118 Dry Hollow Lane: the call of Mar 28 is another trouble"
    groups = [[c.call_id for c in t.calls] for t in threads_of_site(desk, site.id)]
    assert groups == [[calls[0].id, calls[2].id], [calls[1].id]]
    assert {t.by_hand for t in threads_of_site(desk, site.id)} == {"split by hand"}
    with pytest.raises(Trouble, match="alone already"):
        split_call(desk, calls[1].id)

    undo(desk)

    (thread,) = threads_of_site(desk, site.id)
    assert thread.thread.n == 3
    assert thread.by_hand == ""


def test_joined_calls_are_one_trouble_also_after_they_were_split(desk):
    site = a_site(desk)
    alarms = [a_fix(desk, site, days, fix="reset only")[0] for days in (300, 200, 100)]
    smell, _ = a_fix(desk, site, 60, symptoms=["odour-inside"], fix="fixed")
    split_call(desk, alarms[0].id)

    join_calls(desk, smell.id, alarms[2].id, why="the vent was full of water")
    join_calls(desk, alarms[0].id, alarms[1].id)

    (thread,) = threads_of_site(desk, site.id)
    assert thread.thread.n == 4
    assert thread.by_hand == "joined by hand"
    with pytest.raises(Trouble, match="one trouble already"):
        join_calls(desk, smell.id, alarms[0].id)

    undo(desk)
    undo(desk)
    undo(desk)
    assert sorted(t.thread.n for t in threads_of_site(desk, site.id)) == [1, 3]


# --- the call being written


def test_a_new_call_is_told_which_trouble_it_belongs_to(desk):
    site = a_site(desk)
    a_fix(desk, site, 60, fix="reset only")
    smell, _ = a_fix(desk, site, 50, symptoms=["odour-inside"], fix="reset only")

    found = thread_of_new_call(desk, site.id, ["slow-drains"])

    assert found is not None
    assert [call.call_id for call in found.calls] == [smell.id]
    assert found.quiet == "quiet 49 days since it was reset"
    assert thread_of_new_call(desk, site.id, ["uv-fault"]) is None
    assert thread_of_new_call(desk, site.id, []) is None


def test_a_call_looked_at_again_is_not_counted_as_one_before_itself(desk):
    site = a_site(desk)
    a_fix(desk, site, 60, fix="reset only")
    now = a_call(desk, site)

    found = thread_of_new_call(desk, site.id, ["high-water-alarm"], but=now.id)

    assert found.thread.n == 1


# --- the whole fleet


def test_open_threads_of_the_fleet_take_a_fixed_number_of_queries(desk, count_queries):
    def a_trouble(n, count):
        site = a_site(desk, f"{n} Long Road")
        for k in range(count):
            a_fix(desk, site, 200 - 50 * k, fix="reset only")

    a_trouble(1, 2)
    with count_queries(desk.store) as one:
        assert [t.address for t in open_threads(desk)] == ["1 Long Road"]
    a_trouble(2, 3)
    for n in range(3, 8):
        a_trouble(n, n % 3)  # one more has two calls
    with count_queries(desk.store) as many:
        found = open_threads(desk)

    assert found[0].address == "2 Long Road"
    assert [t.thread.n for t in found] == sorted((t.thread.n for t in found), reverse=True)
    assert len(found) == 3
    assert len(one) == len(many)


def test_the_company_s_own_fixes_move_what_is_believed_and_keeping_it_changes_no_figure(desk):
    site = a_site(desk)
    for n in range(12):
        a_fix(desk, site, 700 - 50 * n, fix="fixed")

    model = quiet_model(desk)

    assert model.n_seen == {("fixed", False): 1, ("fixed", True): 11}
    assert model.real["fixed", True] < ASSUMED["fixed", True] - 0.2
    assert quiet_model(desk) is model
    facts = fleet_facts(desk)
    desk.store.conclusions.clear()
    assert quiet_model(desk) == model
    assert fleet_facts(desk) == facts

    a_fix(desk, site, 5, fix="fixed")  # anything written: asked anew
    assert quiet_model(desk) != model


def test_a_visit_on_the_way_is_not_yet_a_try(desk):
    site = a_site(desk)
    call, visit = a_fix(desk, site, 20, fix="fixed")
    with desk.store.change(desk.who, "Not written up yet") as work:
        work.session.query(Job).where(Job.visit_id == visit.id).one().outcome = None

    (thread,) = threads_of_site(desk, site.id)

    assert thread.calls[0].call_id == call.id
    assert thread.thread.tried == ()


def test_threads_are_the_same_without_the_details_of_their_visits(desk):
    site = a_site(desk)
    a_fix(desk, site, 200, fix="patched", found="Float hung up", checks_done=["alarm-test"])
    a_fix(desk, site, 100, fix="fixed", cause_id="alarm-float-hung-up", cause_known_by="seen")
    place = (site.id, system_of(desk, site).id)
    model = quiet_model(desk)

    (full,) = facts_of(desk, [site.id]).threads_at(place, TODAY, model)
    (lean,) = facts_of(desk, [site.id], details=False).threads_at(place, TODAY, model)

    assert full.quiet == lean.quiet
    assert [t.kind for t in full.tried] == [t.kind for t in lean.tried]
    assert ([t.checks for t in full.tried], [t.checks for t in lean.tried]) == (
        [("alarm-test",), ()],
        [(), ()],
    )
