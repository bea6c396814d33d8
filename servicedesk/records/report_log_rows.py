"""What was changed in a visit after its report left the house, from the change log."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from servicedesk.records.changes import Change, ChangeItem
from servicedesk.records.jsonable import columns_of
from servicedesk.records.owed import Owed
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.planning_rows import batches
from servicedesk.records.tables import model_of
from servicedesk.records.visits import ItemResult, Job, PartLine, ReadingRow

_OF_A_JOB = (ReadingRow, ItemResult)
_OF_A_VISIT = (Job, PartLine, Owed)
_ROW_TABLES = tuple(m.__tablename__ for m in (*_OF_A_JOB, *_OF_A_VISIT))


@dataclass(frozen=True, slots=True, kw_only=True)
class SentReport:
    """The last paper of a kind about a job to a kind of receiver, and the first of its chain.

    `change_id` is the change that wrote it, 0 if it came with a bulk load.
    """

    paper_id: int
    first_id: int
    first_number: int | None
    number: int | None
    kind_of: str
    to_kind: str
    to_whom: str
    visit_id: int
    job_id: int | None
    sent_at: datetime
    first_sent_at: datetime
    change_id: int


@dataclass(frozen=True, slots=True)
class Touched:
    """A row of a visit as a report left it and as it stands now; None: it was not there.

    `before` and `after` hold its columns as the log writes them, `columns` names those that differ.
    """

    table: str
    row_id: int
    item_id: str
    job_id: int | None
    before: Mapping[str, Any] | None
    after: Mapping[str, Any] | None
    columns: frozenset[str]
    last_change_id: int


def last_reports(
    session: Session,
    kinds: Iterable[str],
    *,
    since_at: datetime | None = None,
    visit_ids: Iterable[int] | None = None,
) -> list[SentReport]:
    """The last paper about each job to each kind of receiver, by day sent."""
    query = select(PaperSent).where(
        PaperSent.kind_of.in_(list(kinds)), PaperSent.visit_id.is_not(None)
    )
    if since_at is not None:
        query = query.where(PaperSent.sent_at >= since_at)
    if visit_ids is not None:
        query = query.where(PaperSent.visit_id.in_(sorted(visit_ids)))
    latest: dict[tuple[Any, ...], PaperSent] = {}
    papers = list(session.scalars(query.order_by(PaperSent.id)))
    for paper in papers:
        latest[paper.visit_id, paper.job_id, paper.to_kind, paper.kind_of] = paper
    made = _made_by(session, [paper.id for paper in latest.values()])
    firsts = _firsts(session, latest.values())
    return [_sent(paper, firsts[paper.id], made.get(paper.id, 0)) for paper in latest.values()]


def _sent(paper: PaperSent, first: PaperSent, change_id: int) -> SentReport:
    return SentReport(
        paper_id=paper.id,
        first_id=first.id,
        first_number=first.number,
        number=paper.number,
        kind_of=paper.kind_of,
        to_kind=paper.to_kind,
        to_whom=paper.to_whom or "",
        visit_id=paper.visit_id or 0,
        job_id=paper.job_id,
        sent_at=paper.sent_at,
        first_sent_at=first.sent_at,
        change_id=change_id,
    )


def _firsts(session: Session, papers: Iterable[PaperSent]) -> dict[int, PaperSent]:
    """The first paper of each one's chain of corrections."""
    found = {}
    for paper in papers:
        first = paper
        while first.corrects_id is not None:
            earlier = session.get(PaperSent, first.corrects_id)
            if earlier is None:
                break
            first = earlier
        found[paper.id] = first
    return found


def _made_by(session: Session, paper_ids: list[int]) -> dict[int, int]:
    found: dict[int, int] = {}
    for some in batches(sorted(paper_ids)):
        query = select(ChangeItem.row_id, func.min(ChangeItem.change_id)).where(
            ChangeItem.table_name == "paper_sent",
            ChangeItem.row_id.in_(some),
            ChangeItem.op == "made",
        )
        found |= {row[0]: row[1] for row in session.execute(query.group_by(ChangeItem.row_id))}
    return found


def touched_since(session: Session, since: Mapping[int, int]) -> dict[int, tuple[Touched, ...]]:
    """Rows of visits that differ from how they stood after a change, by visit.

    `since` gives for each visit the last change that does not count. What was changed and put
    back is left out.
    """
    if not since:
        return {}
    lowest = min(since.values())
    items: dict[int, list[ChangeItem]] = {}
    for some in batches(sorted(since)):
        for visit_id, item in _standing(session, some, lowest):
            items.setdefault(visit_id, []).append(item)
    for visit_id, item in _removed(session, lowest, since):
        items.setdefault(visit_id, []).append(item)
    found = {}
    for visit_id, some_items in items.items():
        later = [item for item in some_items if item.change_id > since[visit_id]]
        touched = _net(session, later)
        if touched:
            found[visit_id] = touched
    return found


