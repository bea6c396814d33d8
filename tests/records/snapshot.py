""" "As before": every column but `revision` of every table but the log and the ledger, and every balance."""

from sqlalchemy import select

from servicedesk.records.base import Kind
from servicedesk.records.parts import StockMove
from servicedesk.records.store import Store
from servicedesk.records.tables import models


def snapshot(store: Store) -> dict[str, object]:
    """All that must be equal again after undo."""
    rows: dict[str, object] = {}
    with store.read() as session:
        for model in models(Kind.LOGGED, Kind.SECRET, Kind.CONTENT):
            columns = [c for c in model.__table__.columns if c.name != "revision"]
            found = session.execute(select(*columns).order_by(model.__table__.c.id))
            rows[model.__tablename__] = [tuple(row) for row in found]
        balance: dict[tuple[int, int], int] = {}
        for move in session.scalars(select(StockMove)):
            for place, sign in ((move.from_place_id, -1), (move.to_place_id, 1)):
                if place is not None:
                    key = (move.part_id, place)
                    balance[key] = balance.get(key, 0) + sign * move.quantity
    rows["balances"] = {k: v for k, v in balance.items() if v}
    return rows


def indexed(store: Store) -> set[tuple[object, ...]]:
    """The derived search index, to be equal to one made anew."""
    from servicedesk.records.search_words import SearchWord

    with store.read() as session:
        found = select(SearchWord.word, SearchWord.table_name, SearchWord.row_id, SearchWord.weight)
        return {tuple(row) for row in session.execute(found)}
