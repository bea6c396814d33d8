"""The catalogue of parts and the ledger: bought, put on trucks, used."""

from datetime import date, timedelta

from sample_db.fixes import Book
from sample_db.rows import Row
from sample_db.state import Setting

DAY = timedelta(days=1)

# part kind: number, name, cost in cents, on a truck, on the shelf
PARTS: tuple[tuple[str, str, str, int, int, int], ...] = (
    ("compressor", "A-060", "Air pump, 60 L", 21500, 1, 3),
    ("diaphragm-kit", "A-062", "Diaphragm kit, 60 L", 3900, 1, 6),
    ("air-filter", "A-061", "Filter, 60 L", 450, 3, 20),
    ("air-line-fittings", "A-070", "Air line fittings, set", 900, 1, 6),
    ("tablets-wastewater", "C-025", "Tablets, tub 25 lb", 9800, 4, 12),
    ("tablet-tube", "C-030", "Tablet tube and cap", 2400, 1, 4),
    ("bleach-feed-kit", "C-040", "Bleach feed kit", 3800, 0, 3),
    ("float-switch-signal", "F-220", "Float, sealed lead", 3100, 2, 6),
    ("float-switch-pump", "F-300", "Float, pump-rated", 4200, 1, 4),
    ("float-clamps", "F-010", "Float clamps and ties, set", 300, 4, 20),
    ("relay-contactor", "R-240", "Relay, 240 V", 2800, 1, 4),
    ("control-fuses", "R-010", "Control fuses, box", 700, 2, 6),
    ("alarm-board", "R-120", "Alarm board", 11200, 0, 2),
    ("alarm-lamp-buzzer", "R-130", "Alarm lamp and horn", 3300, 1, 3),
    ("low-air-switch", "R-140", "Low-air switch", 2600, 1, 4),
    ("timer-clock", "R-150", "Timer clock", 7400, 0, 2),
    ("breaker", "R-160", "Breaker, 20 A", 1900, 1, 4),
    ("gfci-device", "R-170", "Ground-fault receptacle, cover", 2700, 1, 4),
    ("effluent-pump", "P-050", "Pump, 1/2 hp", 32500, 1, 3),
    ("check-valve", "P-020", "Check valve, 1 1/4 in", 1600, 1, 5),
    ("spray-head", "S-110", "Spray head, low angle", 2200, 2, 10),
    ("spray-nozzle-filter", "S-115", "Nozzles and head filters, set", 600, 3, 15),
    ("swing-joint", "S-120", "Spray riser, swing joint", 900, 1, 6),
    ("diffuser", "D-040", "Diffuser stone", 2900, 1, 9),
    ("drip-filter-element", "K-100", "Drip filter element", 3400, 1, 4),
    ("drip-line-fittings", "K-020", "Drip line fittings, set", 800, 1, 6),
    ("uv-lamp", "U-030", "Ultraviolet lamp", 6400, 0, 3),
    ("sealed-splice-kit", "W-012", "Splice kit, sealed", 1200, 1, 11),
    ("gas-tight-box", "W-020", "Junction box, gas-tight", 3600, 1, 4),
    ("riser-sealant", "L-010", "Riser sealant", 1400, 1, 6),
    ("lid", "L-024", "Lid, 24 in, green", 6800, 0, 3),
    ("lid-screws", "L-030", "Lid screws, safety, bag", 500, 2, 10),
)  # fmt: skip
SHORT = ("A-060", "C-025", "P-050")  # left below their reorder point


def make_parts(s: Setting, book: Book) -> None:
    """Catalogue, prices, shelf and trucks as stock places."""
    for kind, number, name, cost, _, shelf in PARTS:
        part = s.rows.add(
            "part", number=number, name=name, part_kind=kind,
            supplier_id=7 if number[0] in "RW" else 6,
            supplier_number=f"H{number.replace('-', '')}",
            reorder_at=max(1, _scaled(s, shelf) // 2),
        )  # fmt: skip
        book.part_of_kind[kind] = part["id"]
        for years, factor in ((s.size.years, 0.86), (1, 1.0)):
            s.rows.add(
                "part_price", part_id=part["id"],
                from_on=(s.today - round(years * 365) * DAY).replace(day=1, month=1),
                cost_minor=round(cost * factor), price_minor=round(cost * factor * 1.6),
            )  # fmt: skip
    s.rows.add("stock_place", name="Shelf")
    for tech in s.techs:
        s.rows.add("stock_place", name=f"T{tech.row['id']}", truck_id=tech.row["truck_id"])


def _scaled(s: Setting, on_shelf: int) -> int:
    return max(on_shelf, round(on_shelf * s.size.technicians / 3))


def write_ledger(s: Setting, book: Book) -> None:
    """Moves since the stock has been kept: opening count, uses, refills, purchases."""
    since = s.detail_from
    balance: dict[tuple[int, int], int] = {}
    places = range(2, 2 + len(s.techs))
    for i, (_, _, _, cost, truck, shelf) in enumerate(PARTS, start=1):
        _move(s, since, i, "counted", _scaled(s, shelf), (None, 1), cost=cost)
        balance[i, 1] = _scaled(s, shelf)
        for place in places:
            balance[i, place] = truck
            if truck:
                _move(s, since, i, "counted", truck, (None, place), cost=cost)
    for day, place, part, quantity, visit_id in sorted(book.used):
        if day >= since:
            _use(s, balance, day, place, part, quantity, visit_id)
    _leave_short(s, balance)


def _use(
    s: Setting, balance: dict[tuple[int, int], int], day: date, place: int, part: int,
    quantity: int, visit_id: int,
) -> None:  # fmt: skip
    _, _, _, cost, truck, shelf = PARTS[part - 1]
    have = balance[part, place]
    if have < quantity:  # fetched from the shelf that morning
        fetched = max(truck, quantity) - have
        if balance[part, 1] - fetched < max(1, _scaled(s, shelf) // 2):
            bought = _scaled(s, shelf) + fetched
            _move(s, day - DAY, part, "bought", bought, (None, 1), cost=cost)
            balance[part, 1] += bought
        _move(s, day, part, "moved", fetched, (1, place), cost=cost)
        balance[part, 1] -= fetched
        balance[part, place] += fetched
    _move(s, day, part, "used", quantity, (place, None), cost=cost, visit_id=visit_id)
    balance[part, place] -= quantity


def _leave_short(s: Setting, balance: dict[tuple[int, int], int]) -> None:
    """Some parts stand below their reorder point today: a count found fewer than the book said."""
    day = s.calendar.working_before(s.today)
    for part in s.rows.tables["part"]:
        if part["number"] in SHORT:
            keep = max(0, part["reorder_at"] - 1)
            gone = balance[part["id"], 1] - keep
            if gone > 0:
                cost = PARTS[part["id"] - 1][3]
                _move(s, day, part["id"], "counted", gone, (1, None), cost=cost)
            s.truth.short_part_ids.append(part["id"])


def _move(
    s: Setting, day: date, part: int, why: str, quantity: int, way: tuple[int | None, int | None],
    *, cost: int, visit_id: int | None = None,
) -> Row:  # fmt: skip
    return s.rows.add(
        "stock_move", part_id=part, why=why, quantity=quantity, from_place_id=way[0],
        to_place_id=way[1], visit_id=visit_id, unit_cost_minor=cost, moved_on=day,
        written_at=s.calendar.at(day, 1000),
    )  # fmt: skip
