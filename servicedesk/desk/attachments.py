"""Photos and papers of a site and its visits: added, looked at, noted, taken off."""

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from servicedesk.desk.office import Desk
from servicedesk.desk.report_mail import write_file
from servicedesk.desk.sites import address_of, set_position
from servicedesk.exchange.photos import bare_photo, photo_of, place_of_photo, small_photo
from servicedesk.records import attachment_rows as rows
from servicedesk.records import site_rows
from servicedesk.records.attachments import Attachment
from servicedesk.records.store import Changed
from servicedesk.records.visits import Visit
from servicedesk.values.position import Position, PositionSource
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

MOST_BYTES = 60_000_000  # a scanned permit is a few million
# what is opened with a click: nothing that runs
PAPERS = {
    ".pdf": "application/pdf",
    ".txt": "text/plain",
    ".csv": "text/csv",
    ".docx": "application/vnd.openxmlformats-officedocument.wordprocessingml.document",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ".odt": "application/vnd.oasis.opendocument.text",
    ".ods": "application/vnd.oasis.opendocument.spreadsheet",
}
SMALL_PX = 112
MOST_SMALL = 24  # small pictures made for one list; the older photos show by name


@dataclass(frozen=True, slots=True, kw_only=True)
class Attached:
    """A photo or paper as a list shows it; `small` is a small picture of a photo, else empty."""

    row: rows.AttachmentRow
    is_photo: bool
    place: Position | None
    small: bytes


@dataclass(frozen=True, slots=True)
class Added:
    """What was added in one change (None: nothing), and what was not and why, in sentences."""

    changed: Changed | None
    n: int
    refused: tuple[str, ...]


def attached(desk: Desk, site_id: int) -> tuple[Attached, ...]:
    """Photos and papers of a site and its visits, the newest first."""
    with desk.store.read() as session:
        found = rows.attachments_at(session, site_id)
    photos = [row.id for row in found if _is_photo(row)][:MOST_SMALL]
    return tuple(_shown(desk, row, pictured=row.id in photos) for row in found)


def add_files(
    desk: Desk,
    site_id: int,
    files: Sequence[Path],
    *,
    visit_id: int | None = None,
    progress: Progress = quiet,
) -> Added:
    """Keep files with a site, or with one of its visits, as one change.

    Photos are turned upright and made small; their time stays, and their place until a copy
    leaves the house. What cannot be kept is told, the others are kept. Raises Trouble where the
    site is not there or the bytes cannot be written.
    """
    with desk.store.read() as session:
        address = address_of(site_rows.heads(session, [site_id]), site_id)
    ready, refused = [], []
    for number, file in enumerate(files):
        progress(number, len(files), file.name)
        try:
            ready.append(_ready(desk, file))
        except Trouble as trouble:
            refused.append(" ".join(part for part in (trouble.what, trouble.do) if part))
    if not ready:
        return Added(None, 0, tuple(refused))
    kept = [(desk.store.content.put(data), values) for data, values in ready]
    what = say_n(
        "Added {n} file to {address}", "Added {n} files to {address}", len(kept), address=address
    )
    with desk.store.change(desk.who, what) as work:
        if visit_id is not None and work.get(Visit, visit_id).site_id != site_id:
            raise ValueError(f"visit {visit_id} is not at site {site_id}")
        for sha256, values in kept:
            work.add(Attachment(sha256=sha256, site_id=site_id, visit_id=visit_id, **values))
    return Added(work.changed, len(kept), tuple(refused))


def open_copy(desk: Desk, attachment_id: int) -> Path:
    """A copy to look at, in a folder of its own that only this person may read."""
    row, data = _bytes_of(desk, attachment_id)
    folder = Path(tempfile.mkdtemp(prefix="servicedesk-"))
    return write_file(folder / _file_name(row), data)


def save_copy(desk: Desk, attachment_id: int, path: Path) -> Path:
    """A copy that may leave the house: a photo without when and where it was taken."""
    row, data = _bytes_of(desk, attachment_id)
    return write_file(path, bare_photo(data) if _is_photo(row) else data)


def edit_file(
    desk: Desk, attachment_id: int, *, note: str, visit_id: int | None, seen: int
) -> Changed:
    """What one should know about it, and to which visit it belongs (None: to the site itself).

    Raises StaleEdit if it changed since `seen`, ValueError for a visit somewhere else.
    """
    with desk.store.read() as session:
        row = _found(rows.attachment(session, attachment_id))
    with desk.store.change(desk.who, say("Edited {name}", name=row.name)) as work:
        one = work.fresh(Attachment, attachment_id, seen=seen)
        if visit_id is not None and work.get(Visit, visit_id).site_id != one.site_id:
            raise ValueError(f"visit {visit_id} is not at site {one.site_id}")
        one.note, one.visit_id = note.strip(), visit_id
    return work.changed


