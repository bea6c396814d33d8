"""Questions about what people were told, and which papers went out."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from servicedesk.records.calls import Call
from servicedesk.records.contracts import ContractSystem
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.sites import System
from servicedesk.records.told import Told
from servicedesk.records.visits import Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldRow:
    """Somebody was told something."""

    id: int
    told_at: datetime
    whom: str
    by_whom: str
    how: str
    what: str | None
    promised_on: date | None
    site_id: int | None
    call_id: int | None
    visit_id: int | None
    owed_id: int | None


def _row(told: Told) -> ToldRow:
    return ToldRow(**{name: getattr(told, name) for name in ToldRow.__dataclass_fields__})


def told_at_site(session: Session, site_id: int) -> list[ToldRow]:
    """What people of a site were told, newest first, also about its calls and visits."""
    visits = select(Visit.id).where(Visit.site_id == site_id)
    calls = select(Call.id).where(Call.site_id == site_id)
    query = (
        select(Told)
        .where(or_(Told.site_id == site_id, Told.visit_id.in_(visits), Told.call_id.in_(calls)))
        .order_by(Told.told_at.desc(), Told.id.desc())
    )
    return [_row(told) for told in session.scalars(query)]


def told_about(
    session: Session, *, visit_ids: Iterable[int] = (), call_ids: Iterable[int] = ()
) -> list[ToldRow]:
    """What was told about these visits and calls, newest first."""
    query = (
        select(Told)
        .where(or_(Told.visit_id.in_(list(visit_ids)), Told.call_id.in_(list(call_ids))))
        .order_by(Told.told_at.desc(), Told.id.desc())
    )
    return [_row(told) for told in session.scalars(query)]


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperRow:
    """A paper that left the house."""

    id: int
    number: int | None
    kind_of: str
    visit_id: int | None
    contract_id: int | None
    to_kind: str
    to_whom: str | None
    how: str
    sent_at: datetime
    confirmation: str
    sha256: str | None = None


def papers_of_site(session: Session, site_id: int) -> list[PaperRow]:
    """Papers about a site's visits, systems and contracts, newest first."""
    systems = select(System.id).where(System.site_id == site_id)
    visits = select(Visit.id).where(Visit.site_id == site_id)
    contracts = select(ContractSystem.contract_id).where(ContractSystem.system_id.in_(systems))
    query = (
        select(PaperSent)
        .where(
            or_(
                PaperSent.visit_id.in_(visits),
                PaperSent.system_id.in_(systems),
                PaperSent.contract_id.in_(contracts),
            )
        )
        .order_by(PaperSent.sent_at.desc(), PaperSent.id.desc())
    )
    return [
        PaperRow(**{name: getattr(paper, name) for name in PaperRow.__dataclass_fields__})
        for paper in session.scalars(query)
    ]
