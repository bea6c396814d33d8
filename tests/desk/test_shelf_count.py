"""The spine counts what the page of the shelf counts, and not before the first page stands."""

from servicedesk.desk import ledger, parts
from servicedesk.desk import shelf as shelf_module
from servicedesk.desk.front import FrontOffice
from servicedesk.desk.ledger import Move
from servicedesk.desk.shelf import shelf
from servicedesk.records.parts import StockPlace
from tests.builders import a_site


def test_the_spine_tells_what_to_buy_and_what_lies_below_nothing(desk, monkeypatch):
    office = FrontOffice(desk)
    assert "shelf" not in office.counts()

    with desk.store.change(desk.who, "Wrote a place") as work:
        place = work.add(StockPlace(name="Shelf")).id
    for number in ("P-1", "Q-1"):
        parts.write_part(desk, {"number": number, "name": number, "reorder_at": 0})
    assert office.counts()["shelf"] == 2  # none there: both to be bought

    ids = {one.number: one.id for one in parts.parts(desk)}
    ledger.move(desk, Move(part_id=ids["P-1"], why="bought", quantity=3, to_place_id=place))
    assert office.counts()["shelf"] == 1
    ledger.move(desk, Move(part_id=ids["P-1"], why="scrapped", quantity=4, from_place_id=place))
    page = shelf(desk)
    assert office.counts()["shelf"] == page.n_buy + page.n_short == 3

    monkeypatch.setattr(shelf_module, "shelf", None)  # what else changes asks for no new count
    a_site(desk)
    assert office.counts()["shelf"] == 3