def take_off(desk: Desk, attachment_id: int, *, seen: int) -> Changed:
    """It belongs to this site no more; the bytes stay, and it can be taken back.

    Raises StaleEdit if it changed since `seen`.
    """
    with desk.store.read() as session:
        row = _found(rows.attachment(session, attachment_id))
    with desk.store.change(desk.who, say("Took off {name}", name=row.name)) as work:
        one = work.fresh(Attachment, attachment_id, seen=seen)
        one.site_id = one.visit_id = one.unit_id = None
    return work.changed


def take_place(desk: Desk, attachment_id: int, *, site_id: int, seen: int) -> Changed:
    """The site lies where the photo was taken. Raises Trouble for a photo without a place."""
    row, data = _bytes_of(desk, attachment_id)
    place = place_of_photo(data)
    if place is None:
        raise Trouble(say("{name} does not say where it was taken.", name=row.name))
    found = say("the place of {name}", name=row.name)
    return set_position(desk, site_id, place, PositionSource.SURVEYED, seen=seen, found=found)


def _ready(desk: Desk, file: Path) -> tuple[bytes, dict[str, object]]:
    """The bytes to keep and what is known of them."""
    data = _read(file)
    photo = photo_of(data, file.name)
    if photo is not None:
        suffix = ".png" if photo.media_type == "image/png" else ".jpg"
        return photo.data, {
            "name": Path(file.name).stem + suffix,
            "media_type": photo.media_type,
            "n_bytes": len(photo.data),
            "taken_at": _instant(desk, photo.taken),
        }
    media_type = PAPERS.get(file.suffix.casefold())
    if media_type is None or (media_type == PAPERS[".pdf"] and not data.startswith(b"%PDF")):
        raise Trouble(say("{name} is no photo, PDF, text or office document.", name=file.name))
    return data, {"name": file.name, "media_type": media_type, "n_bytes": len(data)}


def _read(file: Path) -> bytes:
    try:
        if file.stat().st_size > MOST_BYTES:
            raise Trouble(say("{name} is larger than 60 MB.", name=file.name))
        data = file.read_bytes()
    except OSError as error:
        raise Trouble(say("{name} cannot be read.", name=file.name)) from error
    if not data:
        raise Trouble(say("{name} is empty.", name=file.name))
    return data


def _instant(desk: Desk, taken: datetime | None) -> datetime | None:
    """The instant of a wall time: by the camera's own zone, else by the company's."""
    if taken is None:
        return None
    zoned = taken if taken.tzinfo is not None else taken.replace(tzinfo=desk.clock.zone)
    return zoned.astimezone(UTC)


def _shown(desk: Desk, row: rows.AttachmentRow, *, pictured: bool) -> Attached:
    if not pictured:
        return Attached(row=row, is_photo=_is_photo(row), place=None, small=b"")
    try:
        data = desk.store.content.get(row.sha256)
    except KeyError:
        return Attached(row=row, is_photo=True, place=None, small=b"")
    return Attached(
        row=row, is_photo=True, place=place_of_photo(data), small=small_photo(data, SMALL_PX)
    )


def _bytes_of(desk: Desk, attachment_id: int) -> tuple[rows.AttachmentRow, bytes]:
    with desk.store.read() as session:
        row = _found(rows.attachment(session, attachment_id))
    try:
        return row, desk.store.content.get(row.sha256)
    except KeyError as error:
        raise Trouble(
            say("The bytes of {name} are missing.", name=row.name),
            do=say("Look in a backup; the folder of files beside the store may have been moved."),
            exit_code=3,
        ) from error


def _found(row: rows.AttachmentRow | None) -> rows.AttachmentRow:
    if row is None:
        raise Trouble(say("That file is not in the store any more."), exit_code=3)
    return row


def _is_photo(row: rows.AttachmentRow) -> bool:
    return row.media_type.startswith("image/")


def _file_name(row: rows.AttachmentRow) -> str:
    """Its name without signs that a folder could not bear."""
    safe = "".join(c if c.isalnum() or c in " ._-()" else "-" for c in row.name).strip(" .")
    return safe or f"file-{row.id}"
