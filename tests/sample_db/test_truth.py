"""What the truth file says is in the rows, for several seeds and days."""

from collections import Counter
from datetime import timedelta

import pytest

from servicedesk.trade.readings import catalogue
from tests.sample_db.made import CASES, by_id, small

EVERY = pytest.mark.parametrize(("seed", "today"), CASES)


@EVERY
def test_seeded_sites_call_again_and_the_guilty_part_is_never_looked_at(seed, today):
    rows, truth, _ = small(seed, today)
    calls = by_id(rows["call"])
    assert 6 <= len(truth.recurring) <= 30
    jobs = {}
    for job in rows["job"]:
        jobs.setdefault(job["system_id"], []).append(job)
    for seeded in truth.recurring:
        assert len(seeded["call_ids"]) >= 2, seeded["address"]
        assert all(calls[i]["system_id"] == seeded["system_id"] for i in seeded["call_ids"])
        never = set(seeded["never"])
        looked = [f["check_id"] for f in rows["finding"] if f["system_id"] == seeded["system_id"]]
        assert looked
        assert not never & set(looked)
        mine = jobs[seeded["system_id"]]
        assert not never & {check for job in mine for check in job["checks_done"]}
        ids = {job["id"] for job in mine}
        grades = {
            r["grade"]
            for r in rows["item_result"]
            if r["job_id"] in ids and r["item_id"] in seeded["never_items"]
        }
        assert grades <= {"not looked at"}


@EVERY
def test_no_answer_of_an_inspection_list_speaks_of_the_guilty_part(seed, today):
    """Through the catalogue of inspection items, as the program reads a grade."""
    rows, truth, _ = small(seed, today)
    never_of = {r["system_id"]: set(r["never"]) for r in truth.recurring}
    system_of = {j["id"]: j["system_id"] for j in rows["job"] if j["system_id"] in never_of}
    seen = 0
    for result in rows["item_result"]:
        system = system_of.get(result["job_id"])
        if system is None or result["grade"] == "not looked at":
            continue
        item = catalogue().item(result["item_id"])
        spoken = [set(a.results) for a in item.answers if a.grade == result["grade"]]
        assert not any(checks & never_of[system] for checks in spoken)
        seen += 1
    assert seen > 50


@EVERY
def test_every_item_and_number_is_in_the_catalogue(seed, today):
    rows, _, _ = small(seed, today)
    assert all(catalogue().item(i) for i in {r["item_id"] for r in rows["item_result"]})
    for name, unit in {(r["item_id"], r["unit"]) for r in rows["reading"]}:
        assert unit in catalogue().number(name).units


@EVERY
def test_visits_to_a_seeded_trouble_ended_without_its_cause(seed, today):
    rows, truth, _ = small(seed, today)
    for seeded in truth.recurring:
        after = [j for j in rows["job"] if j["call_id"] in set(seeded["call_ids"])]
        assert after
        assert not any(j["cause_id"] == seeded["cause"] for j in after)


@EVERY
def test_the_pictured_site_calls_today_for_the_fourth_time(seed, today):
    rows, truth, _ = small(seed, today)
    star = next(r for r in truth.recurring if r["address"] == "118 Dry Hollow Lane")
    calls = by_id(rows["call"])
    assert len(star["call_ids"]) >= 4
    assert calls[star["call_ids"][-1]]["state"] == "open"
    assert star["cause"] == "splice-shorted-alarm"


def _rate(rows, truth, is_in, component, today):
    """Failures per unit-year inside and outside a group of units, over the years recorded."""
    begin = today - timedelta(days=6 * 365)
    failed = Counter(f["unit_id"] for f in truth.failures)
    found = {True: [0, 0.0], False: [0, 0.0]}
    for unit in rows["unit"]:
        if unit["component"] == component:
            start = max(unit["installed_on"], begin)
            days = ((unit["removed_on"] or today) - start).days
            side = found[is_in(unit)]
            side[0] += failed[unit["id"]]
            side[1] += max(0, days) / 365
    return found[True][0] / found[True][1], found[False][0] / found[False][1]


