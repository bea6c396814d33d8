"""Erases a person's data from the rows, the log and the search index.

What goes: every column marked personal of the customer and of their contacts, phones, calls and
what they were told; and their names, numbers and addresses of mail wherever else they are written
in texts of their sites (notes, write-ups, lists brought in) and in the log, its sentences
included. What stays: that there was a customer, what was done at the site, and the papers that
have left the house, byte for byte: they are proof of what was sent, and whoever must destroy
them too does that with the law of the place at hand. Codes of gates are of the site, no person.
"""

import json
from collections.abc import Iterable
from typing import Any

from sqlalchemy import JSON, ColumnElement, Text, cast, or_, select
from sqlalchemy.orm import Session

from servicedesk.records.base import Kind, Record
from servicedesk.records.changes import Change, ChangeItem
from servicedesk.records.log import Item
from servicedesk.records.people import Customer, SiteRole
from servicedesk.records.scrub import ERASED, Scrub
from servicedesk.records.store import Changed, Store, Work
from servicedesk.records.tables import model_of, models
from servicedesk.records.undo_since import batched
from servicedesk.words import say

Rows = dict[str, set[int]]


def personal_columns(model: type[Record]) -> list[str]:
    """The columns of a table that say something about a person."""
    return [c.key for c in model.__table__.columns if c.info.get("personal")]


def erase_person(store: Store, customer_id: int, *, who: str) -> Changed:
    """Clear every trace of a customer, here and in the log, in one change. Cannot be undone."""
    with store.change(who, say("Erased a person's data"), kind="erase") as work:
        customer = work.get(Customer, customer_id)
        own = _own_rows(work.session, customer_id)
        own_items = _own_items(work.session, customer_id, own)
        scrub = Scrub(_said(work.session, own, own_items))
        for table, ids in own.items():
            for record in _records(work.session, model_of(table), ids):
                for name in personal_columns(type(record)):
                    setattr(record, name, _cleared(record, name))
        _scrub_texts(work, _at_their_sites(work.session, customer_id), scrub)
        customer.erased_at = work.at
        work.session.flush()
        _scrub_log(work.session, own_items, scrub)
        work.scrub = _scrubber(own, scrub)
    return work.changed


def _cleared(record: Record, name: str) -> str | None:
    if getattr(record, name) is None or record.__table__.c[name].nullable:
        return None
    return ERASED


def _own_rows(session: Session, customer_id: int) -> Rows:
    """The rows that are about the customer: their own, and those that name them."""
    rows: Rows = {"customer": {customer_id}}
    for model in models(Kind.LOGGED):
        if "customer_id" in model.__table__.c and personal_columns(model):
            query = select(model.id).where(model.__table__.c.customer_id == customer_id)
            rows[model.__tablename__] = set(session.scalars(query))
    return rows


def _own_items(session: Session, customer_id: int, own: Rows) -> list[ChangeItem]:
    """The log of those rows, also of rows that are gone by now."""
    items: dict[int, ChangeItem] = {}
    for table, ids in own.items():
        query = select(ChangeItem).where(ChangeItem.table_name == table)
        for some in batched(sorted(ids)):
            found = session.scalars(query.where(ChangeItem.row_id.in_(some)))
            items |= {item.id: item for item in found}
        if table != "customer":
            for side in (ChangeItem.before, ChangeItem.after):
                theirs = side["customer_id"].as_integer() == customer_id
                items |= {item.id: item for item in session.scalars(query.where(theirs))}
    return list(items.values())


def _said(session: Session, own: Rows, items: Iterable[ChangeItem]) -> list[str]:
    """Names, numbers and addresses of mail of the person, as they stand and as they stood."""
    said: list[Any] = []
    for table, columns in SAID.items():
        for record in _records(session, model_of(table), own.get(table, set())):
            said += [getattr(record, name) for name in columns]
    for item in items:
        for side in (item.before, item.after):
            said += [(side or {}).get(name) for name in SAID.get(item.table_name, ())]
    return [text for text in said if text]


