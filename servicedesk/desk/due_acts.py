"""What can be done about a row of the deadlines: look at its paper, mark it sent, draft a mail."""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from servicedesk.desk.checking import Wrong, refuse
from servicedesk.desk.deadline_line import DeadlineLine, to_kind
from servicedesk.desk.office import Desk
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.store import Changed
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

if TYPE_CHECKING:  # reportlab stays out of the window's start
    from servicedesk.desk.reports import Leaving, Wanted

REPORT_KINDS = ("report", "corrected report")
HOW = ("email", "letter", "paper", "in person", "own form")  # as in desk.reports


@dataclass(frozen=True, slots=True, kw_only=True)
class Outgoing:
    """How a paper goes: by which way, to whom (empty: as the paper says), signed, confirmed.

    `receiver` is one of the row's own receivers, empty for all of them.
    """

    how: str = "email"
    receiver: str = ""
    to_whom: str = ""
    signed_by: str = ""
    confirmation: str = ""


def why_no_paper(line: DeadlineLine | None) -> str | None:
    """Why there is nothing to look at or to mail; None where there is."""
    if line is None:
        return say("Choose something in the list first.")
    if line.kind == "window" and line.job_id is None:
        return say("Nobody was there in vain: there is nothing to write about it.")
    if line.kind not in (*REPORT_KINDS, "window"):
        return say("This is no report.")
    return None


def why_not_sent(line: DeadlineLine | None) -> str | None:
    """Why nothing can be marked as sent; None where it can."""
    if line is None:
        return say("Choose something in the list first.")
    if line.kind in (*REPORT_KINDS, "window"):
        return why_no_paper(line)
    if line.kind not in ("contract", "notice"):
        return say("No paper goes out for this.")
    if line.duty == "contract_after_stop":
        return say("A new contract is what is missing.")
    if line.duty == "contract_after_sale":
        return say("A contract with the new owner is what is missing.")
    if line.kind == "contract" and line.contract_id is None:
        return say("There is no next contract yet whose copy could be sent.")
    return None


def why_no_result(line: DeadlineLine | None) -> str | None:
    """Why there is no result to write."""
    if line is None:
        return say("Choose something in the list first.")
    return None if line.sample_id is not None else say("No result of a sample is awaited here.")


def sign_report(desk: Desk, line: DeadlineLine, name: str) -> Changed:
    """Sign the report of a row. Raises as `signing.sign` does."""
    from servicedesk.desk.signing import sign

    if line.job_id is None:
        raise ValueError(f"{line.what}: no visit stands behind it")
    return sign(desk, [line.job_id], name)


def write_drafts(desk: Desk, line: DeadlineLine) -> tuple[str, str]:
    """Drafts of a row's reports as files beside the store: the folder, and the first one's name.

    Raises Trouble where the folder cannot be written.
    """
    from servicedesk.desk.report_mail import write_file
    from servicedesk.desk.reports import draft_pdf

    folder = _folder(desk)
    names = []
    for one in _wanted(line, ""):
        name = f"draft-{line.due_on}-{one.job_id}-{one.to_kind}.pdf"
        write_file(folder / name, draft_pdf(desk, one))
        names.append(name)
    return str(folder), names[0]


def mark_sent(desk: Desk, line: DeadlineLine, going: Outgoing) -> Changed:
    """Number, keep and register the papers of a row, or write that a copy or notice went.

    Raises WrongEntry, and Trouble as `send_reports` does.
    """
    if line.kind in (*REPORT_KINDS, "window"):
        from servicedesk.desk.reports import send_reports

        return send_reports(desk, _wanted(line, going.receiver), _leaving(going))[1]
    reason = why_not_sent(line)
    if reason is not None:
        raise Trouble(reason)
    return _mark_paper(desk, line, going)