def test_the_bad_model_fails_far_more_than_its_peers_over_all_seeds():
    inside, outside = [], []
    for seed, today in CASES:
        rows, truth, _ = small(seed, today)
        model = truth.model["model_id"]
        a, b = _rate(rows, truth, lambda u, m=model: u["model_id"] == m, "air-compressor", today)
        inside.append(a)
        outside.append(b)
    assert sum(inside) > 1.8 * sum(outside)


def test_the_bad_practice_fails_far_more_than_other_joints_over_all_seeds():
    inside, outside = [], []
    for seed, today in CASES:
        rows, truth, _ = small(seed, today)
        bad = set(truth.practice["unit_ids"])
        a, b = _rate(rows, truth, lambda u, ids=bad: u["id"] in ids, "splices-box", today)
        inside.append(a)
        outside.append(b)
    assert sum(inside) > 2.5 * sum(outside)


@EVERY
def test_the_day_has_calls_owed_work_reports_unsent_and_parts_short(seed, today):
    rows, truth, _ = small(seed, today)
    states = Counter(o["state"] for o in rows["owed"])
    assert states["open"] >= 6
    assert states["settled"] > 50
    assert states["declined"] >= 1
    waiting = [o for o in rows["owed"] if o["state"] == "open" and o["waits_for"] == "approval"]
    assert any(o["estimate_sent_on"] and not o["answer"] for o in waiting)
    assert 4 <= sum(c["state"] == "open" for c in rows["call"]) <= 20
    papers = {p["job_id"] for p in rows["paper_sent"]}
    assert truth.unsent_job_ids
    assert not papers & set(truth.unsent_job_ids)
    locked = [by_id(rows["job"])[i] for i in truth.locked_gate_job_ids]
    assert locked
    assert all(j["could_not"] == "no access" and j["outcome"] == "could not" for j in locked)
    parts = by_id(rows["part"])
    shelf = Counter()
    for move in rows["stock_move"]:
        shelf[move["part_id"], move["to_place_id"]] += move["quantity"]
        shelf[move["part_id"], move["from_place_id"]] -= move["quantity"]
    assert truth.short_part_ids
    assert all(shelf[i, 1] < parts[i]["reorder_at"] for i in truth.short_part_ids)


@EVERY
def test_the_other_things_an_office_meets_are_there(seed, today):
    rows, truth, _ = small(seed, today)
    site_of = Counter(s["site_id"] for s in rows["system"])
    assert max(site_of.values()) == 2
    placed = [s for s in rows["site"] if s["lat_deg"] is None or s["position_source"] == "guessed"]
    assert 0.01 < len(placed) / len(rows["site"]) < 0.06
    assert any(r["until_on"] for r in rows["site_role"])
    assert any(c["kind_of"] == "organization" for c in rows["customer"])
    assert any(c["is_first_policy"] for c in rows["contract"])
    assert {"fixed", "rolling"} == {c["counting"] for c in rows["contract"]}
    assert any(c["stage"] == "draft" for c in rows["contract"])
    assert any(s["on_hold"] for s in rows["site"])
    assert any(u["predecessor_id"] for u in rows["unit"])
    soon = today + timedelta(days=60)
    assert any(today <= r["valid_until"] <= soon for r in rows["technician_license"])
    planned = [v for v in rows["visit"] if v["state"] == "planned"]
    assert 5 <= len(planned) <= 20
    assert any(v["told"] and v["promise_from_min"] for v in planned)
    assert any(v["held"] and v["round_id"] for v in planned)
    storm = [c for c in rows["call"] if c["event_id"] == truth.storm["event_id"]]
    assert len(storm) == truth.storm["calls"] >= 6
    for table in ("site_secret", "closed_span", "wire_note", "site_key", "on_call", "day_off"):
        assert rows[table], table
