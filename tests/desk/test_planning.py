"""The rounds of a day: planned, moved by hand, held, handed out, taken back."""

from datetime import date, timedelta

import pytest

from servicedesk.desk.at_once import moved_at_once, without
from servicedesk.desk.planning import (
    day_case,
    free,
    hand_out,
    hold,
    move_stop,
    places_for_stop,
    plan_rounds,
    proposed,
    take_back,
    take_out,
    take_plan,
)
from servicedesk.desk.rounds_page import offers, rounds_page, split_address, why_no_place
from servicedesk.records.company import DayOff, Holiday
from servicedesk.records.errors import StaleEdit
from servicedesk.records.rounds import Round
from servicedesk.records.undo import undo_change
from servicedesk.records.visits import Visit
from servicedesk.routes import keep
from servicedesk.routes.day import retimed
from servicedesk.values.trouble import Trouble
from tests.builders import (
    TODAY,
    a_call,
    a_contract,
    a_done_visit,
    a_round,
    a_site,
    a_technician,
    a_visit,
    something_owed,
)
from tests.records.snapshot import snapshot

THURSDAY = TODAY + timedelta(days=1)


def spread_sites(desk, n=5):
    """Sites a few kilometers apart around the office at 30 N, 94 W."""
    places = ((0.02, 0.0), (0.0, 0.03), (-0.03, 0.01), (0.01, -0.04), (0.04, 0.04), (-0.02, -0.02))
    return [
        a_site(desk, f"{10 + n} Quarry Spur", owner=f"Owner {n}",
               lat_deg=30.0 + places[n][0], lon_deg=-94.0 + places[n][1])
        for n in range(n)
    ]  # fmt: skip


@pytest.fixture
def planned(desk):
    """Two technicians and five visits on Thursday, planned."""
    a_technician(desk, "Lena Hobb")
    a_technician(desk, "Tobin Ashe")
    for site in spread_sites(desk):
        a_visit(desk, site, planned_on=THURSDAY)
    plan_rounds(desk, THURSDAY)
    return desk


def written_orders(desk, day=THURSDAY):
    return day_case(desk, day).stand.orders


def test_every_visit_of_the_day_gets_a_place_with_its_times(planned):
    case = day_case(planned, THURSDAY)
    assert len(case.stand.crew_id_of) == 5
    for day in case.stand.days:
        for n, stop in enumerate(day.stops, start=1):
            visit = case.wanted[stop.stop_id].visit
            assert (visit.place, visit.arrive_min, visit.begin_min) == (
                n, stop.arrival_min, stop.begin_min,
            )  # fmt: skip


def test_a_day_planned_twice_is_left_alone(planned):
    before = snapshot(planned.store)
    assert plan_rounds(planned, THURSDAY) is None
    assert snapshot(planned.store) == before


def test_taking_the_same_plan_again_changes_nothing(planned):
    before = snapshot(planned.store)
    case = day_case(planned, THURSDAY)
    take_plan(planned, case, case.stand, what="Planned")
    after = snapshot(planned.store)  # but for who made the plan: the hand now
    assert {k: v for k, v in after.items() if k != "round"} == {
        k: v for k, v in before.items() if k != "round"
    }


def test_undo_of_a_planned_day_gives_everything_as_before(desk):
    a_technician(desk)
    for site in spread_sites(desk, 3):
        a_visit(desk, site, planned_on=THURSDAY)
    before = snapshot(desk.store)
    changed = plan_rounds(desk, THURSDAY)
    assert snapshot(desk.store) != before
    undo_change(desk.store, changed.change_id, who=desk.who)
    assert snapshot(desk.store) == before


def test_a_stop_moved_by_hand_is_written_where_it_was_put(planned):
    case = day_case(planned, THURSDAY)
    lena, tobin = sorted(case.technicians)
    stop_id = case.stand.day_of[lena].order[0] if case.stand.day_of[lena].stops else None
    source, target = (lena, tobin) if stop_id else (tobin, lena)
    stop_id = case.stand.day_of[source].order[0]
    move_stop(planned, case, stop_id, to_crew=target, position=0)
    assert written_orders(planned)[target][0] == stop_id
    assert stop_id not in written_orders(planned)[source]


def test_undo_of_a_move_puts_the_stop_back(planned):
    case = day_case(planned, THURSDAY)
    crew = next(day.crew_id for day in case.stand.days if len(day.stops) > 1)
    before, orders = snapshot(planned.store), written_orders(planned)
    changed = move_stop(planned, case, orders[crew][0], to_crew=crew, position=1)
    assert written_orders(planned) != orders
    undo_change(planned.store, changed.change_id, who=planned.who)
    assert snapshot(planned.store) == before


