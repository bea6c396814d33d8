"""E-mail drafts of reports that were numbered: opened, looked at and sent by a person."""

import os
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from servicedesk.desk.office import Desk
from servicedesk.desk.paper_kinds import SECOND_ATTEMPT
from servicedesk.desk.reports import Sent
from servicedesk.exchange.mail_draft import Enclosed, MailDraft, mail_draft
from servicedesk.values.trouble import Trouble
from servicedesk.words import say


def mail_address(desk: Desk) -> str:
    """The company's own address. Raises Trouble where it has none."""
    if "@" not in desk.company.email:
        raise Trouble(
            say("The company has no e-mail address yet."),
            do=say("Write it under Set up, Company."),
        )
    return desk.company.email


def draft_of(desk: Desk, sent: Sent) -> bytes:
    """The mail of a paper that was numbered. Raises Trouble without the company's address."""
    from_email = mail_address(desk)
    day = desk.formats.day(sent.visited_on)
    if sent.kind_of == SECOND_ATTEMPT:
        subject = say("Our visit at {address}, {day}", address=sent.address, day=day)
    else:
        subject = say("Report {n}: {address}, {day}", n=sent.number, address=sent.address, day=day)
    return mail_draft(
        MailDraft(
            from_name=desk.company.name,
            from_email=from_email,
            to_name=sent.to_whom,
            to_email=sent.to_email,
            subject=subject,
            text=_text(desk, sent),
            at=desk.clock.now(),
            uid=sent.uid,
            enclosed=(Enclosed(sent.file_name, sent.pdf),),
        )
    )


def _text(desk: Desk, sent: Sent) -> str:
    day = desk.formats.long_day(sent.visited_on)
    lines = [
        say("Attached is our paper about the visit at {address} on {day}.",
            address=sent.address, day=day),
        "",
        desk.company.name,
        *(part for part in (desk.company.address, desk.company.phone) if part),
    ]  # fmt: skip
    if desk.company.invented_note:
        lines += ["", desk.company.invented_note]
    return "\n".join(lines) + "\n"


def write_drafts(desk: Desk, papers: Iterable[Sent], folder: Path) -> list[Path]:
    """One .eml file a paper. Raises Trouble where the folder cannot be written."""
    return [
        write_file(folder / f"{Path(one.file_name).stem}.eml", draft_of(desk, one))
        for one in papers
    ]


def write_file(path: Path, data: bytes) -> Path:
    """A file, whole or not at all. Raises Trouble where it cannot be written."""
    part = path.with_name(f"{path.name}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with part.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except OSError as error:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise Trouble(
            say("{file} cannot be written.", file=path),
            do=say("Check that its folder is there, has room and may be written to."),
        ) from error
    return path
