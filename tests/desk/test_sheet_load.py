"""The pick list on a route sheet: the load of the truck that drives it."""

from servicedesk.desk import ledger
from servicedesk.desk.ledger import Move
from servicedesk.desk.load import truck_loads
from servicedesk.desk.sheets import day_sheets
from servicedesk.records.visits import Job
from tests.builders import TODAY, something_owed
from tests.desk import stocked as shared

template, stocked = shared.template, shared.stocked


def with_owed(here, kind="effluent-pump"):
    """The visit settles owed work that takes a part of this kind."""
    owed = something_owed(here.desk, here.site, "new pump", needs_parts=[kind])
    with here.desk.store.change("Ines", "One more job") as work:
        work.add(Job(visit_id=here.visit.id, kind_of="owed", owed_id=owed.id))


def empty_truck(here, part):
    ledger.move(here.desk, Move(part_id=part, why="moved", quantity=10,
                from_place_id=here.truck, to_place_id=here.shelf))  # fmt: skip


def test_what_the_truck_lacks_is_on_its_sheet_with_the_chance(stocked):
    with_owed(stocked)
    empty_truck(stocked, stocked.pump)
    (sheet,) = day_sheets(stocked.desk, TODAY)
    assert [(one.quantity, one.name, one.number, one.note) for one in sheet.picks] == [
        (1, "Pump, 1/2 hp", "P-050", "")
    ]
    assert sheet.pick_chance == (
        "All finished at the first visit: 0% as the truck is, 100% with this list"
    )
    (load,) = truck_loads(stocked.desk, TODAY, TODAY.replace(day=15))
    assert (load.before, load.after) == (0.0, 1.0)


def test_what_is_on_no_shelf_is_bought_first(stocked):
    with_owed(stocked)
    for place in (stocked.truck, stocked.shelf):
        ledger.count(stocked.desk, stocked.pump, place, 0)
    (sheet,) = day_sheets(stocked.desk, TODAY)
    assert [one.note for one in sheet.picks] == ["buy 1 first"]


def test_a_truck_that_has_all_needs_no_list(stocked):
    (sheet,) = day_sheets(stocked.desk, TODAY)
    assert (sheet.picks, sheet.pick_chance) == ((), "")
    with_owed(stocked)
    (sheet,) = day_sheets(stocked.desk, TODAY)
    assert sheet.picks == ()
