"""Contracts and inspections for the tests of windows."""

from datetime import date

from servicedesk.duties.terms import Attempt, DoneInspection, Terms
from servicedesk.trade.service_rules import rule_for, rule_from, shipped_rules
from servicedesk.values.span import Span

YEAR = Span(date(2026, 1, 1), date(2027, 1, 1))


def rule_of(visits, **version):
    (rule,) = rule_from(
        {
            "id": "own-1",
            "authority": "Own",
            "jurisdiction": "own",
            "applies_to": "all",
            "kind": "service",
            "versions": [{"source": "for the test", "seen": True, "visits": visits} | version],
        },
        file="test",
    )
    return rule


def shipped(rule_id, on=date(2026, 1, 1)):
    return rule_for(shipped_rules(), rule_id, on=on)


def terms(span=YEAR, visits=3, **more):
    return Terms(span=span, visits_a_year=visits, **more)


def done(*days):
    return [DoneInspection(date.fromisoformat(day), number + 1) for number, day in enumerate(days)]


def tried(*days):
    return [Attempt(date.fromisoformat(day), 900 + number) for number, day in enumerate(days)]


def day(text):
    return date.fromisoformat(text)


def closes(windows):
    return [window.closes_on.isoformat() for window in windows]


def opens(windows):
    return [window.opens_on.isoformat() for window in windows]


def states(windows):
    return [window.state.value for window in windows]


def codes(window):
    return [reason.code for reason in window.why]