def test_a_move_on_a_day_another_seat_has_changed_is_refused(planned):
    seen = day_case(planned, THURSDAY)
    crew = next(day.crew_id for day in seen.stand.days if len(day.stops) > 1)
    stop_id = seen.stand.day_of[crew].order[0]
    move_stop(planned.seated("Otto"), seen, stop_id, to_crew=crew, position=1)
    before = snapshot(planned.store)
    with pytest.raises(StaleEdit) as refused:
        move_stop(planned, seen, stop_id, to_crew=crew, position=0)
    assert "Otto" in refused.value.what
    assert snapshot(planned.store) == before


def test_a_stop_taken_out_waits_without_a_day(planned):
    case = day_case(planned, THURSDAY)
    stop_id = next(iter(case.stand.crew_id_of))
    take_out(planned, case, stop_id)
    after = day_case(planned, THURSDAY)
    visit = after.wanted[stop_id].visit
    assert (visit.planned_on, visit.round_id, visit.place) == (None, None, None)
    assert stop_id in {left.stop_id for left in after.stand.left_out}


def test_a_customer_who_was_told_keeps_the_day_when_taken_out(desk):
    a_technician(desk)
    (site,) = spread_sites(desk, 1)
    a_visit(desk, site, planned_on=THURSDAY, told=True)
    plan_rounds(desk, THURSDAY)
    case = day_case(desk, THURSDAY)
    (stop_id,) = case.stand.crew_id_of
    take_out(desk, case, stop_id)
    visit = day_case(desk, THURSDAY).wanted[stop_id].visit
    assert (visit.planned_on, visit.round_id) == (THURSDAY, None)


def test_a_held_stop_stays_with_its_technician_and_minute_when_planned_again(planned):
    case = day_case(planned, THURSDAY)
    stop_id, crew = next(iter(case.stand.crew_id_of.items()))
    other = next(c for c in case.technicians if c != crew)
    move_stop(planned, case, stop_id, to_crew=other, position=0)
    visit = day_case(planned, THURSDAY).wanted[stop_id].visit
    hold(planned, visit, address="10 Quarry Spur", at_min=11 * 60)
    again = day_case(planned, THURSDAY)
    plan = proposed(planned, again)
    assert plan.crew_id_of[stop_id] == other
    stop = next(s for s in plan.day_of[other].stops if s.stop_id == stop_id)
    assert stop.begin_min == 11 * 60


def test_a_freed_stop_may_be_moved_by_the_planner_again(planned):
    case = day_case(planned, THURSDAY)
    stop_id = next(iter(case.stand.crew_id_of))
    hold(planned, case.wanted[stop_id].visit, address="10 Quarry Spur")
    held = day_case(planned, THURSDAY)
    assert held.problem.stop_of[stop_id].held_crew == case.stand.crew_id_of[stop_id]
    free(planned, held.wanted[stop_id].visit, address="10 Quarry Spur")
    assert day_case(planned, THURSDAY).problem.stop_of[stop_id].held_crew is None


def test_a_stop_without_a_place_cannot_be_held(desk):
    (site,) = spread_sites(desk, 1)
    a_technician(desk)
    a_visit(desk, site, planned_on=THURSDAY)
    (wanted,) = day_case(desk, THURSDAY).wanted.values()
    with pytest.raises(Trouble, match="on no round yet"):
        hold(desk, wanted.visit, address="10 Quarry Spur")


def test_all_that_waits_at_one_site_is_one_stop(desk):
    a_technician(desk)
    (site,) = spread_sites(desk, 1)
    a_call(desk, site, promised_by_at=None)
    something_owed(desk, site)
    case = day_case(desk, THURSDAY)
    (wanted,) = case.wanted.values()
    assert sorted(job.kind for job in wanted.jobs) == ["callback", "owed"]
    take_plan(desk, case, proposed(desk, case), what="Planned")
    (after,) = day_case(desk, THURSDAY).wanted.values()
    assert sorted(job.kind for job in after.visit.jobs) == ["callback", "owed"]


def test_work_that_waits_joins_the_visit_of_the_day_unless_it_is_kept_apart(desk):
    a_technician(desk)
    near, far = spread_sites(desk, 2)
    a_visit(desk, near, planned_on=THURSDAY)
    a_visit(desk, far, planned_on=THURSDAY, kept_apart=True)
    something_owed(desk, near)
    something_owed(desk, far)
    found = [
        (w.site_id, [j.kind for j in w.jobs]) for w in day_case(desk, THURSDAY).wanted.values()
    ]
    assert sorted(found) == sorted([
        (near.id, ["inspection", "owed"]), (far.id, ["inspection"]), (far.id, ["owed"]),
    ])  # fmt: skip


