"""Trucks loaded by their lists, histories, needs of patterns, costs of parts, second visits."""

from datetime import date, timedelta

import pytest

from servicedesk.desk import ledger, parts
from servicedesk.desk.ledger import Move
from servicedesk.desk.load_needs import PartsOfCauses
from servicedesk.desk.part_costs import cost_on, costs_of, parts_costs
from servicedesk.desk.part_find import matching, part_named
from servicedesk.desk.part_history import part_history, take_back_move
from servicedesk.desk.part_needs import parts_of_component
from servicedesk.desk.shelf_figures import endings, shelf_figures
from servicedesk.desk.shelf_page import WEEKS, shelf_data
from servicedesk.records.part_cost_rows import AnsweredRow, TakenRow
from servicedesk.records.parts import StockPlace
from servicedesk.records.visits import PartLine
from servicedesk.trade.faults import knowledge
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY, a_done_visit, a_site, system_of

DAY = timedelta(days=1)


@pytest.fixture
def shop(file_desk):
    desk = file_desk
    with desk.store.change(desk.who, "Wrote a place") as work:
        place = work.add(StockPlace(name="Shelf")).id
    changed = parts.write_part_and_price(
        desk, {"number": "A-1", "name": "Air pump", "barcode": "4006381333931"},
        cost_minor=100, price_minor=160, from_on=TODAY - 400 * DAY,
    )  # fmt: skip
    return desk, place, next(iter(changed.rows["part"]))


def test_a_price_from_a_day_on_leaves_what_was_before(shop):
    desk, _, part = shop
    parts.write_part_and_price(desk, {}, part_id=part, cost_minor=150, from_on=TODAY - 10 * DAY)

    on = [parts.parts(desk, on=TODAY - n * DAY)[0] for n in (500, 11, 10, 0)]
    assert [(one.cost_minor, one.price_minor) for one in on] == [
        (None, None), (100, 160), (150, 160), (150, 160),
    ]  # fmt: skip


def test_a_part_is_found_by_barcode_number_and_words(shop):
    desk, *_ = shop
    parts.write_part(desk, {"number": "A-10", "name": "Air pump filter"})
    every = parts.parts(desk)

    assert [one.number for one in matching(every, "4006381333931")] == ["A-1"]
    assert [one.number for one in matching(every, "a-1")] == ["A-1"]
    assert [one.number for one in matching(every, "pump air")] == ["A-1", "A-10"]
    assert part_named(desk, "filter").number == "A-10"
    with pytest.raises(Trouble, match="Several parts"):
        part_named(desk, "pump")
    with pytest.raises(Trouble, match="has this barcode"):
        parts.write_part(desk, {"number": "B", "name": "B", "barcode": "4006381333931"})


def test_a_history_tells_every_move_and_its_opposite(shop):
    desk, place, part = shop
    ledger.move(desk, Move(part_id=part, why="bought", quantity=3, to_place_id=place))
    (line,) = part_history(desk, part)
    take_back_move(desk, line.id)

    assert [(one.text, one.where, one.is_back) for one in part_history(desk, part)] == [
        ("3 the other way: taken back", "from Shelf", True), ("3 bought", "to Shelf", True),
    ]  # fmt: skip
    assert ledger.balances(desk) == {}
    with pytest.raises(Trouble):
        take_back_move(desk, line.id)


def test_use_by_week_adds_up_to_what_was_used(shop):
    desk, place, part = shop
    ledger.move(desk, Move(part_id=part, why="bought", quantity=50, to_place_id=place,
                           on=TODAY - 300 * DAY))  # fmt: skip
    for n in (0, 1, 6, 7, 100, 7 * WEEKS - 1, 7 * WEEKS + 1):
        visit = a_done_visit(desk, a_site(desk), TODAY - n * DAY)
        ledger.move(desk, Move(part_id=part, why="used", quantity=2, from_place_id=place,
                               visit_id=visit.id, on=TODAY - n * DAY))  # fmt: skip
    use = shelf_data(desk).uses[part]

    assert len(use.by_week) == WEEKS
    assert sum(use.by_week) == 12  # the last one lies before the 26 weeks
    assert use.by_week[-1] == 6
    assert use.lasts.low < use.lasts.best


