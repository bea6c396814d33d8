"""What parts cost, for Shelf and for renewals: one answer, and that of the day they were used."""

from servicedesk.desk import parts
from servicedesk.desk.part_costs import cost_on, parts_costs
from servicedesk.desk.writeup_notes import PartNote
from servicedesk.records.renewal_rows import parts_used
from tests.builders import TODAY
from tests.desk import stocked as shared
from tests.desk.stocked import YESTERDAY

template, stocked = shared.template, shared.stocked


def both(desk):
    """Cost of all parts as the shelf's figures have it, and as renewals have it."""
    figures = parts_costs(desk, YESTERDAY, TODAY.replace(year=TODAY.year + 1))
    with desk.store.read() as session:
        used = parts_used(session, desk.clock.instant(YESTERDAY, 0))
    return (
        sum(one.cost_minor for one in figures),
        sum(one.quantity * (one.cost_minor or 0) for one in used),
    )


def test_a_price_written_over_that_day_changes_nothing_that_was_used(stocked):
    desk = stocked.desk
    stocked.write(PartNote(text="", part_id=stocked.kit, quantity=3))
    assert both(desk) == (3_600, 3_600)

    parts.price_part(desk, stocked.kit, from_on=YESTERDAY, cost_minor=2_000, price_minor=3_000)
    assert both(desk) == (3_600, 3_600)


def test_a_use_that_was_corrected_counts_as_it_stands(stocked):
    desk = stocked.desk
    stocked.write(PartNote(text="", part_id=stocked.kit, quantity=3))
    parts.price_part(desk, stocked.kit, from_on=YESTERDAY, cost_minor=1_000, price_minor=3_000)
    line = stocked.lines[0]
    stocked.write(PartNote(text="", part_id=stocked.kit, quantity=2, line_id=line.id))

    assert both(desk) == (2_000, 2_000)  # of the move in effect, not the one taken back


def test_a_step_that_names_no_cost_leaves_the_one_before():
    steps = {1: [(YESTERDAY, 100, None), (TODAY, None, 300)]}
    assert cost_on(steps, 1, TODAY) == 100
