"""What leaves the year's page: the renewals sheet in three forms, and letters."""

import json
from collections.abc import Sequence
from datetime import date

from servicedesk.desk.letter_wording import OFFER
from servicedesk.desk.office import Desk
from servicedesk.desk.out_files import Files
from servicedesk.desk.places_on_disk import papers_folder
from servicedesk.desk.renew_offers import OfferPaper, offers_of, send_offers, spoken_of
from servicedesk.desk.renewal_letters import renewal_letters
from servicedesk.desk.renewals import RenewalPage
from servicedesk.desk.renewals_sheet import renewals_book, renewals_csv
from servicedesk.records.store import Changed
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say
from servicedesk.words.as_json import plain


def write_renewals(desk: Desk, page: RenewalPage, *, progress: Progress = quiet) -> Files:
    """The workbook, and beside it the same as CSV and JSON.

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
        f"{stem}.json": _json(page),
    }
    progress(2, 3, say("Writing the plain lists"))
    return _written(desk, files)


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

    What is in the register can be printed again from there if the folder cannot be written: that
    is told, and nothing is sent twice. Raises Trouble as `send_offers` does.
    """
    sent = send_offers(
        desk, page, contract_ids, how=how, kind=kind, sent_on=sent_on, progress=progress
    )
    first = sent.papers[0].number
    files = {f"{kind}-{desk.today}-from-{first}.pdf": sent.merged}
    files |= {_name(one, kind): one.pdf for one in sent.papers}
    try:
        return _written(desk, files), sent.changed
    except Trouble as trouble:
        note = f"{trouble.what} " + say("The letters are kept in the register.")
        return (str(papers_folder(desk.store.place) / "year"), (), note), sent.changed


def _json(page: RenewalPage) -> bytes:
    found = {"format": 1, "renewals": plain(page)}
    return json.dumps(found, ensure_ascii=False, indent=1).encode()


def _name(paper: OfferPaper, kind: str) -> str:
    return f"letters/{kind}-{paper.number}.pdf"


def _written(desk: Desk, files: dict[str, bytes]) -> Files:
    from servicedesk.desk.report_mail import write_file

    folder = papers_folder(desk.store.place) / "year"
    for name, data in files.items():
        write_file(folder / name, data)
    return str(folder), tuple(files), ""
