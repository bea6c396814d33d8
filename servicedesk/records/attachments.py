"""Photos and papers kept by the hash of their bytes, through one seam."""

from datetime import datetime

from sqlalchemy import LargeBinary
from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Kind, Logged, Record, Uid, ref


class Attachment(Logged):
    """A file that belongs to something."""

    __tablename__ = "attachment"
    uid: Mapped[Uid]
    sha256: Mapped[str] = mapped_column(index=True)
    name: Mapped[str]
    media_type: Mapped[str]
    n_bytes: Mapped[int]
    taken_at: Mapped[datetime | None]
    site_id: Mapped[int | None] = ref("site", optional=True)
    visit_id: Mapped[int | None] = ref("visit", optional=True)
    unit_id: Mapped[int | None] = ref("unit", optional=True)
    note: Mapped[str] = mapped_column(default="")


class ContentChunk(Record):
    """A piece of a file's bytes, where no folder can hold it (PostgreSQL)."""

    __tablename__ = "content_chunk"
    kind = Kind.CONTENT
    sha256: Mapped[str] = mapped_column(index=True)
    place: Mapped[int]
    chunk: Mapped[bytes] = mapped_column(LargeBinary)
