"""Bytes by the hash of what they are: papers that left the house, photos."""

import hashlib
import os
from contextlib import suppress
from pathlib import Path
from typing import Protocol
from uuid import uuid4

from sqlalchemy import Engine, func, insert, select

from servicedesk.records.attachments import ContentChunk
from servicedesk.records.errors import file_trouble, translated

CHUNK = 1 << 20  # bytes a row


class Content(Protocol):
    """Keeps bytes under their SHA-256 and gives them back unchanged."""

    def put(self, data: bytes) -> str:
        """Keep `data`; returns its SHA-256 in hex. The same bytes are kept once."""

    def get(self, sha256: str) -> bytes:
        """The bytes with this hash. Raises KeyError if they are not here."""


class FolderContent:
    """A folder beside a file store."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def put(self, data: bytes) -> str:
        """Keep `data`, whole or not at all. Raises Trouble where it cannot be written."""
        sha256 = hashlib.sha256(data).hexdigest()
        target = self._path(sha256)
        if not target.exists():
            # two threads may keep the same bytes at once: each has a file of its own
            part = target.with_suffix(f".{uuid4().hex}.part")
            try:
                target.parent.mkdir(parents=True, exist_ok=True)
                with part.open("wb") as file:
                    file.write(data)
                    file.flush()
                    os.fsync(file.fileno())
                part.replace(target)
            except OSError as error:
                with suppress(OSError):
                    part.unlink(missing_ok=True)
                raise file_trouble(error, target) from error
        return sha256

    def get(self, sha256: str) -> bytes:
        """The bytes with this hash. Raises KeyError if they are not here."""
        try:
            return self._path(sha256).read_bytes()
        except FileNotFoundError as error:
            raise KeyError(sha256) from error

    def _path(self, sha256: str) -> Path:
        return self.folder / sha256[:2] / sha256


class TableContent:
    """A table of chunks, where several seats share a database."""

    def __init__(self, database: Engine) -> None:
        self.database = database
        self.place = str(database.url.database)

    def put(self, data: bytes) -> str:
        """Keep `data` in its own transaction: bytes nobody names yet harm nothing."""
        sha256 = hashlib.sha256(data).hexdigest()
        with translated(self.place), self.database.begin() as connection:
            # two seats may keep the same bytes at once: the second waits and finds them
            lock = int.from_bytes(bytes.fromhex(sha256[:16]), "big", signed=True)
            connection.execute(select(func.pg_advisory_xact_lock(lock)))
            there = select(ContentChunk.id).where(ContentChunk.sha256 == sha256).limit(1)
            if connection.execute(there).first() is None:
                pieces = [data[i : i + CHUNK] for i in range(0, len(data), CHUNK)] or [b""]
                rows = [
                    {"sha256": sha256, "place": n, "chunk": piece} for n, piece in enumerate(pieces)
                ]
                connection.execute(insert(ContentChunk), rows)
        return sha256

    def get(self, sha256: str) -> bytes:
        """The bytes with this hash. Raises KeyError if they are not here."""
        chunks = select(ContentChunk.chunk).where(ContentChunk.sha256 == sha256)
        with translated(self.place), self.database.connect() as connection:
            rows = connection.execute(chunks.order_by(ContentChunk.place)).all()
        if not rows:
            raise KeyError(sha256)
        return b"".join(row.chunk for row in rows)


def content_of(place: str | None, database: Engine) -> Content:
    """Where a store keeps bytes: beside its file, or in the database itself (`place` None)."""
    return TableContent(database) if place is None else FolderContent(Path(f"{place}.files"))
