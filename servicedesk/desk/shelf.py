"""What lies where, what runs out and when, order points, what to buy, what lies dead."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.office import Desk
from servicedesk.records import order_rows, stock_rows
from servicedesk.records.stock_rows import MoveRow, PartRow, PlaceRow
from servicedesk.stock.intermittent import Use
from servicedesk.stock.reorder import YEAR_DAYS, Terms, days_left, is_dead, order_rule, to_buy
from servicedesk.values.reason import Reason

# until a delivery comes, and from one order to the next (common practice, no source)
LEAD_DAYS, REVIEW_DAYS = 7, 14
SERVICE = 0.95
SPAN_DAYS = 30  # spans in which bursts of use are looked for
LOOKED_BACK_YEARS = 6
# kinds without which a system stands still: kept even before one was ever used (judgment)
STOPS_A_SYSTEM = frozenset({"effluent-pump", "compressor", "relay-contactor", "float-switch-pump"})


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfLine:
    """A part: where how many lie (below zero too), its use, and what to order.

    What to order counts from what lies on the shelf and what is on order (`on_order`, the first of
    it expected on `expected_on`): trucks are filled up from there.
    `runs_out_on` at the usual pace, None where it is never used. `why` tells what the order point
    rests on; `point` is -1 where none is kept. `short_at`: places where less than nothing lies.
    """

    part: PartRow
    lying: Mapping[str, int]
    at_hand: int
    on_shelf: int
    used: int
    a_year: float
    runs_out_on: date | None
    on_order: int
    expected_on: date | None
    point: int
    up_to: int
    buy: int
    cost_minor: int | None
    is_dead: bool
    short_at: tuple[str, ...]
    why: Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfPage:
    """All parts, those to buy first, then by the day they run out. `since`: the ledger's first day.

    `cost_minor`: what the order costs as far as costs are known.
    """

    lines: tuple[ShelfLine, ...]
    since: date | None
    n_buy: int
    n_short: int
    n_dead: int
    cost_minor: int


def shelf(desk: Desk) -> ShelfPage:
    """The shelf as of today, by the ledger (six reads)."""
    today = desk.today
    with desk.store.read() as session:
        parts = stock_rows.parts(session, today)
        places = stock_rows.places(session, today)
        balances = stock_rows.balances(session, on=today)
        since = today - timedelta(days=round(LOOKED_BACK_YEARS * YEAR_DAYS))
        moves = stock_rows.moves(session, whys=["used", "returned"], since=since)
        first = stock_rows.first_moves(session)
        coming = order_rows.coming(session)
    uses = _uses(parts, moves, first, today)
    lines = [
        _line(part, uses[part.id], Lies(places, balances), moves, today, coming) for part in parts
    ]
    return ShelfPage(
        lines=tuple(sorted(lines, key=_order)),
        since=min(first.values(), default=None),
        n_buy=sum(line.buy > 0 for line in lines),
        n_short=sum(bool(line.short_at) for line in lines),
        n_dead=sum(line.is_dead for line in lines),
        cost_minor=sum(line.cost_minor or 0 for line in lines),
    )


def uses_of(desk: Desk) -> dict[int, Use]:
    """Use of each part that is kept, as the order points rest on it."""
    today = desk.today
    since = today - timedelta(days=round(LOOKED_BACK_YEARS * YEAR_DAYS))
    with desk.store.read() as session:
        parts = stock_rows.parts(session, today)
        moves = stock_rows.moves(session, whys=["used", "returned"], since=since)
        first = stock_rows.first_moves(session)
    return _uses(parts, moves, first, today)


@dataclass(frozen=True, slots=True)
class Lies:
    """Where parts lie, and how many of each."""

    places: Sequence[PlaceRow]
    balances: stock_rows.Balances


def terms_of(part: PartRow) -> Terms:
    """How a part is bought: days until it comes as the catalogue says, else the usual ones."""
    lead = LEAD_DAYS if part.lead_days is None else part.lead_days
    return Terms(lead, REVIEW_DAYS, pack=part.pack, service=SERVICE)


def _uses(
    parts: Iterable[PartRow], moves: Iterable[MoveRow], first: Mapping[int, date], today: date
) -> dict[int, Use]:
    """Use of each part since the ledger knows it, and the mean of all as what they are drawn to."""
    used: dict[int, list[MoveRow]] = {}
    for move in moves:
        used.setdefault(move.part_id, []).append(move)
    seen: dict[int, tuple[list[int], float]] = {}
    for part in parts:
        since = max(
            first.get(part.id, today), today - timedelta(days=round(LOOKED_BACK_YEARS * YEAR_DAYS))
        )
        days = max(0, (today - since).days)  # of a day before the ledger nothing is known
        counts = [0] * max(1, days // SPAN_DAYS)
        for move in used.get(part.id, ()):
            span = min(len(counts) - 1, max(0, (move.moved_on - since).days // SPAN_DAYS))
            counts[span] += _signed(move)
        seen[part.id] = (counts, days / YEAR_DAYS)
    years = sum(one[1] for one in seen.values())
    group = max(0, sum(sum(one[0]) for one in seen.values())) / years if years else 0.0
    return {
        part_id: Use(max(0, sum(counts)), known, group, counts)
        for part_id, (counts, known) in seen.items()
    }


def _signed(move: MoveRow) -> int:
    return move.quantity if move.why == "used" else -move.quantity


def _line(
    part: PartRow,
    use: Use,
    lies: Lies,
    moves: Iterable[MoveRow],
    today: date,
    coming: Mapping[int, order_rows.Coming],
) -> ShelfLine:
    places, balances = lies.places, lies.balances
    lying = {one.name: balances.get((part.id, one.id), 0) for one in places}
    at_hand = sum(lying.values())
    on_shelf = sum(balances.get((part.id, one.id), 0) for one in places if one.truck_id is None)
    terms = terms_of(part)
    ordered = coming.get(part.id, order_rows.NOTHING)
    rule = order_rule(
        use,
        terms,
        stops_a_system=part.part_kind in STOPS_A_SYSTEM,
        fixed_point=part.reorder_at,
    )
    left = days_left(rule, at_hand)
    buy = to_buy(rule, terms, at_hand=on_shelf, on_order=ordered.quantity)
    return ShelfLine(
        part=part,
        lying={name: n for name, n in lying.items() if n},
        at_hand=at_hand,
        on_shelf=on_shelf,
        used=use.used,
        a_year=rule.a_year,
        runs_out_on=None if left is None else today + timedelta(days=min(36_500, int(left))),
        on_order=ordered.quantity,
        expected_on=ordered.expected_on,
        point=rule.point,
        up_to=rule.up_to,
        buy=buy,
        cost_minor=None if part.cost_minor is None else buy * part.cost_minor,
        is_dead=_lies_dead(part, use, at_hand, moves, today),
        short_at=tuple(name for name, n in lying.items() if n < 0),
        why=rule.why,
    )


def _lies_dead(
    part: PartRow, use: Use, at_hand: int, moves: Iterable[MoveRow], today: date
) -> bool:
    days = [m.moved_on for m in moves if m.part_id == part.id and m.why == "used"]
    since = (today - max(days)).days / YEAR_DAYS if days else None
    return is_dead(at_hand=at_hand, years_since_use=since, years_kept=use.years)


def _order(line: ShelfLine) -> tuple[bool, bool, date, str]:
    return (not line.short_at, not line.buy, line.runs_out_on or date.max, line.part.number)
