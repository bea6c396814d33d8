"""What calendars that were handed out before must learn: last changes, and visits taken away."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from servicedesk.records.changes import Change, ChangeItem
from servicedesk.records.planning_rows import batches
from servicedesk.records.visits import Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenAway:
    """A visit that a round had after it was handed out and has no more. Minutes are of then."""

    visit_id: int
    uid: str
    revision: int
    site_id: int
    round_id: int
    begin_min: int | None
    leave_min: int | None


def last_changes(session: Session, visit_ids: Iterable[int]) -> dict[int, datetime]:
    """When each of these visits was last changed, by key."""
    found: dict[int, datetime] = {}
    for some in batches(sorted(set(visit_ids))):
        query = (
            select(ChangeItem.row_id, func.max(ChangeItem.change_id).label("last"))
            .where(ChangeItem.table_name == "visit", ChangeItem.row_id.in_(some))
            .group_by(ChangeItem.row_id)
        )
        last = {row.row_id: row.last for row in session.execute(query)}
        times = select(Change.id, Change.at).where(Change.id.in_(set(last.values())))
        at = {row.id: row.at for row in session.execute(times)}
        found |= {row_id: at[change_id] for row_id, change_id in last.items()}
    return found


def taken_away(session: Session, handed_out: Mapping[int, datetime]) -> list[TakenAway]:
    """Visits that left these rounds (key: when handed out) since then, by visit.

    A visit that was called off stays with its round and is one of them.
    """
    if not handed_out:
        return []
    was = ChangeItem.before["round_id"].as_integer()
    query = (
        select(ChangeItem, Change.at)
        .join(Change, Change.id == ChangeItem.change_id)
        .where(
            Change.at >= min(handed_out.values()),
            ChangeItem.table_name == "visit",
            ChangeItem.op == "changed",
            was.in_(list(handed_out)),
        )
        .order_by(ChangeItem.id)
    )
    left: dict[tuple[int, int], ChangeItem] = {}
    for item, at in session.execute(query):
        round_id = int((item.before or {})["round_id"])
        if at >= handed_out[round_id]:
            left[item.row_id, round_id] = item
    found = []
    for some in batches(sorted({visit_id for visit_id, _ in left})):
        for visit in session.scalars(select(Visit).where(Visit.id.in_(some))):
            for (visit_id, round_id), item in left.items():
                if visit_id == visit.id and visit.round_id != round_id:
                    found.append(_row(visit, round_id, dict(item.before or {})))
    return sorted(found + _called_off(session, handed_out), key=lambda t: (t.visit_id, t.round_id))


def _called_off(session: Session, rounds: Iterable[int]) -> list[TakenAway]:
    query = select(Visit).where(Visit.round_id.in_(list(rounds)), Visit.state == "dropped")
    return [_row(visit, visit.round_id or 0, {}) for visit in session.scalars(query)]


def _row(visit: Visit, round_id: int, before: dict[str, int | None]) -> TakenAway:
    return TakenAway(
        visit_id=visit.id,
        uid=visit.uid,
        revision=visit.revision,
        site_id=visit.site_id,
        round_id=round_id,
        begin_min=before.get("begin_min", visit.begin_min),
        leave_min=before.get("leave_min", visit.leave_min),
    )
