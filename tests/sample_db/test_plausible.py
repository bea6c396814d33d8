"""The history could have happened."""

import itertools
from collections import Counter, defaultdict
from datetime import timedelta

import pytest

from servicedesk.duties.terms import Counting, DoneInspection, Terms, WindowState
from servicedesk.duties.windows import windows_of_chain
from servicedesk.trade.service_rules import shipped_rules
from servicedesk.values.span import Span
from tests.sample_db.made import CASES, by_id, small

EVERY = pytest.mark.parametrize(("seed", "today"), CASES)


def _done(rows):
    return [v for v in rows["visit"] if v["state"] == "done"]


@EVERY
def test_nobody_works_on_holidays_or_weekends_or_days_off_or_in_the_future(seed, today):
    rows, _, _ = small(seed, today)
    holidays = {h["day"] for h in rows["holiday"]}
    off = defaultdict(list)
    for row in rows["day_off"]:
        off[row["technician_id"]].append((row["from_on"], row["until_on"]))
    for visit in rows["visit"]:
        day = visit["planned_on"]
        assert day.weekday() < 5
        assert day not in holidays
        assert (day < today) == (visit["state"] == "done")
        assert not any(a <= day < b for a, b in off[visit["technician_id"]])


@EVERY
def test_no_technician_is_in_two_places_at_once(seed, today):
    rows, _, _ = small(seed, today)
    stays = defaultdict(list)
    for visit in _done(rows):
        stays[visit["technician_id"]].append((visit["arrived_at"], visit["left_at"]))
    assert len(stays) == 3
    for spans in stays.values():
        spans.sort()
        assert all(a < b for a, b in spans)
        gaps = [later[0] - earlier[1] for earlier, later in itertools.pairwise(spans)]
        assert min(gaps) >= timedelta(minutes=2)


@EVERY
def test_a_round_has_at_most_ten_stops_and_ends_before_supper(seed, today):
    rows, _, _ = small(seed, today)
    stops = Counter(v["round_id"] for v in _done(rows))
    for row in rows["round"]:
        if row["state"] == "done":
            assert 1 <= stops[row["id"]] <= 10
            assert row["home_min"] <= 18 * 60 + 40


@EVERY
def test_a_full_contract_year_has_about_the_inspections_it_promises(seed, today):
    rows, _, _ = small(seed, today)
    done = Counter()
    day_of = {v["id"]: v["planned_on"] for v in rows["visit"]}
    for job in rows["job"]:
        if job["kind_of"] == "inspection" and job["outcome"] == "done":
            done[job["system_id"]] += 1
            assert job["window_from"] - timedelta(days=40) <= day_of[job["visit_id"]]
    covered = defaultdict(float)
    contracts = by_id(rows["contract"])
    for pair in rows["contract_system"]:
        contract = contracts[pair["contract_id"]]
        end = min(contract["ended_on"] or today, contract["until_on"], today)
        years = max(0, (end - contract["from_on"]).days) / 365
        covered[pair["system_id"]] += years * contract["visits_a_year"]
    shares = [done[i] / owed for i, owed in covered.items() if owed > 5]
    assert 0.95 < sum(shares) / len(shares) < 1.1
    assert all(0.6 < share < 1.5 for share in shares)


@EVERY
def test_calls_are_as_rare_as_in_a_fleet_that_is_looked_after(seed, today):
    rows, _, _ = small(seed, today)
    years = sum(
        (min(c["ended_on"] or today, c["until_on"], today) - c["from_on"]).days / 365
        for c in rows["contract"]
        if c["stage"] == "running"
    )
    assert 0.25 < len(rows["call"]) / years < 0.65


@EVERY
def test_calls_are_answered_after_they_came_and_mostly_in_time(seed, today):
    rows, _, _ = small(seed, today)
    answered = [c for c in rows["call"] if c["state"] == "answered"]
    assert all(c["called_at"] < c["answered_at"] for c in answered if not c["event_id"])
    kept = sum(c["answered_at"] <= c["promised_by_at"] for c in answered)
    assert kept / len(answered) > 0.7
    ordered = [c for c in rows["call"] if c["state"] == "open"]
    assert all(c["answered_at"] is None for c in ordered)


@EVERY
def test_no_stock_goes_below_zero_and_every_use_names_its_visit(seed, today):
    rows, _, _ = small(seed, today)
    stock = Counter()
    for move in sorted(rows["stock_move"], key=lambda m: (m["moved_on"], m["id"])):
        stock[move["part_id"], move["to_place_id"]] += move["quantity"]
        stock[move["part_id"], move["from_place_id"]] -= move["quantity"]
        place = move["from_place_id"]
        assert place is None or stock[move["part_id"], place] >= 0
        assert move["quantity"] > 0
        assert (move["why"] == "used") == (move["visit_id"] is not None)


@EVERY
def test_a_summer_house_is_not_visited_in_its_closed_winter(seed, today):
    rows, _, _ = small(seed, today)
    closed = {c["site_id"] for c in rows["closed_span"]}
    inspected = {
        j["visit_id"] for j in rows["job"] if j["kind_of"] == "inspection" and j["outcome"]
    }
    for visit in _done(rows):
        if visit["site_id"] in closed and visit["id"] in inspected:
            day = visit["planned_on"]
            assert (3, 1) <= (day.month, day.day) < (12, 15)


@EVERY
def test_a_replaced_unit_and_its_successor_meet_on_one_day(seed, today):
    rows, _, _ = small(seed, today)
    units = by_id(rows["unit"])
    for unit in rows["unit"]:
        if unit["predecessor_id"]:
            old = units[unit["predecessor_id"]]
            assert old["removed_on"] == unit["installed_on"]
            assert old["state"] == "removed"
            assert (old["system_id"], old["component"]) == (unit["system_id"], unit["component"])


def _windows(rows, today):
    """Every window of every system by the program's own counting."""
    rules = shipped_rules()
    days = {v["id"]: v["planned_on"] for v in rows["visit"]}
    done = defaultdict(list)
    for job in rows["job"]:
        if job["kind_of"] == "inspection" and job["outcome"] == "done":
            one = DoneInspection(days[job["visit_id"]], job["id"])
            done[job["system_id"]].append(one)
    contracts, of_system = by_id(rows["contract"]), defaultdict(list)
    for pair in rows["contract_system"]:
        of_system[pair["system_id"]].append(contracts[pair["contract_id"]])
    for system in rows["system"]:
        terms = [
            Terms(
                span=Span(c["from_on"], c["ended_on"] or c["until_on"]),
                visits_a_year=c["visits_a_year"],
                counting=Counting(c["counting"]),
                longest_gap_months=c["longest_gap_months"],
                rule=rules[system["rule_id"]][-1],
            )
            for c in of_system[system["id"]]
            if c["stage"] == "running"
        ]
        for matched in windows_of_chain(terms, done[system["id"]], [], today=today):
            yield from ((system["id"], window) for window in matched.windows)


@EVERY
def test_by_contract_and_rule_nearly_all_inspections_came_in_time_and_some_are_due(seed, today):
    rows, _, _ = small(seed, today)
    windows = list(_windows(rows, today))
    states = Counter(window.state for _, window in windows)
    past = states[WindowState.DONE] + states[WindowState.DONE_LATE] + states[WindowState.MISSED]
    assert states[WindowState.DONE] / past > 0.93
    assert 1 <= states[WindowState.LATE] <= 20
    closing = [w for _, w in windows if w.state is WindowState.CLOSING and w.days_left(today) < 7]
    assert 1 <= len(closing) <= 60
    assert states[WindowState.OPEN] > 40