def test_parts_cost_what_they_cost_on_the_day_they_were_taken(shop):
    desk, _, part = shop
    parts.write_part_and_price(desk, {}, part_id=part, cost_minor=150, from_on=TODAY - 10 * DAY)
    site = a_site(desk)
    system = system_of(desk, site).id
    for n, text in ((20, ""), (5, "billable")):
        visit = a_done_visit(desk, site, TODAY - n * DAY, job={"system_id": system})
        with desk.store.change(desk.who, "Used parts") as work:
            (job,) = work.session.execute(_jobs_of(visit.id)).scalars()
            work.add(PartLine(visit_id=visit.id, job_id=job, part_id=part, text="pump",
                              quantity=2, billing=text))  # fmt: skip
    (cost,) = parts_costs(desk, TODAY - 30 * DAY, TODAY + DAY)

    assert (cost.system_id, cost.pieces, cost.cost_minor) == (system, 4, 2 * 100 + 2 * 150)
    assert (cost.billed_cost_minor, cost.unknown) == (300, 0)
    assert shelf_figures(desk).cost_minor == 500


def _jobs_of(visit_id):
    from sqlalchemy import select

    from servicedesk.records.visits import Job

    return select(Job.id).where(Job.visit_id == visit_id)


def test_the_ledgers_cost_goes_before_the_catalogues_and_none_is_said():
    steps = {1: [(date(2026, 1, 1), 100, None)]}
    rows = [
        TakenRow(7, 3, 1, 1, 2, date(2026, 2, 1), "", 90),
        TakenRow(7, 3, 2, 1, 1, date(2026, 2, 1), "", None),
        TakenRow(7, 3, 3, 1, 1, date(2025, 2, 1), "", None),
    ]
    (cost,) = costs_of(rows, steps)

    assert (cost.cost_minor, cost.pieces, cost.unknown) == (280, 4, 1)
    assert cost_on(steps, 1, date(2026, 1, 1)) == 100
    assert cost_on(steps, 2, date(2026, 1, 1)) is None


def job(n, days_ago, **values):
    base = {"call_id": n, "visit_id": n, "system_id": n, "outcome": "done", "could_not": "",
            "fix": "fixed", "no_fault_found": False, "waits_for": None, "needs_parts": False}  # fmt: skip
    return AnsweredRow(job_id=n, on=TODAY - days_ago * DAY, **{**base, **values})


@pytest.mark.parametrize(
    ("jobs", "wanted"),
    [
        ([job(1, 60)], [""]),
        ([job(1, 60, outcome="could not")], ["could_not"]),
        ([job(1, 60, fix="patched", waits_for="part")], ["part"]),
        ([job(1, 60, fix="patched", waits_for="", needs_parts=True)], ["part"]),
        ([job(1, 60, waits_for="approval")], ["approval"]),
        ([job(1, 60, fix="patched")], ["patched"]),
        ([job(1, 60), job(2, 58, call_id=1)], ["again"]),
        # the same system calls within 14 days, then not again for 15
        ([job(1, 60), job(2, 46, system_id=1)], ["came_back", ""]),
        ([job(1, 60), job(2, 45, system_id=1)], ["", ""]),
        ([job(1, 60, no_fault_found=True), job(2, 50, system_id=1)], ["no_fault_found", ""]),
        ([job(1, 3)], []),  # too young to tell
        ([job(1, 3, outcome="could not")], ["could_not"]),
    ],
)
def test_a_first_visit_finished_it_or_the_reason_is_told(jobs, wanted):
    assert [why for _, why in endings(jobs, TODAY)] == wanted


def test_parts_of_a_component_are_shares_of_its_mended_failures():
    known = knowledge()
    causes = PartsOfCauses(
        {
            "compressor-dead": {("compressor",): 6},
            "compressor-weak": {("compressor",): 1, ("diaphragm-kit",): 2, (): 1},
            "pump-worn": {("effluent-pump",): 9},
        }
    )
    component = known.causes["compressor-dead"].component

    assert parts_of_component(component, causes, known) == {
        "compressor": 0.7, "diaphragm-kit": 0.2,
    }  # fmt: skip
    assert parts_of_component("no such thing", causes, known) == {}
