"""Readings at systems whose rule may set a limit for them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, exists, select
from sqlalchemy.orm import Session

from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import Job, ReadingRow, Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class OutsideReading:
    """A reading of a visit at a system under a rule; `value` is the exact text."""

    job_id: int
    visit_id: int
    site_id: int
    address: str
    locality: str
    system_id: int
    rule_id: str
    single_family: bool
    item_id: str
    value: str
    unit: str
    qualifier: str
    arrived_at: datetime
    told: bool  # the authority has a notice or the report about it


def readings_under_rules(
    session: Session, item_ids: Iterable[str], *, since_at: datetime
) -> list[OutsideReading]:
    """Measured readings of some items since an instant where a rule may set a limit, by day."""
    query = (
        select(
            Job.id.label("job_id"),
            Job.visit_id,
            Visit.site_id,
            Site.address,
            Site.locality,
            System.id.label("system_id"),
            System.rule_id,
            System.single_family,
            ReadingRow.item_id,
            ReadingRow.value,
            ReadingRow.unit,
            ReadingRow.qualifier,
            Visit.arrived_at,
            _authority_knows().label("told"),
        )
        .join(Job, Job.id == ReadingRow.job_id)
        .join(Visit, Visit.id == Job.visit_id)
        .join(Site, Site.id == Visit.site_id)
        .join(System, System.id == Job.system_id)
        .where(
            ReadingRow.item_id.in_(list(item_ids)),
            ReadingRow.state == "measured",
            System.rule_id.is_not(None),
            Visit.state == "done",
            Visit.arrived_at >= since_at,
        )
        .order_by(Visit.arrived_at, ReadingRow.id)
    )
    return [OutsideReading(**row._mapping) for row in session.execute(query)]


def _authority_knows() -> ColumnElement[bool]:
    """Has the authority a notice about the job, or its report, which says the reading?"""
    return exists().where(
        PaperSent.visit_id == Visit.id,
        PaperSent.job_id == Job.id,
        PaperSent.to_kind == "authority",
        PaperSent.kind_of.in_(("notice", "inspection report")),
    )
