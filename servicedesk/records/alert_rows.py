"""Questions about alerts."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from servicedesk.records.alerts import Alert
from servicedesk.records.calls import Call
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class AlertRow:
    """An alert as it stands, with the address it is about."""

    id: int
    revision: int
    kind_of: str
    site_id: int | None
    system_id: int | None
    model_id: int | None
    symptom: str
    call_id: int | None
    raised_at: datetime
    since_on: date | None
    level: str
    evidence: Mapping[str, Any]
    state: str
    put_off_until: date | None
    dealt_by: str
    dealt_at: datetime | None
    dealt_why: str
    judged: str
    settled_call_id: int | None
    address: str = ""
    locality: str = ""
    label: str = ""


def alerts(
    session: Session,
    *,
    kind_of: str | None = None,
    alert_ids: Iterable[int] | None = None,
    site_ids: Iterable[int] | None = None,
) -> list[AlertRow]:
    """Alerts that meet the conditions given, oldest first (one query)."""
    query = (
        select(Alert, Site.address, Site.locality, System.label)
        .outerjoin(System, System.id == Alert.system_id)
        .outerjoin(Site, Site.id == Alert.site_id)
        .order_by(Alert.id)
    )
    if kind_of is not None:
        query = query.where(Alert.kind_of == kind_of)
    if alert_ids is not None:
        query = query.where(Alert.id.in_(list(alert_ids)))
    if site_ids is not None:
        query = query.where(Alert.site_id.in_(list(site_ids)))
    names = set(AlertRow.__dataclass_fields__) - {"address", "locality", "label"}
    return [
        AlertRow(
            **{name: getattr(alert, name) for name in names},
            address=address or "",
            locality=locality or "",
            label=label or "",
        )
        for alert, address, locality, label in session.execute(query)
    ]


def latest_known_at(session: Session) -> datetime | None:
    """The latest call, visit that took place or alert that the store knows of."""
    visits = select(func.max(Visit.arrived_at)).where(Visit.state == "done")
    asked = (select(func.max(Call.called_at)), visits, select(func.max(Alert.raised_at)))
    return max((at for query in asked if (at := session.scalar(query)) is not None), default=None)