def _standing(session: Session, visits: list[int], lowest: int) -> Iterable[tuple[int, ChangeItem]]:
    """Changes of rows that are still there."""
    later = ChangeItem.change_id > lowest
    of_visit = select(ChangeItem.row_id, ChangeItem).where(
        ChangeItem.table_name == "visit", ChangeItem.row_id.in_(visits), later
    )
    yield from ((row[0], row[1]) for row in session.execute(of_visit))
    for model in _OF_A_VISIT:
        query = (
            select(model.visit_id, ChangeItem)
            .join(ChangeItem, ChangeItem.row_id == model.id)
            .where(ChangeItem.table_name == model.__tablename__, model.visit_id.in_(visits), later)
        )
        yield from ((row[0] or 0, row[1]) for row in session.execute(query))
    for part in _OF_A_JOB:
        below = (
            select(Job.visit_id, ChangeItem)
            .join(part, part.job_id == Job.id)
            .join(ChangeItem, ChangeItem.row_id == part.id)
            .where(ChangeItem.table_name == part.__tablename__, Job.visit_id.in_(visits), later)
        )
        yield from ((row[0], row[1]) for row in session.execute(below))


def _removed(
    session: Session, lowest: int, since: Mapping[int, int]
) -> Iterable[tuple[int, ChangeItem]]:
    """Changes of rows that went, all of them: what was made and went again is no difference."""
    gone = select(ChangeItem).where(
        ChangeItem.table_name.in_(_ROW_TABLES),
        ChangeItem.op == "removed",
        ChangeItem.change_id > lowest,
    )
    for last in session.scalars(gone).all():
        before = last.before or {}
        visit_id = before.get("visit_id")
        if visit_id is None and before.get("job_id") is not None:
            visit_id = session.scalar(select(Job.visit_id).where(Job.id == before["job_id"]))
        if visit_id is not None and visit_id in since:
            whole = select(ChangeItem).where(
                ChangeItem.table_name == last.table_name,
                ChangeItem.row_id == last.row_id,
                ChangeItem.change_id > lowest,
            )
            yield from ((visit_id, item) for item in session.scalars(whole))


def _net(session: Session, items: Iterable[ChangeItem]) -> tuple[Touched, ...]:
    rows: dict[tuple[str, int], dict[int, ChangeItem]] = {}
    for item in items:
        rows.setdefault((item.table_name, item.row_id), {})[item.id] = item
    found = []
    for (table, row_id), by_id in sorted(rows.items()):
        chain = [by_id[key] for key in sorted(by_id)]
        before, after = _ends(chain)
        if before == after:
            continue
        columns = frozenset(after if after is not None else before or {}) - {"revision"}
        stands = _stands(session, table, row_id)
        before = None if before is None else stands | before
        after = None if after is None else stands | after
        said = after or before or {}
        found.append(
            Touched(
                table=table,
                row_id=row_id,
                item_id=str(said.get("item_id", "")),
                job_id=row_id if table == "job" else said.get("job_id"),
                before=before,
                after=after,
                columns=columns,
                last_change_id=chain[-1].change_id,
            )
        )
    return tuple(found)


def _stands(session: Session, table: str, row_id: int) -> dict[str, Any]:
    """The row as it stands now; empty where it went."""
    model = model_of(table)
    row = session.get(model, row_id)
    return {} if row is None else {name: getattr(row, name) for name in columns_of(model)}


def _ends(chain: list[ChangeItem]) -> tuple[dict[str, Any] | None, dict[str, Any] | None]:
    """The row before the first of its changes and after the last, columns that differ alone."""
    first, last = chain[0], chain[-1]
    if first.op == "made":
        return None, None if last.op == "removed" else _merged(chain)
    if last.op == "removed":
        old = dict(last.before or {})
        for item in reversed(chain[:-1]):
            old |= dict(item.before or {})
        return old, None
    before: dict[str, Any] = {}
    after: dict[str, Any] = {}
    for item in chain:
        before = dict(item.before or {}) | before
        after |= dict(item.after or {})
    differ = [name for name in after if name != "revision" and before.get(name) != after[name]]
    if not differ:
        return {}, {}
    return {n: before.get(n) for n in differ}, {n: after[n] for n in differ}


def _merged(chain: list[ChangeItem]) -> dict[str, Any]:
    row: dict[str, Any] = {}
    for item in chain:
        row |= dict(item.after or {})
    return row


def change_times(session: Session, change_ids: Iterable[int]) -> dict[int, datetime]:
    """When changes were made."""
    found: dict[int, datetime] = {}
    for some in batches(sorted(set(change_ids))):
        query = select(Change.id, Change.at).where(Change.id.in_(some))
        found |= {row[0]: row[1] for row in session.execute(query)}
    return found
