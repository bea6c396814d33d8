""" "As before": every column but `revision` of every table but the log and the ledger, and every balance."""

from functools import cache

from sqlalchemy import Select, exists, literal, select, union_all

from servicedesk.records.base import Kind
from servicedesk.records.parts import StockMove
from servicedesk.records.search_words import SearchWord
from servicedesk.records.store import Store
from servicedesk.records.tables import models


@cache
def _queries() -> dict[str, Select]:
    return {
        m.__tablename__: select(*(c for c in m.__table__.columns if c.name != "revision")).order_by(
            m.__table__.c.id
        )
        for m in models(Kind.LOGGED, Kind.SECRET, Kind.CONTENT)
    }


@cache
def _with_rows():
    """One question instead of fifty: which tables hold any row at all?"""
    tables = models(Kind.LOGGED, Kind.SECRET, Kind.CONTENT)
    return union_all(
        *(select(literal(m.__tablename__)).where(exists(select(m.__table__.c.id))) for m in tables)
    )


def balances(session) -> dict[tuple[int, int], int]:
    """What lies where by the ledger: the sum of its moves by part and place."""
    balance: dict[tuple[int, int], int] = {}
    table = StockMove.__table__
    for move in session.execute(select(table)).mappings():
        for place, sign in ((move["from_place_id"], -1), (move["to_place_id"], 1)):
            if place is not None:
                key = (move["part_id"], place)
                balance[key] = balance.get(key, 0) + sign * move["quantity"]
    return {k: v for k, v in balance.items() if v}


def snapshot(store: Store) -> dict[str, object]:
    """All that must be equal again after undo."""
    with store.read() as session:
        rows: dict[str, object] = {
            name: [tuple(row) for row in session.execute(_queries()[name])]
            for name in sorted(session.scalars(_with_rows()))
        }
        rows["balances"] = balances(session)
    return rows


def indexed(store: Store) -> set[tuple[object, ...]]:
    """The derived search index, to be equal to one made anew."""
    with store.read() as session:
        found = select(
            SearchWord.word,
            SearchWord.table_name,
            SearchWord.row_id,
            SearchWord.site_id,
            SearchWord.weight,
        )
        return {tuple(row) for row in session.execute(found)}
