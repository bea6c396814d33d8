"""What failed at inspections and nobody told the authority."""

from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import exists, select
from sqlalchemy.orm import Session

from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import ItemResult, Job, Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class FailedInspection:
    """An inspection at a system under a rule at which items failed."""

    job_id: int
    visit_id: int
    site_id: int
    address: str
    locality: str
    system_id: int
    rule_id: str
    arrived_at: datetime
    item_ids: tuple[str, ...] = ()


def failed_inspections(session: Session, *, since_at: datetime) -> list[FailedInspection]:
    """Inspections since an instant with failed items, of which the authority has no paper."""
    knows = exists().where(
        PaperSent.visit_id == Visit.id,
        PaperSent.job_id == Job.id,
        PaperSent.to_kind == "authority",
        PaperSent.kind_of.in_(("notice", "inspection report")),
    )
    query = (
        select(
            Job.id.label("job_id"),
            Job.visit_id,
            Visit.site_id,
            Site.address,
            Site.locality,
            System.id.label("system_id"),
            System.rule_id,
            Visit.arrived_at,
            ItemResult.item_id,
        )
        .join(Job, Job.id == ItemResult.job_id)
        .join(Visit, Visit.id == Job.visit_id)
        .join(Site, Site.id == Visit.site_id)
        .join(System, System.id == Job.system_id)
        .where(
            ItemResult.grade == "failed",
            Visit.state == "done",
            Visit.arrived_at >= since_at,
            System.rule_id.is_not(None),
            ~knows,
        )
        .order_by(Visit.arrived_at, ItemResult.id)
    )
    found: dict[int, FailedInspection] = {}
    for row in session.execute(query):
        values = dict(row._mapping)
        item_id = values.pop("item_id")
        one = found.get(row.job_id) or FailedInspection(**values)
        found[row.job_id] = replace(one, item_ids=(*one.item_ids, item_id))
    return list(found.values())
