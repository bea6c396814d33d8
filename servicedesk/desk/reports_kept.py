"""Papers that left, taken out of the register again: the very bytes, as a file to open."""

from datetime import timedelta
from pathlib import Path

from servicedesk.desk.office import Desk
from servicedesk.desk.report_register import register
from servicedesk.records.register_rows import RegisterRow

__all__ = ["RegisterRow", "paper_file", "went_out"]

YEAR = timedelta(days=366)


def went_out(desk: Desk) -> tuple[RegisterRow, ...]:
    """Papers of the last year, the latest first."""
    tomorrow = desk.today + timedelta(days=1)
    return tuple(reversed(register(desk, first=tomorrow - YEAR, until=tomorrow)))


def paper_file(desk: Desk, paper_id: int) -> tuple[str, str]:
    """The paper as it left, as a file beside the store: its folder and its name.

    Raises Trouble where no bytes were kept here, and where the folder cannot be written.
    """
    from servicedesk.desk.places_on_disk import papers_folder
    from servicedesk.desk.report_mail import write_file
    from servicedesk.desk.reports import sent_pdf

    folder: Path = papers_folder(desk.store.place) / "sent"
    name = f"paper-{paper_id}.pdf"
    write_file(folder / name, sent_pdf(desk, paper_id))
    return str(folder), name
