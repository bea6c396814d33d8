"""From calls to fixes and what followed each."""

from datetime import date, timedelta

from servicedesk.trade.faults import knowledge
from servicedesk.trouble.alike import Alike
from servicedesk.trouble.fixes_seen import fixes_seen
from servicedesk.trouble.quiet_learned import FixSeen
from servicedesk.trouble.threads import ThreadCall, Tried

TODAY = date(2026, 10, 14)


def call(n, days_ago, *fixes, symptom="high-water-alarm", **values):
    """Call `n`; `fixes`: outcome and days after the call."""
    on = TODAY - timedelta(days=days_ago)
    visits = tuple(Tried(on=on + timedelta(days=after), outcome=o) for o, after in fixes)
    return ThreadCall(call_id=n, on=on, symptoms=(symptom,), visits=visits, **values)


def seen(*calls):
    return list(fixes_seen(calls, Alike(knowledge()), TODAY))


def test_each_fix_is_told_with_the_days_to_the_next_call_of_shared_causes():
    found = seen(
        call(1, 500, ("reset only", 2)),
        call(2, 400, ("fixed", 1), symptom="alarm-comes-and-goes"),
        call(3, 390, ("fixed", 3), symptom="odour-inside"),
        call(4, 100, ("workaround", 0)),
    )

    assert found == [
        FixSeen("reset only", False, 0, 0, 98, called=True),
        FixSeen("fixed", True, 1, 100, 299, called=True),
        FixSeen("fixed", False, 0, 0, 387, called=False),
        FixSeen("workaround", True, 2, 400, 100, called=False),
    ]


def test_only_the_last_visit_that_did_anything_before_the_next_call_counts():
    found = seen(
        call(1, 500, ("reset only", 1), ("fixed", 5), ("could not", 7), ("fixed", 480)),
        call(2, 100, ("could not", 1)),
    )

    assert found == [FixSeen("fixed", False, 0, 0, 395, called=True)]


def test_events_teach_nothing_and_a_call_long_ago_is_another_trouble():
    found = seen(
        call(1, 1000, ("fixed", 0)),
        call(2, 200, ("fixed", 0), is_event=True),
        call(3, 150, ("fixed", 0)),
    )

    assert found == [
        FixSeen("fixed", False, 0, 0, 850, called=True),
        FixSeen("fixed", False, 0, 0, 150, called=False),
    ]
