"""One worked year for each of the five shapes a visit rule can have.

The expected days were written down from the text of the rule before the program was asked.
"""

from duty_cases import closes, codes, day, done, opens, rule_of, shipped, states, terms

from servicedesk.duties.terms import Counting
from servicedesk.duties.windows import matched_of, windows_of
from servicedesk.trade.rule_shapes import EveryMonths
from servicedesk.values.span import Span


def on(contract, history, today):
    return windows_of(contract, done(*history), [], today=day(today))


def test_shape_1_every_four_months_at_most():
    # contract from the 31st of October, so that short months matter
    contract = terms(
        span=Span(day("2026-10-31"), day("2027-10-31")),
        counting=Counting.ROLLING,
        rule=rule_of({"every_months": 4}),
    )
    # nothing done: four months from the start end on the day before the 28th, 30th and 31st
    assert closes(on(contract, [], "2026-11-01")) == ["2027-02-27", "2027-06-29", "2027-10-30"]
    # first one done February 20: by June 20; that one late, on July 1: by November 1, and by the
    # contract before it ends
    assert closes(on(contract, ["2027-02-20"], "2027-02-21"))[1] == "2027-06-20"
    late = on(contract, ["2027-02-20", "2027-07-01"], "2027-07-02")
    assert states(late) == ["done", "done late", "not yet"]
    assert late[1].days_late == 11
    assert closes(late)[2] == "2027-10-30"


def test_shape_1_with_fixed_parts_the_rule_is_the_stricter_after_an_early_visit():
    contract = terms(rule=shipped("us-tx-secondary", on=day("2026-01-01")))
    found = on(contract, ["2026-01-15", "2026-05-10"], "2026-06-01")
    # 30 TAC 285.91(4): May 15 and September 10, though the parts end August 31 and December 31
    assert closes(found) == ["2026-04-30", "2026-05-15", "2026-09-10"]
    assert codes(found[2]) == ["rule_stricter"]
    assert found[2].why[0]["contract_on"] == day("2026-12-31")


def test_shape_2_two_in_a_calendar_year_at_least_four_months_apart():
    contract = terms(visits=2, rule=shipped("us-il-county-2", on=day("2026-01-01")))
    found = matched_of(contract, done("2026-03-10", "2026-06-20"), [], today=day("2026-07-01"))
    assert [w.filled_by for w in found.windows] == [1, None]
    assert opens(found.windows)[1] == "2026-07-10"
    assert closes(found.windows)[1] == "2026-12-31"
    filled = on(contract, ["2026-03-10", "2026-07-10"], "2026-08-01")
    assert states(filled) == ["done", "done"]


def test_shape_2_binds_a_contract_that_runs_across_the_new_year():
    contract = terms(
        span=Span(day("2026-04-01"), day("2027-04-01")),
        visits=2,
        rule=rule_of({"times_a_year": 2, "apart_months": 4}),
    )
    found = on(contract, [], "2026-04-01")
    # both begin in 2026: the first leaves four months for the second, which ends with the year
    assert closes(found) == ["2026-08-31", "2026-12-31"]
    assert codes(found[0]) == ["rule_stricter"]


def test_shape_3_once_a_calendar_year_with_the_report_by_a_fixed_date():
    contract = terms(
        span=Span(day("2026-10-01"), day("2027-10-01")),
        visits=1,
        rule=shipped("us-va-county-1", on=day("2026-10-01")),
    )
    (window,) = on(contract, [], "2026-11-01")
    # the report of 2027 is on file by July 1, 2027; a visit in 2026 is one of 2026
    assert (window.opens_on, window.closes_on) == (day("2027-01-01"), day("2027-07-01"))
    assert states(on(contract, ["2026-11-15"], "2027-03-01")) == ["open"]
    assert states(on(contract, ["2027-03-15"], "2027-04-01")) == ["done"]
    assert states(on(contract, ["2027-07-02"], "2027-07-03")) == ["done late"]


def test_shape_4_as_the_permit_says():
    rule = shipped("us-tx-nonstandard", on=day("2026-01-01"))
    unknown = on(terms(visits=2, rule=rule), [], "2026-01-01")
    assert closes(unknown) == ["2026-06-30", "2026-12-31"]
    assert codes(unknown[0]) == ["ask_permit"]
    known = on(terms(visits=2, rule=rule, permit_visits=EveryMonths(3)), [], "2026-01-01")
    assert closes(known) == ["2026-03-31", "2026-06-30", "2026-09-30", "2026-12-31"]
    assert codes(known[0]) == ["as_permit", "rule_wants_more"]


def test_shape_5_another_rule_in_the_first_years():
    rule = rule_of({"first_years": 2, "first": {"every_months": 3}, "after": {"every_months": 6}})
    contract = terms(
        span=Span(day("2025-03-01"), day("2028-03-01")),
        visits=2,
        rule=rule,
        first_use_on=day("2025-03-01"),
    )
    found = on(contract, [], "2025-03-01")
    by_year = [[w.closes_on for w in found if w.year_no == year] for year in (1, 2, 3)]
    assert [len(days) for days in by_year] == [4, 4, 2]
    assert by_year[2] == [day("2027-08-31"), day("2028-02-29")]
    assert "first_years" in codes(found[0])
    assert "after_first_years" in codes(found[8])


def test_shape_5_without_a_first_use_keeps_to_the_first_years_and_says_so():
    rule = rule_of({"first_years": 2, "first": {"every_months": 3}, "after": {"every_months": 6}})
    found = on(terms(visits=2, rule=rule), [], "2026-01-01")
    assert len(found) == 4
    assert "first_use_not_known" in codes(found[0])


def test_after_first_years_without_a_later_rule_the_contract_stands_alone():
    contract = terms(
        visits=1,
        rule=shipped("us-ok-first-two-years", on=day("2026-01-01")),
        first_use_on=day("2020-01-01"),
    )
    (window,) = on(contract, [], "2026-02-01")
    assert window.closes_on == day("2026-12-31")
    assert codes(window) == ["after_first_years"]
