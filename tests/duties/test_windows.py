from duty_cases import YEAR, closes, codes, day, done, opens, rule_of, shipped, states, terms, tried

from servicedesk.duties.closings import ClosedDays
from servicedesk.duties.terms import Counting
from servicedesk.duties.windows import matched_of, windows_of, windows_of_chain
from servicedesk.values.span import Span

NOON = day("2026-07-01")


def windows(contract, history=(), attempts=(), *, today="2026-07-01"):
    return windows_of(contract, done(*history), tried(*attempts), today=day(today))


def test_a_fixed_contract_cuts_its_year_into_equal_parts():
    found = windows(terms())
    assert opens(found) == ["2026-01-01", "2026-05-01", "2026-09-01"]
    assert closes(found) == ["2026-04-30", "2026-08-31", "2026-12-31"]
    assert [(w.year_no, w.ordinal) for w in found] == [(1, 1), (1, 2), (1, 3)]


def test_parts_of_a_year_that_twelve_months_do_not_share_are_cut_in_days():
    found = windows(terms(visits=5))
    # 365 days in five parts of 73
    assert closes(found) == ["2026-03-14", "2026-05-26", "2026-08-07", "2026-10-19", "2026-12-31"]


def test_the_states_of_a_window_over_its_life():
    alone = terms(visits=1, span=Span(day("2026-03-01"), day("2027-03-01")))
    two = terms()
    assert states(windows(alone, today="2026-02-28")) == ["not yet"]
    assert states(windows(alone, today="2026-03-01")) == ["open"]
    assert states(windows(two, today="2026-04-16"))[0] == "open"
    assert states(windows(two, today="2026-04-17"))[0] == "closing"
    assert states(windows(two, today="2026-04-30"))[0] == "closing"
    assert states(windows(two, today="2026-05-01"))[0] == "late"
    assert states(windows(two, today="2027-01-01")) == ["missed"] * 3
    assert states(windows(two, ["2026-04-30"]))[0] == "done"
    assert states(windows(two, ["2026-05-01"]))[0] == "done late"


def test_lateness_is_counted_in_days_after_the_last_day():
    assert [w.days_late for w in windows(terms(), today="2026-05-03")] == [3, 0, 0]
    assert [w.days_late for w in windows(terms(), ["2026-05-02"])] == [2, 0, 0]
    assert windows(terms(), today="2026-04-20")[0].days_left(day("2026-04-20")) == 10


def test_the_earliest_unfilled_window_is_filled_first():
    found = windows(terms(), ["2026-06-10", "2026-06-20"])
    assert [w.filled_by for w in found] == [1, 2, None]
    assert states(found)[:2] == ["done late", "done"]


def test_an_early_inspection_counts_within_the_tolerance_and_says_so():
    found = windows(terms(), ["2026-02-01", "2026-04-17"])
    assert [w.filled_by for w in found] == [1, 2, None]
    assert "early_within_tolerance" in codes(found[1])


def test_an_inspection_too_early_counts_for_none_and_says_from_when_it_would():
    found = matched_of(terms(), done("2026-02-01", "2026-04-16"), [], today=NOON)
    assert [w.filled_by for w in found.windows] == [1, None, None]
    ((job, why),) = found.counted_for_none
    assert (job, why.code, why["counts_from_on"]) == (2, "too_early", day("2026-04-17"))


def test_two_inspections_on_one_day_count_once():
    found = matched_of(terms(), done("2026-04-20", "2026-04-20"), [], today=NOON)
    assert [w.filled_by for w in found.windows] == [1, None, None]
    assert [job for job, _ in found.counted_for_none] == [2]


def test_a_locked_gate_fills_nothing_and_is_told_at_the_window():
    found = windows(terms(), ["2026-01-10"], ["2026-05-10", "2026-06-01"])
    assert states(found) == ["done", "open", "not yet"]
    assert found[1].attempts == (900, 901)
    assert found[1].why[-1]["n"] == 2
    assert found[1].why[-1]["last_on"] == day("2026-06-01")


def test_an_attempt_before_the_inspection_stays_with_the_window_it_was_made_for():
    found = windows(terms(), ["2026-03-05"], ["2026-02-20"])
    assert found[0].attempts == (900,)