# what names the person. A postal address is often the site's and is not looked for elsewhere;
# notes and own words are cleared where they stand
SAID = {
    "customer": ("name", "email"),
    "contact": ("name", "email"),
    "phone": ("typed", "e164"),
    "call": ("caller", "caller_phone"),
}


def _records(session: Session, model: type[Record], ids: Iterable[int]) -> list[Record]:
    found: list[Record] = []
    for some in batched(sorted(ids)):
        found += session.scalars(select(model).where(model.id.in_(some)))
    return found


def _at_their_sites(session: Session, customer_id: int) -> Rows:
    """Every row that belongs, over however many steps, to the customer or to their sites."""
    roles = select(SiteRole.site_id).where(SiteRole.customer_id == customer_id)
    rows: Rows = {"customer": {customer_id}, "site": set(session.scalars(roles))}
    for _ in range(2):  # tables point both ways in two places: visit and owed, job and owed
        for model in models(Kind.LOGGED, Kind.LEDGER):
            table = model.__tablename__
            if table in {"customer", "site"}:
                continue
            for column in model.__table__.columns:
                for key in column.foreign_keys:
                    for some in batched(sorted(rows.get(key.column.table.name, set()))):
                        query = select(model.id).where(column.in_(some))
                        rows.setdefault(table, set()).update(session.scalars(query))
    return rows


def _scrub_texts(work: Work, rows: Rows, scrub: Scrub) -> None:
    for table, ids in rows.items():
        model = model_of(table)
        texts = [c.key for c in model.__table__.columns if isinstance(c.type, Text | JSON)]
        texts = [name for name in texts if name not in {"uid", "sha256"}]
        for record in _records(work.session, model, ids) if texts else ():
            for name in texts:
                value = getattr(record, name)
                clean = scrub.value(value)
                if clean != value:
                    setattr(record, name, clean)


def _scrub_log(session: Session, own_items: list[ChangeItem], scrub: Scrub) -> None:
    for item in own_items:
        names = personal_columns(model_of(item.table_name))
        item.before, item.after = _without(item.before, names), _without(item.after, names)
    session.flush()
    for item in session.scalars(select(ChangeItem).where(_mentions(scrub))):
        item.before, item.after = scrub.value(item.before), scrub.value(item.after)
    for change in session.scalars(select(Change).where(_says(Change.what, scrub.pieces))):
        change.what = scrub.text(change.what)
    for some in batched(sorted({item.change_id for item in own_items})):
        for change in session.scalars(select(Change).where(Change.id.in_(some))):
            change.what = scrub.lone_name(change.what)


def _mentions(scrub: Scrub) -> ColumnElement[bool]:
    """Log rows whose JSON may hold a piece of the person; looked at closely afterwards."""
    # JSON writes accents as escapes
    pieces = {json.dumps(piece)[1:-1] for piece in scrub.pieces}
    return or_(*(_says(cast(side, Text), pieces) for side in (ChangeItem.before, ChangeItem.after)))


def _says(column: Any, pieces: Iterable[str]) -> ColumnElement[bool]:
    found = [column.icontains(piece, autoescape=True) for piece in sorted(pieces)]
    return or_(*found) if found else column.is_(None) & column.is_not(None)


def _scrubber(own: Rows, scrub: Scrub) -> Any:
    """The log of the erasure itself says which columns, not what they held."""

    def clean(item: Item) -> Item:
        table = item.model.__tablename__
        names = personal_columns(item.model) if item.row_id in own.get(table, ()) else []
        before, after = _without(item.before, names), _without(item.after, names)
        return Item(item.model, item.row_id, item.op, scrub.value(before), scrub.value(after))

    return clean


def _without(values: dict[str, Any] | None, names: list[str]) -> dict[str, Any] | None:
    if values is None:
        return None
    return {name: ERASED if name in names and v else v for name, v in values.items()}
