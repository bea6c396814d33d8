"""Questions about photos and papers that belong to a site or to one of its visits."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from servicedesk.records.attachments import Attachment
from servicedesk.records.visits import Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class AttachmentRow:
    """A photo or paper. `visit_on`: the day of the visit it belongs to, if any."""

    id: int
    revision: int
    sha256: str
    name: str
    media_type: str
    n_bytes: int
    taken_at: datetime | None
    site_id: int | None
    visit_id: int | None
    note: str
    visit_on: date | None


def attachments_at(session: Session, site_id: int) -> list[AttachmentRow]:
    """Those of a site and of its visits, the newest first; none that were taken off."""
    query = (
        select(Attachment, Visit.planned_on)
        .outerjoin(Visit, Visit.id == Attachment.visit_id)
        .where(or_(Attachment.site_id == site_id, Visit.site_id == site_id))
        .order_by(Attachment.id.desc())
    )
    return [_row(one, day) for one, day in session.execute(query)]


def attachment(session: Session, attachment_id: int) -> AttachmentRow | None:
    """One of them, None if it is not there."""
    one = session.get(Attachment, attachment_id)
    return None if one is None else _row(one, None)


def _row(one: Attachment, day: date | None) -> AttachmentRow:
    names = set(AttachmentRow.__dataclass_fields__) - {"visit_on"}
    return AttachmentRow(**{name: getattr(one, name) for name in names}, visit_on=day)
