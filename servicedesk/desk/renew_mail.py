"""E-mail drafts of offers and reminders that were numbered: a person looks and sends them."""

from collections.abc import Mapping, Sequence
from pathlib import PurePath

from servicedesk.desk.letter_wording import OFFER
from servicedesk.desk.office import Desk
from servicedesk.desk.renew_offers import OfferPaper
from servicedesk.desk.report_mail import mail_address
from servicedesk.exchange.mail_draft import Enclosed, MailDraft, mail_draft
from servicedesk.records import offer_rows
from servicedesk.words import say


def offer_mails(desk: Desk, papers: Sequence[OfferPaper], kind: str = OFFER) -> dict[str, bytes]:
    """One .eml file a letter, by its name; without a receiver where no address is known.

    Raises Trouble without the company's own address, or for one no mail can carry.
    """
    from_email = mail_address(desk)
    with desk.store.read() as session:
        to = offer_rows.holders_mail(session, [one.contract_id for one in papers])
    return {
        f"{PurePath(one.file_name).stem}.eml": _draft(desk, one, kind, from_email, to)
        for one in papers
    }


def _draft(
    desk: Desk, paper: OfferPaper, kind: str, from_email: str, to: Mapping[int, str]
) -> bytes:
    company = desk.company
    words = {"address": paper.address, "n": paper.number}
    subject = (
        say("Your maintenance contract for {address}: offer {n}", **words)
        if kind == OFFER
        else say("Your maintenance contract for {address}: a reminder, {n}", **words)
    )
    lines = [
        say("Attached is our letter about your maintenance contract for {address}.",
            address=paper.address),
        "",
        company.name,
        *(part for part in (company.address, company.phone) if part),
        *(("", company.invented_note) if company.invented_note else ()),
    ]  # fmt: skip
    return mail_draft(
        MailDraft(
            from_name=company.name,
            from_email=from_email,
            to_name=paper.to_whom,
            to_email=to.get(paper.contract_id, ""),
            subject=subject,
            text="\n".join(lines) + "\n",
            at=desk.clock.now(),
            uid=f"{kind}-{paper.number}",
            enclosed=(Enclosed(paper.file_name, paper.pdf),),
        )
    )
