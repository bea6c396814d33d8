"""The form of an own service rule: what it shows is what it writes; what it does not know stays."""

from datetime import date

import pytest

from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.rule_form import new_rule, rule_values, write_rule
from servicedesk.desk.rules import own_rules, rules_of, write_own_rules
from servicedesk.trade.rule_shapes import DutyKind, PerYear
from servicedesk.values.trouble import Trouble
from tests.desk.test_rules import BRISK, a_rule

FILLED = {
    **new_rule(), "authority": BRISK, "jurisdiction": "", "applies_to": "drip", "source": "order 9",
    "seen": True, "valid_from": date(2026, 6, 1), "how": "times_a_year", "times": 2,
    "apart_months": 4, "report_days": 15, "report_to": ("owner",), "copy_days": 30,
    "response_hours": 24, "initial_years": 2,
}  # fmt: skip


def test_what_the_form_brings_is_in_force_and_stands_in_the_form_again(file_desk):
    write_rule(file_desk, FILLED)
    (own,) = own_rules(file_desk)
    (rule,) = rules_of(file_desk)[own.rule_id]

    assert (rule.visits, rule.response_h, rule.confirmed) == (PerYear(2, 4), 24, True)
    (copy,) = rule.duties_of(DutyKind.CONTRACT_COPY)
    assert (copy.within.n, copy.within.before) == (30, True)
    assert rule_values(own) == {**FILLED, "jurisdiction": BRISK}
    write_rule(file_desk, {**FILLED, "how": "as_permit", "times": None, "apart_months": None})
    assert len(own_rules(file_desk)) == 2


def test_what_no_field_shows_stays(file_desk):
    failure = {"kind": "failure", "within": {"hours": 48}, "to": ["county"]}
    years = {"first_years": 2, "first": {"every_months": 3}, "after": {"every_months": 6}}
    body = a_rule(visits=years)
    body["versions"][0]["duties"].append(failure)
    body["versions"].append({**body["versions"][0], "valid_from": date(2026, 1, 1)})
    write_own_rules(file_desk, {BRISK: [body]})
    (own,) = own_rules(file_desk)
    write_rule(file_desk, {**rule_values(own), "report_days": 9}, before=own)

    old, new = rules_of(file_desk)["brisk-spray"]
    assert [d.within.n for d in old.duties] == [21, 48]
    assert [d.within.n for d in new.duties] == [9, 48]
    assert new.visits == old.visits
    with pytest.raises(Trouble, match="Somebody else wrote"):
        write_rule(file_desk, rule_values(own), before=own)


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"source": " "}, "source"),
        ({"times": None}, "times"),
        ({"times": 4}, "apart_months"),
        ({"response_hours": 0}, "response_hours"),
    ],
)
def test_an_entry_that_cannot_be_meant_is_told_at_its_field(file_desk, values, field):
    with pytest.raises(WrongEntry) as refused:
        write_rule(file_desk, {**FILLED, **values})

    assert [one.field for one in refused.value.wrong] == [field]
    assert own_rules(file_desk) == ()