def test_a_window_of_an_earlier_contract_year_is_missed_after_its_tolerance():
    long = terms(span=Span(day("2026-01-01"), day("2028-01-01")))
    history = ["2026-02-01", "2026-06-01"]
    on_14th = windows(long, [*history, "2027-01-14"], today="2027-01-20")
    assert states(on_14th)[2:4] == ["done late", "open"]
    on_15th = windows(long, [*history, "2027-01-15"], today="2027-01-20")
    assert states(on_15th)[2:4] == ["missed", "done"]


def test_the_longest_gap_of_the_contract_closes_a_window_early():
    found = windows(terms(longest_gap_months=4), ["2026-01-20"])
    assert closes(found) == ["2026-04-30", "2026-05-20", "2026-09-20"]
    assert codes(found[1]) == ["longest_gap"]
    assert found[1].why[0]["since_on"] == day("2026-01-20")


def test_rolling_windows_count_from_the_inspection_before():
    found = windows(terms(counting=Counting.ROLLING), ["2026-04-10"])
    assert closes(found) == ["2026-04-30", "2026-08-10", "2026-12-10"]
    # opens four weeks before its last day
    assert opens(found)[1] == "2026-07-13"


def test_a_rolling_contract_still_owes_its_visits_within_the_year():
    found = windows(terms(counting=Counting.ROLLING), ["2026-07-20"], today="2026-08-01")
    assert states(found)[0] == "done late"
    assert closes(found) == ["2026-04-30", "2026-11-20", "2026-12-31"]


def test_the_gap_runs_on_from_the_last_inspection_before_the_contract():
    rule = rule_of({"every_months": 4})
    found = windows(terms(rule=rule, last_before_on=day("2025-11-05")))
    assert closes(found)[0] == "2026-03-05"
    assert "rule_stricter" in codes(found[0])


def test_an_inspection_too_long_before_the_contract_binds_nobody():
    rule = rule_of({"every_months": 4})
    found = windows(terms(rule=rule, last_before_on=day("2025-05-05")))
    assert closes(found)[0] == "2026-04-30"


def test_a_contract_without_visits_owes_none():
    assert windows(terms(visits=0)) == ()


def test_a_rule_that_wants_more_than_the_contract_is_followed_and_named():
    found = windows(terms(visits=2, rule=shipped("tarrow-spray")))
    assert len(found) == 3
    assert all("rule_wants_more" in codes(w) for w in found)


def test_a_rule_that_wants_less_leaves_the_contract_the_stricter():
    found = windows(terms(visits=3, rule=rule_of({"every_months": 6})))
    assert closes(found) == ["2026-04-30", "2026-08-31", "2026-12-31"]
    assert codes(found[0]) == ["contract_stricter"]
    assert found[0].why[0]["rule_on"] == day("2026-06-30")


def test_a_rule_from_memory_is_never_a_silent_deadline():
    found = windows(terms(visits=1, rule=shipped("us-fl-atu")))
    assert len(found) == 2
    assert not any(w.confirmed for w in found)
    assert all("not_confirmed" in codes(w) for w in found)


def test_a_rule_from_memory_does_not_shake_what_the_contract_alone_says():
    memory = rule_of({"every_months": 6, "confirmed": False})
    found = windows(terms(visits=3, rule=memory))
    assert all(w.confirmed for w in found)
    assert all("not_confirmed" in codes(w) for w in found)


def test_a_winter_shortens_a_window_and_says_what_is_left():
    winter = ClosedDays(Span(day("2020-11-15"), day("2021-03-16")), every_year=True)
    first, second, third = windows(terms(closed=(winter,)))
    assert first.usable == (Span(day("2026-03-16"), day("2026-05-01")),)
    assert codes(first) == ["partly_closed"]
    assert codes(second) == []
    assert third.usable == (Span(day("2026-09-01"), day("2026-11-15")),)
    assert (third.opens_on, third.closes_on) == (day("2026-09-01"), day("2026-12-31"))


def test_a_window_wholly_in_a_closed_span_is_listed_with_what_the_rule_allows():
    away = ClosedDays(Span(day("2026-04-20"), day("2026-09-15")))
    _, second, _ = windows(terms(rule=rule_of({"every_months": 6}), closed=(away,)), ["2026-04-10"])
    assert second.usable == ()
    why = second.why[-1]
    assert why.code == "wholly_closed"
    # before it closes an early inspection would still count; after it the rule still holds
    assert (why["before_on"], why["before_counts"]) == (day("2026-04-19"), True)
    assert (why["after_on"], why["after_within_rule"]) == (day("2026-09-15"), True)