def test_a_site_that_nobody_has_put_on_the_map_is_planned_at_a_guess(desk):
    a_technician(desk)
    spread_sites(desk, 2)
    lost = a_site(desk, "9 Nowhere Lane", owner="Lost, Ann")
    a_visit(desk, lost, planned_on=THURSDAY)
    plan_rounds(desk, THURSDAY)
    page = rounds_page(desk, THURSDAY)
    (stop_id,) = page.case.stand.crew_id_of
    assert page.stops[stop_id].is_guessed
    assert page.case.located[lost.id].guessed_from == "village"


def test_what_finds_no_place_says_why_in_words(desk):
    technician = a_technician(desk, day_from_min=8 * 60, day_until_min=9 * 60, overtime_min=0)
    (site,) = spread_sites(desk, 1)
    a_visit(desk, site, planned_on=THURSDAY, service_min=90)
    page = rounds_page(desk, THURSDAY)
    (left,) = proposed(desk, page.case).left_out
    assert technician.day_until_min == 540
    assert "longer than any shift" in why_no_place(desk, page, left.reasons)


def test_the_page_of_a_day_is_kept_until_something_changes(planned):
    page = rounds_page(planned, THURSDAY)
    assert rounds_page(planned, THURSDAY) is page
    assert rounds_page(planned, THURSDAY + timedelta(days=1)) is not page
    assert rounds_page(planned, THURSDAY) is page

    a_site(planned, "9 New Road")
    again = rounds_page(planned, THURSDAY)
    assert again is not page
    assert len(again.case.demand.sites) == len(page.case.demand.sites) + 1


def test_handing_out_is_undone_by_taking_back_and_a_later_move_marks_the_sheet(planned):
    case = day_case(planned, THURSDAY)
    hand_out(planned, case.rounds.values(), day=THURSDAY)
    assert rounds_page(planned, THURSDAY).state == "handed out"
    case = day_case(planned, THURSDAY)
    crew = next(day.crew_id for day in case.stand.days if len(day.stops) > 1)
    move_stop(planned, case, case.stand.day_of[crew].order[0], to_crew=crew, position=1)
    after = day_case(planned, THURSDAY)
    assert {c: r.changed_since for c, r in after.rounds.items()} == {
        c: c == crew for c in after.rounds
    }
    assert rounds_page(planned, THURSDAY).state == "changed"
    hand_out(planned, after.rounds.values(), day=THURSDAY)
    assert rounds_page(planned, THURSDAY).state == "handed out"
    take_back(planned, day_case(planned, THURSDAY).rounds.values(), day=THURSDAY)
    assert rounds_page(planned, THURSDAY).state == "draft"


def test_a_visit_made_today_stays_where_it_was(desk):
    lena = a_technician(desk, "Lena Hobb")
    a_technician(desk, "Tobin Ashe")
    made, *others = spread_sites(desk, 4)
    round_ = a_round(desk, lena, TODAY)
    done = a_done_visit(desk, made, TODAY, technician=lena, round_id=round_.id, place=1)
    for site in others:
        a_visit(desk, site)
    case = day_case(desk, TODAY)
    plan = proposed(desk, case)
    assert plan.day_of[str(lena.id)].order[0] == f"v{done.id}"
    assert plan.day_of[str(lena.id)].stops[0].begin_min == 9 * 60
    assert plan.day_of[str(lena.id)].stops[0].late_min == 0
    take_plan(desk, case, plan, what="Planned")
    with desk.store.read() as session:
        after = session.get(Visit, done.id)
        assert (after.round_id, after.place, after.state) == (round_.id, 1, "done")


def test_planning_again_never_proposes_dearer_rounds(planned, monkeypatch):
    case = day_case(planned, THURSDAY)
    best = proposed(planned, case)
    take_plan(planned, case, best, what="Planned")
    again = day_case(planned, THURSDAY)
    longest = max(again.stand.days, key=lambda day: len(day.stops))
    orders = {**again.stand.orders, longest.crew_id: longest.order[1::-1] + longest.order[2:]}
    worse = retimed(again.problem, orders, planner="solver")
    assert worse.road_min > again.stand.road_min
    monkeypatch.setattr("servicedesk.desk.planning.plan_day", lambda *_a, **_k: worse)
    assert proposed(planned, again) is again.stand


def test_nothing_is_planned_between_two_visits_that_were_made(desk):
    lena = a_technician(desk, "Lena Hobb")
    early, late, waiting = spread_sites(desk, 3)
    round_ = a_round(desk, lena, TODAY)
    first = a_done_visit(desk, early, TODAY, technician=lena, round_id=round_.id, place=1)
    arrived = desk.clock.instant(TODAY, 13 * 60)
    second = a_done_visit(desk, late, TODAY, technician=lena, round_id=round_.id, place=2,
                          arrived_at=arrived, left_at=arrived + timedelta(minutes=30))  # fmt: skip
    third = a_visit(desk, waiting)
    plan = proposed(desk, day_case(desk, TODAY))
    assert plan.orders == {str(lena.id): (f"v{first.id}", f"v{second.id}", f"v{third.id}")}
    between = moved_at_once(plan, f"v{third.id}", to_crew=str(lena.id), position=1)
    assert [stop.stop_id for stop in between.late] == [f"v{second.id}"]