def mail_drafts(desk: Desk, line: DeadlineLine, going: Outgoing) -> tuple[tuple[str, str], Changed]:
    """The papers of a row numbered and registered as mailed, each as a draft beside the store.

    The folder and the first file's name, and what was touched. Raises Trouble without the
    company's own address, before anything is numbered.
    """
    from servicedesk.desk.report_mail import mail_address
    from servicedesk.desk.report_mail import write_drafts as write_mails
    from servicedesk.desk.reports import send_reports

    mail_address(desk)
    sent, changed = send_reports(desk, _wanted(line, going.receiver), _leaving(going))
    paths = write_mails(desk, sent, _folder(desk))
    return (str(paths[0].parent), paths[0].name), changed


def send_all(
    desk: Desk, lines: Iterable[DeadlineLine], going: Outgoing, *, progress: Progress = quiet
) -> tuple[tuple[str, str], Changed]:
    """All reports of these rows in one run: numbered, kept, registered, written into a folder.

    By e-mail each is a draft too. `going.receiver` is a kind of receiver here, empty for all. The
    folder and the first file's name, and what was touched. If it is stopped before the register
    is written nothing left. Raises Trouble where no row is a report.
    """
    from servicedesk.desk.report_mail import draft_of, mail_address, write_file
    from servicedesk.desk.reports import send_reports

    wanted = [
        one
        for line in lines
        if line.kind in REPORT_KINDS
        for one in _wanted(line, "")
        if going.receiver in ("", one.to_kind)
    ]
    if not wanted:
        raise Trouble(say("No report is owed here."))
    mails = going.how == "email"
    if mails:
        mail_address(desk)
    sent, changed = send_reports(desk, wanted, _leaving(going), progress=progress)
    folder = _folder(desk)
    for one in sent:
        write_file(folder / one.file_name, one.pdf)
        if mails:
            write_file(folder / f"{Path(one.file_name).stem}.eml", draft_of(desk, one))
    return (str(folder), sent[0].file_name), changed


def _folder(desk: Desk) -> Path:
    from servicedesk.desk.places_on_disk import papers_folder

    return papers_folder(desk.store.place) / "reports"


def _wanted(line: DeadlineLine, receiver: str) -> list["Wanted"]:
    from servicedesk.desk.reports import Wanted

    if line.job_id is None:
        raise ValueError(f"{line.what}: no visit stands behind it")
    kinds = dict.fromkeys(to_kind(one) for one in _receivers(line, receiver))
    # after an attempt in vain the owner gets a letter, the authority the paper that says so
    vain = line.kind == "window"
    return [Wanted(line.job_id, kind, letter=vain and kind == "owner") for kind in kinds]


def _receivers(line: DeadlineLine, receiver: str) -> Iterable[str]:
    return (receiver,) if receiver else line.receivers


def _leaving(going: Outgoing) -> "Leaving":
    from servicedesk.desk.reports import Leaving

    return Leaving(
        how=going.how,
        signed_by=going.signed_by,
        confirmation=going.confirmation,
        to_whom=going.to_whom,
    )


def _mark_paper(desk: Desk, line: DeadlineLine, going: Outgoing) -> Changed:
    """A copy of a contract or a notice that was made elsewhere: the register knows it went."""
    if going.how not in HOW:
        refuse([Wrong("how", say("Say how it goes: one of {ways}.", ways=", ".join(HOW)))])
    receivers = tuple(_receivers(line, going.receiver))
    kind = "contract copy" if line.kind == "contract" else "notice"
    what = say("Sent a paper about {address}", address=line.address)
    with desk.store.change(desk.who, what) as work:
        for receiver in receivers:
            work.add(
                PaperSent(
                    kind_of=kind,
                    visit_id=line.visit_id,
                    job_id=line.job_id,
                    contract_id=None if line.job_id is not None else line.contract_id,
                    system_id=line.system_id,
                    to_kind=to_kind(receiver),
                    to_whom=going.to_whom.strip() or receiver,
                    how=going.how,
                    sent_at=desk.clock.now(),
                    confirmation=going.confirmation.strip(),
                    signed_by=going.signed_by.strip(),
                    due_on=line.due_on,
                )
            )
    return work.changed
