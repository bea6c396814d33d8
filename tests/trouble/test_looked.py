"""How a cause stands by what was looked at: never, too long ago, tested, ruled out, found.

The ids and rows are those of the shipped fault knowledge; that a look older than a year, or made
before the part was renewed, counts as none is a rule of the fault knowledge (old-results-fade).
"""

import pytest

from servicedesk.trade.faults import knowledge
from servicedesk.trouble.case import Case, Earlier, Found
from servicedesk.trouble.looked import Looked, looked_at
from servicedesk.trouble.table import table

SYMPTOM = "high-water-alarm"


@pytest.fixture(scope="module")
def known():
    return table(knowledge())


def the_causes(known):
    return {cause.name: cause.id for cause in known.knowledge.causes.values()}


def visit(days, *found, changed=()):
    return Earlier(
        days_before=days, symptom=SYMPTOM, outcome="no fault found",
        found=tuple(Found(*one) for one in found), changed=changed,
    )  # fmt: skip


def case(*visits, found=()):
    return Case(symptoms=(SYMPTOM,), earlier=visits, found=tuple(found))


def stuck(known):
    return the_causes(known)["Alarm float switch stuck closed"]


def splice(known):
    return the_causes(known)["Alarm splice wet: leakage or short between conductors"]


def test_a_cause_whose_own_checks_nobody_made_was_never_tested(known):
    looked = looked_at(splice(known), case(visit(20, ("run-in-hand", "runs-level-falls"))), known)

    assert looked == Looked("never")


def test_the_visits_that_found_it_right_rule_it_out_and_are_counted(known):
    right = ("alarm-float-lift", "right")
    looked = looked_at(stuck(known), case(visit(20, right), visit(90, right)), known)

    assert looked == Looked("ruled out", 20, 2)


def test_a_look_older_than_a_year_is_told_but_rules_nothing_out(known):
    looked = looked_at(stuck(known), case(visit(366, ("alarm-float-lift", "right"))), known)

    assert looked == Looked("old", 366)
    year = looked_at(stuck(known), case(visit(365, ("alarm-float-lift", "right"))), known)
    assert year.verdict == "ruled out"


def test_a_look_before_the_part_was_renewed_says_nothing_of_the_new_one(known):
    seen = visit(90, ("alarm-float-lift", "right"))
    renewed = visit(30, changed=("alarm-float",))

    assert looked_at(stuck(known), case(renewed, seen), known) == Looked("old", 90)


def test_a_look_whose_result_nobody_wrote_is_a_test_and_rules_nothing_out(known):
    looked = looked_at(stuck(known), case(visit(20, ("alarm-float-lift", None))), known)

    assert looked == Looked("tested", 20)


def test_what_speaks_directly_for_it_is_found_whatever_else_was_seen(known):
    cause = splice(known)
    check, results = next(
        (c, r) for c, r in known.direct[cause].items() if known.knowledge.checks[c].where != "phone"
    )
    looked = looked_at(cause, case(visit(20, (check, min(results)))), known)

    assert looked == Looked("found", 20)


def test_not_looked_at_today_is_no_look(known):
    looked = looked_at(stuck(known), case(found=[Found("alarm-float-lift", None)]), known)

    assert looked == Looked("never")
    now = looked_at(stuck(known), case(found=[Found("alarm-float-lift", "right")]), known)
    assert now == Looked("ruled out", 0, 1)


def test_every_cause_of_the_knowledge_has_an_answer_where_nothing_was_looked_at(known):
    for cause in known.knowledge.causes:
        assert looked_at(cause, case(), known) == Looked("never")
