"""Questions about samples: which are out, what came back, which systems have none."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import ColumnElement, exists, func, select
from sqlalchemy.orm import Session

from servicedesk.records.changes import ChangeItem
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.people import Firm
from servicedesk.records.planning_rows import batches
from servicedesk.records.samples import ReportSignature, Sample
from servicedesk.records.sites import Site, System


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleRow:
    """A sample at a system. `told`: the authority had a notice after its result was known."""

    id: int
    revision: int
    system_id: int
    site_id: int
    address: str
    locality: str
    visit_id: int | None
    item_id: str
    taken_on: date
    taken_by: str
    laboratory: str
    laboratory_number: str
    expected_on: date
    rule_id: str | None
    limit_low: str | None
    limit_high: str | None
    known_at: datetime | None
    value: str
    unit: str
    qualifier: str
    lost_why: str
    note: str
    single_family: bool
    told: bool


def samples(
    session: Session,
    *,
    system_ids: Iterable[int] | None = None,
    since: date | None = None,
    sample_id: int | None = None,
) -> list[SampleRow]:
    """Samples by the day they were taken; of some systems, since a day, or one alone."""
    query = (
        select(
            Sample.id,
            Sample.revision,
            Sample.system_id,
            System.site_id,
            Site.address,
            Site.locality,
            Sample.visit_id,
            Sample.item_id,
            Sample.taken_on,
            Sample.taken_by,
            func.coalesce(Firm.name, "").label("laboratory"),
            Sample.laboratory_number,
            Sample.expected_on,
            Sample.rule_id,
            Sample.limit_low,
            Sample.limit_high,
            Sample.known_at,
            Sample.value,
            Sample.unit,
            Sample.qualifier,
            Sample.lost_why,
            Sample.note,
            System.single_family,
            _told().label("told"),
        )
        .join(System, System.id == Sample.system_id)
        .join(Site, Site.id == System.site_id)
        .outerjoin(Firm, Firm.id == Sample.laboratory_id)
        .order_by(Sample.taken_on, Sample.id)
    )
    if system_ids is not None:
        query = query.where(Sample.system_id.in_(sorted(system_ids)))
    if since is not None:
        query = query.where(Sample.taken_on >= since)
    if sample_id is not None:
        query = query.where(Sample.id == sample_id)
    return [SampleRow(**row._mapping) for row in session.execute(query)]


def _told() -> ColumnElement[bool]:
    return exists().where(
        PaperSent.system_id == Sample.system_id,
        PaperSent.kind_of == "notice",
        PaperSent.to_kind == "authority",
        PaperSent.sent_at >= Sample.known_at,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class NewSystem:
    """A system that was started not long ago and of which no sample was taken."""

    system_id: int
    site_id: int
    address: str
    locality: str
    rule_id: str
    started_on: date


def without_sample(session: Session, *, started_since: date) -> list[NewSystem]:
    """Systems under a rule, started since a day, with no sample yet."""
    query = (
        select(
            System.id.label("system_id"),
            System.site_id,
            Site.address,
            Site.locality,
            System.rule_id,
            System.started_on,
        )
        .join(Site, Site.id == System.site_id)
        .where(
            System.started_on >= started_since,
            System.rule_id.is_not(None),
            System.ended_on.is_(None),
            Site.ended_on.is_(None),
            ~exists().where(Sample.system_id == System.id),
        )
        .order_by(System.started_on, System.id)
    )
    return [NewSystem(**row._mapping) for row in session.execute(query)]


@dataclass(frozen=True, slots=True)
class SignatureRow:
    """The last signature under the report of a job."""

    id: int
    job_id: int
    signed_by: str
    license: str
    signed_at: datetime


def signatures(session: Session, job_ids: Iterable[int]) -> dict[int, SignatureRow]:
    """The last signature by job."""
    found: dict[int, SignatureRow] = {}
    for some in batches(sorted(set(job_ids))):
        query = select(ReportSignature).where(ReportSignature.job_id.in_(some))
        for row in session.scalars(query.order_by(ReportSignature.id)):
            found[row.job_id] = SignatureRow(
                row.id, row.job_id, row.signed_by, row.license, row.signed_at
            )
    return found


def signed_in_change(session: Session, signature_ids: Iterable[int]) -> dict[int, int]:
    """The change that wrote each signature, by its key."""
    found: dict[int, int] = {}
    for some in batches(sorted(signature_ids)):
        query = select(ChangeItem.row_id, ChangeItem.change_id).where(
            ChangeItem.table_name == "report_signature",
            ChangeItem.row_id.in_(some),
            ChangeItem.op == "made",
        )
        found |= {row[0]: row[1] for row in session.execute(query)}
    return found


def laboratories(session: Session) -> list[tuple[int, str]]:
    """Firms that are laboratories and with whom we still work, by name."""
    query = select(Firm).where(Firm.ended_on.is_(None)).order_by(Firm.name, Firm.id)
    return [(firm.id, firm.name) for firm in session.scalars(query) if "laboratory" in firm.kinds]


def systems_at(session: Session, site_id: int) -> list[tuple[int, str, str]]:
    """Systems that stand at a site: key, label, permit."""
    query = (
        select(System.id, System.label, func.coalesce(System.permit, ""))
        .where(System.site_id == site_id, System.ended_on.is_(None))
        .order_by(System.id)
    )
    return [(row[0], row[1], row[2]) for row in session.execute(query)]
