"""Erases a person's data from the rows and from the log."""

from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.base import Record
from servicedesk.records.calls import Call
from servicedesk.records.changes import ChangeItem
from servicedesk.records.people import Contact, Customer, Phone
from servicedesk.records.store import Changed, Store
from servicedesk.records.told import Told
from servicedesk.words import say

ERASED = "(erased)"


def personal_columns(model: type[Record]) -> list[str]:
    """The columns of a table that say something about a person."""
    return [c.key for c in model.__table__.columns if c.info.get("personal")]


def erase_person(store: Store, customer_id: int, *, who: str) -> Changed:
    """Clear every personal column of a customer, here and in the log. Cannot be undone."""
    with store.change(who, say("Erased a person's data"), kind="erase") as work:
        customer = work.get(Customer, customer_id)
        own: list[Record] = [customer]
        for model in (Contact, Phone, Call, Told):
            own += work.session.scalars(select(model).where(model.customer_id == customer_id))
        for record in own:
            _clear(record)
        customer.erased_at = work.at
        work.session.flush()
    with store.change(who, say("Erased a person's data from the log"), kind="erase") as work:
        for record in own:
            _clear_log(work.session, type(record), record.id)
    return work.changed


def _clear(record: Record) -> None:
    for name in personal_columns(type(record)):
        optional = record.__table__.c[name].nullable
        setattr(record, name, None if optional else ERASED)


def _clear_log(session: Session, model: type[Record], row_id: int) -> None:
    names = personal_columns(model)
    query = select(ChangeItem).where(
        ChangeItem.table_name == model.__tablename__, ChangeItem.row_id == row_id
    )
    for item in session.scalars(query):
        item.before = _cleared(item.before, names)
        item.after = _cleared(item.after, names)


def _cleared(values: dict[str, Any] | None, names: list[str]) -> dict[str, Any] | None:
    if values is None:
        return None
    return {name: ERASED if name in names and v else v for name, v in values.items()}