def test_an_open_ended_contract_is_followed_into_the_next_contract_year():
    found = windows(terms(span=Span(day("2024-02-29"))), today="2026-07-01")
    assert found[-1].opens_on > day("2027-01-01")
    assert found[0].opens_on == day("2024-02-29")


def test_a_renewed_contract_gets_the_inspection_that_the_old_one_did_not_need():
    first = terms()
    second = terms(span=Span(day("2027-01-01"), day("2028-01-01")))
    history = done("2026-02-01", "2026-06-01", "2026-10-01", "2026-12-20")
    old, new = windows_of_chain([first, second], history, [], today=day("2027-02-01"))
    assert [w.filled_by for w in old.windows] == [1, 2, 3]
    assert [w.filled_by for w in new.windows] == [4, None, None]


def test_an_unneeded_inspection_outside_the_tolerance_counts_for_neither_contract():
    first = terms()
    second = terms(span=Span(day("2027-01-01"), day("2028-01-01")))
    history = done("2026-02-01", "2026-06-01", "2026-10-01", "2026-12-10")
    old, new = windows_of_chain([first, second], history, [], today=day("2027-02-01"))
    assert [w.filled_by for w in new.windows] == [None, None, None]
    assert [job for job, _ in old.counted_for_none] == [4]


def test_contracts_come_back_in_the_order_in_which_they_were_given():
    later = terms(span=Span(day("2027-01-01"), day("2028-01-01")), visits=2)
    found = windows_of_chain([later, terms()], done("2026-02-01"), [], today=NOON)
    assert [len(one.windows) for one in found] == [2, 3]
    assert found[1].windows[0].filled_by == 1


def test_inspections_after_today_are_not_known_yet():
    assert states(windows(terms(), ["2026-07-02"], today="2026-07-01")) == [
        "late",
        "open",
        "not yet",
    ]


def test_a_contract_of_part_of_a_year_owes_only_what_begins_in_it():
    half = terms(span=Span(day("2026-01-01"), day("2026-07-01")))
    assert closes(windows(half)) == ["2026-04-30", "2026-06-30"]
    assert half.span.until_on < YEAR.until_on


def test_an_inspection_too_early_to_count_still_starts_the_gap_anew():
    rule = rule_of({"every_months": 4})
    found = windows(terms(rule=rule), ["2026-01-10", "2026-03-20"])
    assert [w.filled_by for w in found] == [1, None, None]
    # four months from March 20, not from January 10
    assert closes(found)[1] == "2026-07-20"


def test_an_attempt_is_told_in_one_contract_only():
    second = terms(span=Span(day("2027-01-01"), day("2028-01-01")))
    old, new = windows_of_chain([terms(), second], [], tried("2026-12-22"), today=day("2027-01-10"))
    named = [job for found in (old, new) for w in found.windows for job in w.attempts]
    assert named == [900]
    assert old.windows[0].attempts == (900,)


def test_the_last_inspection_of_a_renewed_contract_may_come_late_within_the_tolerance():
    second = terms(span=Span(day("2027-01-01"), day("2028-01-01")))
    history = ["2026-02-01", "2026-06-01"]
    late = done(*history, "2027-01-14")
    old, new = windows_of_chain([terms(), second], late, [], today=day("2027-02-01"))
    assert states(old.windows)[2] == "done late"
    assert new.windows[0].filled_by is None
    too_late = done(*history, "2027-01-15")
    old, new = windows_of_chain([terms(), second], too_late, [], today=day("2027-02-01"))
    assert states(old.windows)[2] == "missed"
    assert new.windows[0].filled_by == 3


def test_after_a_gap_nothing_counts_for_the_old_contract():
    second = terms(span=Span(day("2027-01-02"), day("2028-01-01")))
    history = done("2026-02-01", "2026-06-01", "2027-01-05")
    old, new = windows_of_chain([terms(), second], history, [], today=day("2027-02-01"))
    assert states(old.windows)[2] == "missed"
    assert new.windows[0].filled_by == 3


def test_the_visit_of_a_calendar_year_cannot_be_made_in_the_next():
    rule = rule_of({"times_a_year": 1})
    long = terms(visits=1, span=Span(day("2026-01-01"), day("2028-01-01")), rule=rule)
    found = windows(long, ["2027-01-03"], today="2027-01-10")
    assert states(found) == ["missed", "done"]
