"""A few rows as the office writes them, for the tests of records."""

from datetime import UTC, date, datetime

from servicedesk.records.company import Technician
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.parts import Part, StockMove, StockPlace
from servicedesk.records.people import Customer, Phone, SiteRole
from servicedesk.records.rounds import Round
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import ItemResult, Job, ReadingRow, Visit

DAY = date(2026, 10, 14)
AT = datetime(2026, 10, 14, 14, tzinfo=UTC)


def a_site(work, number: int = 1, **columns) -> Site:
    return work.add(
        Site(
            number=number,
            **{"address": f"{number} Dry Hollow Lane", "locality": "Pinder"} | columns,
        )
    )


def a_visit(store, *, who="Ines", what="Planned a visit", **columns) -> int:
    with store.change(who, what) as work:
        n = work.next_number("site")
        site = a_site(work, n)
        return work.add(Visit(site_id=site.id, planned_on=DAY, **columns)).id


def edit(store, model, row_id, *, who="Ines", what="Edited", **columns) -> int:
    """One change that sets columns; the answer is its id."""
    with store.change(who, what) as work:
        record = work.get(model, row_id)
        for name, value in columns.items():
            setattr(record, name, value)
    return work.changed.change_id


def a_stock(store, quantity: int = 10) -> tuple[int, int, int]:
    """A part, the shelf with `quantity` of it, and a truck's place."""
    with store.change("Ines", "Bought floats") as work:
        part = work.add(Part(number="FS-1", name="float switch"))
        shelf = work.add(StockPlace(name="shelf"))
        truck = work.add(StockPlace(name="truck 1"))
        work.add(a_move(part.id, quantity, None, shelf.id, why="bought"))
    return part.id, shelf.id, truck.id


def a_move(part_id, quantity, from_id, to_id, *, why="moved") -> StockMove:
    return StockMove(
        part_id=part_id,
        why=why,
        quantity=quantity,
        from_place_id=from_id,
        to_place_id=to_id,
        moved_on=DAY,
        written_at=AT,
    )


def move(store, *args, **values) -> int:
    with store.change("Ines", "Moved parts") as work:
        work.add(a_move(*args, **values))
    return work.changed.change_id


def a_round(store, *visits: int, state: str = "draft") -> int:
    with store.change("Ines", "Planned a round") as work:
        lead = work.add(Technician(name="Lena"))
        round_ = work.add(Round(day=DAY, lead_id=lead.id, state=state))
        for place, visit_id in enumerate(visits, 1):
            visit = work.get(Visit, visit_id)
            visit.round_id, visit.place = round_.id, place
    return round_.id


def hand_out(store, round_id) -> int:
    return edit(
        store, Round, round_id, what="Handed out the round", state="handed out", handed_out_at=AT
    )


def a_report(store, visit_id, **columns) -> int:
    with store.change("Ines", "Sent the report") as work:
        paper = {"kind_of": "inspection report", "visit_id": visit_id, "sent_at": AT} | columns
        work.add(PaperSent(number=work.next_number("report"), **paper))
    return work.changed.change_id


def write_up(store, visit_id: int) -> int:
    """A visit written up: outcome, items, readings. The answer is the change's id."""
    with store.change("Ines", f"Wrote up visit {visit_id}") as work:
        visit = work.get(Visit, visit_id)
        visit.state, visit.arrived_at, visit.as_left = "done", AT, "running"
        job = work.add(Job(visit_id=visit_id, kind_of="inspection", outcome="done"))
        work.add_all(
            [ItemResult(job_id=job.id, item_id=f"item-{n}", grade="good") for n in range(3)]
        )
        work.add(ReadingRow(job_id=job.id, item_id="chlorine", value="0.5", unit="mg/L"))
    return work.changed.change_id


def many_sites(work, count: int, *, first: int = 1) -> None:
    """Sites with an owner, a phone and a system each, as a list that is brought in makes them."""
    sites = [
        Site(number=n, address=f"{n} Osprey Way", locality="Pinder", own_number=f"K-{n}")
        for n in range(first, first + count)
    ]
    people = [Customer(name=f"Family{n}, Given{n}") for n in range(first, first + count)]
    work.add_all([*sites, *people])
    rows: list[object] = []
    for site, person in zip(sites, people, strict=True):
        rows.append(SiteRole(site_id=site.id, customer_id=person.id, role="owner"))
        rows.append(
            Phone(
                customer_id=person.id,
                typed=f"409-555-{site.number:04}",
                e164=f"+1409555{site.number:04}",
            )
        )
        rows.append(System(site_id=site.id, permit=f"TC-{site.number:05}"))
    work.add_all(rows)
