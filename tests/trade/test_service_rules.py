from datetime import date
from decimal import Decimal

import pytest

from servicedesk.trade.knowledge import KnowledgeFault, parsed_yaml
from servicedesk.trade.rule_shapes import (
    AsPermit,
    DutyKind,
    EveryMonths,
    FirstYears,
    MonthDay,
    PerYear,
)
from servicedesk.trade.service_rules import rule_for, rule_from, rules_from, shipped_rules

SPRAY = {
    "id": "own-1",
    "authority": "Own",
    "jurisdiction": "our own rule",
    "applies_to": "every spray system",
    "kind": "service",
    "versions": [{"source": "our contract", "seen": True, "visits": {"every_months": 4}}],
}


def spray(**changes):
    version = SPRAY["versions"][0] | changes
    return SPRAY | {"versions": [version]}


def fault_of(mapping):
    with pytest.raises(KnowledgeFault) as caught:
        rule_from(mapping, file="own.yaml")
    return caught.value


def test_all_five_shapes_occur_among_the_invented_rules():
    shapes = {type(v[-1].visits) for k, v in shipped_rules().items() if k.startswith("tarrow")}
    assert shapes == {EveryMonths, PerYear, AsPermit, FirstYears}
    assert rule_for(
        shipped_rules(), "tarrow-trench", on=date(2026, 1, 1)
    ).visits.report_by == MonthDay(7, 1)
    assert rule_for(shipped_rules(), "tarrow-drip", on=date(2026, 1, 1)).visits.apart_months == 4


def test_rules_of_places_that_do_not_exist_are_marked_and_no_others():
    for rule_id, versions in shipped_rules().items():
        assert all(v.invented == rule_id.startswith("tarrow") for v in versions), rule_id
        assert all(("invented" in v.jurisdiction) == v.invented for v in versions), rule_id


def test_every_rule_says_where_it_was_read_and_sends_people_to_the_authority():
    for versions in shipped_rules().values():
        for version in versions:
            assert version.source
            assert version.check_reason.code == "check_with_authority"
            assert version.check_reason["source"] == version.source


def test_a_day_gets_the_wording_that_held_then():
    rules = shipped_rules()
    before = rule_for(rules, "tarrow-spray", on=date(2022, 6, 30))
    after = rule_for(rules, "tarrow-spray", on=date(2022, 7, 1))
    assert [d.within.n for d in before.duties_of(DutyKind.REPORT)] == [14]
    assert [d.within.n for d in after.duties_of(DutyKind.REPORT)] == [30]


def test_before_the_oldest_wording_known_nothing_is_confirmed():
    oldest = rule_for(shipped_rules(), "tarrow-spray", on=date(2011, 12, 31))
    assert oldest.older_text_unknown
    assert not oldest.confirmed


def test_an_unknown_rule_is_no_rule():
    assert rule_for(shipped_rules(), "no-such-rule", on=date(2026, 1, 1)) is None


def test_one_of_two_tests_is_enough_where_the_rule_says_so():
    chlorine, coliform, *_ = rule_for(shipped_rules(), "tarrow-spray", on=date(2026, 1, 1)).sampling
    assert chlorine.or_else == coliform.what
    assert chlorine.is_met_by(Decimal("0.1")) is True
    assert chlorine.is_met_by(Decimal("0.09")) is False
    assert coliform.is_met_by(Decimal(200)) is True
    assert coliform.is_met_by(Decimal(201)) is False


def test_a_limit_that_is_not_printed_is_neither_met_nor_missed():
    illinois = shipped_rules()["us-il-county-1"][0]
    assert illinois.sampling[0].is_met_by(Decimal(1)) is None


def test_the_company_writes_its_own_rule_in_the_same_form():
    (rule,) = rule_from(SPRAY, file="own.yaml")
    assert rule.visits == EveryMonths(4)
    assert rule.own
    assert rule.confirmed


@pytest.mark.parametrize(
    ("changes", "key", "code"),
    [
        ({"visits": {"every_months": 0}}, "versions.0.visits.every_months", "out_of_range"),
        (
            {"visits": {"every_months": "four"}},
            "versions.0.visits.every_months",
            "not_a_whole_number",
        ),
        (
            {"visits": {"every_months": True}},
            "versions.0.visits.every_months",
            "not_a_whole_number",
        ),
        ({"visits": {}}, "versions.0.visits.visits", "not_one_shape"),
        (
            {"visits": {"every_months": 4, "times_a_year": 3}},
            "versions.0.visits.visits",
            "not_one_shape",
        ),
        (
            {"visits": {"times_a_year": 4, "apart_months": 4}},
            "versions.0.visits.apart_months",
            "does_not_fit_a_year",
        ),
        (
            {"visits": {"times_a_year": 2, "report_by": "07-01"}},
            "versions.0.visits.report_by",
            "only_with_one_visit",
        ),
        (
            {"visits": {"times_a_year": 1, "report_by": "July 1"}},
            "versions.0.visits.report_by",
            "not_a_month_and_day",
        ),
        (
            {"visits": {"times_a_year": 1, "report_by": "02-30"}},
            "versions.0.visits.report_by",
            "not_a_month_and_day",
        ),
        ({"visits": {"every_month": 4}}, "versions.0.visits.visits", "not_one_shape"),
        ({"source": ""}, "versions.0.source", "not_a_text"),
        ({"sauce": "x"}, "versions.0.sauce", "unknown_key"),
        ({"valid_from": "soon"}, "versions.0.valid_from", "not_a_day"),
        (
            {"duties": [{"kind": "rapport", "within": {"days": 3}}]},
            "versions.0.duties.0.kind",
            "not_one_of",
        ),
        (
            {"duties": [{"kind": "report", "within": {"days": 3, "hours": 4}}]},
            "versions.0.duties.0.within.within",
            "not_one_form",
        ),
        ({"duties": {"kind": "report"}}, "versions.0.duties", "not_a_list"),
        (
            {"sampling": [{"what": "a", "every": "b", "or_else": "c"}]},
            "versions.0.sampling.0.or_else",
            "no_such_test",
        ),
        (
            {"sampling": [{"what": "a", "every": "b", "low": 2, "high": 1}]},
            "versions.0.sampling.0.low",
            "above_high",
        ),
    ],
)
def test_a_rule_that_cannot_be_meant_names_file_key_and_what_is_wrong(changes, key, code):
    fault = fault_of(spray(**changes))
    assert (fault.file, fault.key, fault.reason.code) == ("own.yaml", key, code)


def test_versions_must_stand_in_date_order():
    one = SPRAY["versions"][0]
    late, soon = one | {"valid_from": date(2026, 1, 1)}, one | {"valid_from": date(2025, 1, 1)}
    assert fault_of(SPRAY | {"versions": [late, soon]}).reason.code == "not_in_date_order"
    assert fault_of(SPRAY | {"versions": []}).reason.code == "none_given"


def test_an_id_stands_once_in_a_file():
    rules = [{k: v for k, v in SPRAY.items() if k != "authority"}] * 2
    with pytest.raises(KnowledgeFault) as caught:
        rules_from({"authority": "Own", "rules": rules}, file="own.yaml")
    assert caught.value.reason.code == "twice"


def test_a_text_that_is_no_yaml_names_its_line():
    with pytest.raises(KnowledgeFault) as caught:
        parsed_yaml("rules:\n  - id: [", file="own.yaml")
    assert caught.value.file == "own.yaml"
    assert caught.value.reason.code == "not_yaml"
    assert caught.value.reason["line"] >= 2
