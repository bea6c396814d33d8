"""What leaves the year's page: the renewals sheet in three forms, and letters."""

import json
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from servicedesk.desk.letter_wording import OFFER
from servicedesk.desk.office import Desk
from servicedesk.desk.out_files import Files
from servicedesk.desk.places_on_disk import papers_folder
from servicedesk.desk.renew_mail import offer_mails
from servicedesk.desk.renew_offers import send_offers, spoken_of
from servicedesk.desk.renew_sent import offers_of
from servicedesk.desk.renewal_letters import renewal_letters
from servicedesk.desk.renewals import RenewalPage
from servicedesk.desk.renewals_sheet import renewals_book, renewals_csv
from servicedesk.desk.report_mail import write_file
from servicedesk.desk.year_inspections import YearInspections
from servicedesk.desk.year_lists import inspections_csv, late_csv, outlook_csv, outlook_paper
from servicedesk.desk.year_outlook import Outlook
from servicedesk.desk.year_pumps import pump_csv, pump_pdf
from servicedesk.records.store import Changed
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say
from servicedesk.words.as_json import plain


def write_renewals(
    desk: Desk, page: RenewalPage, *, folder: Path | None = None, progress: Progress = quiet
) -> Files:
    """The workbook, and beside it the same as CSV and JSON, in `folder` (None: that of the year).

    Raises Trouble if the folder cannot be written.
    """
    stem = f"renewals-{page.from_on}-{desk.today}"
    if (page.from_on.month, page.from_on.day) == (1, 1):
        stem = f"renewals-{page.from_on.year}-{desk.today}"
    progress(0, 3, say("Writing the workbook"))
    book = renewals_book(desk, page)
    progress(1, 3, say("Writing the plain lists"))
    files = {
        f"{stem}.xlsx": book,
        f"{stem}.csv": renewals_csv(desk, page),
        f"{stem}.json": renewals_json(page),
    }
    progress(2, 3, say("Writing the plain lists"))
    return _written(desk, files, folder)


def write_draft_letters(
    desk: Desk,
    page: RenewalPage,
    contract_ids: Sequence[int] | None,
    *,
    kind: str = OFFER,
    progress: Progress = quiet,
) -> Files:
    """Letters to look at, marked as drafts: nothing is numbered and no register written.

    Raises Trouble as `renewal_letters` does.
    """
    made = renewal_letters(
        desk, page, kind=kind, contract_ids=contract_ids, offers=spoken_of(offers_of(desk)),
        progress=progress,
    )  # fmt: skip
    return _written(desk, {f"{kind}-drafts-{desk.today}.pdf": made.merged})


def send_and_write(
    desk: Desk,
    page: RenewalPage,
    contract_ids: Sequence[int],
    *,
    how: str,
    kind: str = OFFER,
    sent_on: date | None = None,
    progress: Progress = quiet,
) -> tuple[Files, Changed]:
    """Send letters into the register, then write them: merged for the printer, and each alone.

    By e-mail each also becomes a draft (.eml) that any mail program opens.

    What is in the register can be printed again from there if the folder cannot be written: that
    is told, and nothing is sent twice. Raises Trouble as `send_offers` does.
    """
    sent = send_offers(
        desk, page, contract_ids, how=how, kind=kind, sent_on=sent_on, progress=progress
    )
    first = sent.papers[0].number
    files = {f"{kind}-{desk.today}-from-{first}.pdf": sent.merged}
    files |= {f"letters/{one.file_name}": one.pdf for one in sent.papers}
    if how == "email":
        mails = offer_mails(desk, sent.papers, kind)
        files |= {f"letters/{name}": mail for name, mail in mails.items()}
    try:
        return _written(desk, files), sent.changed
    except Trouble as trouble:
        note = f"{trouble.what} " + say("The letters are kept in the register.")
        return (str(papers_folder(desk.store.place) / "year"), (), note), sent.changed


def renewals_json(page: RenewalPage) -> bytes:
    """The page as JSON, with everything that is known of each contract."""
    found = {"format": 1, "renewals": plain(page)}
    return json.dumps(found, ensure_ascii=False, indent=1).encode()


def _written(desk: Desk, files: dict[str, bytes], folder: Path | None = None) -> Files:
    folder = folder or papers_folder(desk.store.place) / "year"
    for name, data in files.items():
        write_file(folder / name, data)
    return str(folder), tuple(files), ""


def write_outlook(desk: Desk, seen: Outlook, *, progress: Progress = quiet) -> Files:
    """The months to come as figures (PDF) and as a list, and the hauler's list as PDF and CSV."""
    progress(0, 2, say("Writing the figures"))
    day = desk.today
    files = {
        f"outlook-{day}.pdf": outlook_paper(desk, seen),
        f"outlook-{day}.csv": outlook_csv(seen),
    }
    progress(1, 2, say("Writing the hauler's list"))
    files |= {
        f"pump-outs-{day}.pdf": pump_pdf(desk, seen.pumps),
        f"pump-outs-{day}.csv": pump_csv(desk, seen.pumps),
    }
    return _written(desk, files)


def write_inspections(desk: Desk, year: YearInspections) -> Files:
    """Inspections of the year: counts by month, and every one that was late, as CSV."""
    stem = f"inspections-{year.first.year}-{desk.today}"
    return _written(
        desk,
        {
            f"{stem}.csv": inspections_csv(year),
            f"{stem}-late.csv": late_csv(year),
        },
    )