def test_nobody_works_on_a_holiday(desk):
    a_technician(desk)
    with desk.store.change(desk.who, "Wrote a holiday") as work:
        work.add(Holiday(day=THURSDAY, name="Founders' Day"))
    from dataclasses import replace

    closed = replace(desk, company=replace(desk.company, holidays={THURSDAY: "Founders' Day"}))
    page = rounds_page(closed, THURSDAY)
    assert "Founders' Day" in page.nobody
    with pytest.raises(Trouble, match="Founders' Day"):
        proposed(closed, page.case)


def test_a_technician_on_leave_gets_no_round(desk):
    lena = a_technician(desk, "Lena Hobb")
    tobin = a_technician(desk, "Tobin Ashe")
    with desk.store.change(desk.who, "Wrote a day off") as work:
        work.add(DayOff(technician_id=lena.id, from_on=THURSDAY,
                        until_on=THURSDAY + timedelta(days=1), why="leave"))  # fmt: skip
    for site in spread_sites(desk, 3):
        a_visit(desk, site, planned_on=THURSDAY)
    plan_rounds(desk, THURSDAY)
    with desk.store.read() as session:
        assert [r.lead_id for r in session.query(Round)] == [tobin.id]


def test_moving_at_once_gives_the_same_rounds_as_the_careful_way(planned):
    stand = day_case(planned, THURSDAY).stand
    for stop_id in stand.crew_id_of:
        for crew in stand.day_of:
            for position in range(4):
                slow = keep.moved(stand, stop_id, to_crew=crew, position=position)
                quick = moved_at_once(stand, stop_id, to_crew=crew, position=position)
                assert quick.days == slow.days
        assert without(stand, stop_id).days == keep.taken_out(stand, stop_id).days


def test_places_for_a_stop_are_those_of_the_rounds_without_it(planned):
    case = day_case(planned, THURSDAY)
    stop_id, crew = next(iter(case.stand.crew_id_of.items()))
    found = places_for_stop(case, stop_id)
    assert {p.crew_id for p in found} == set(case.technicians)
    here = case.stand.day_of[crew].order.index(stop_id)
    own = next(p for p in found if (p.crew_id, p.position) == (crew, here))
    bare = without(case.stand, stop_id)
    assert own.extra_road_min == case.stand.road_min - bare.road_min
    with pytest.raises(KeyError):
        places_for_stop(case, "v999")


def test_offers_end_with_the_best_place_that_breaks_a_promise(desk):
    a_technician(desk)
    promised, other, waiting = spread_sites(desk, 3)
    a_visit(desk, promised, planned_on=THURSDAY, promise_until_min=8 * 60 + 15)
    a_visit(desk, other, planned_on=THURSDAY)
    plan_rounds(desk, THURSDAY)
    something_owed(desk, waiting)
    page = rounds_page(desk, THURSDAY)
    found = offers(page, f"s{waiting.id}")
    assert [bool(p.promises_broken) for p in found] == [False, False, True]
    prices = [p.price_min for p in found[:2]]
    assert prices == sorted(prices)


def test_the_week_counts_stops_and_tells_how_full_each_day_is(planned):
    week = rounds_page(planned, THURSDAY).week
    assert [day.name for day in week] == ["Mon", "Tue", "Wed", "Thu", "Fri"]
    assert [day.n_stops for day in week] == [0, 0, 0, 5, 0]
    out = sum(d.home_min - d.leave_home_min for d in day_case(planned, THURSDAY).stand.days)
    assert week[3].used == pytest.approx(out / (2 * 9 * 60))


def test_an_inspection_that_is_due_waits_for_a_place_with_its_last_day(desk):
    a_technician(desk)
    (site,) = spread_sites(desk, 1)
    a_contract(desk, site, from_on=date(2026, 6, 1), until_on=date(2027, 6, 1))
    page = rounds_page(desk, THURSDAY)
    (words,) = page.stops.values()
    assert words.kind == "inspection"
    assert words.why.startswith(("window closes", "late"))


@pytest.mark.parametrize(
    ("address", "parts"),
    [
        ("31 Quarry Spur", ("31", "Quarry Spur")),
        ("Pinder Chapel", ("", "Pinder Chapel")),
        ("12B Old Weir", ("12B", "Old Weir")),
        ("Marina", ("", "Marina")),
    ],
)
def test_house_numbers_stand_apart_from_streets(address, parts):
    assert split_address(address) == parts
