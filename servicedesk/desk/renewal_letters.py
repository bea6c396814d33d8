"""Letters about contracts that end: offers, and reminders of offers nobody answered."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.letter_wording import OFFER, check_wording, filled, letter_kind, wording_of
from servicedesk.desk.office import Desk
from servicedesk.desk.renewals import RenewalLine, RenewalPage
from servicedesk.duties.months import add_months
from servicedesk.papers.renewal_letter import Letter, letters_pdf
from servicedesk.renewals.price import RAISE, RENEW
from servicedesk.values.money import Money
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

# only what is settled is offered by letter: who must be called is called first
OFFERED = (RENEW, RAISE)


@dataclass(frozen=True, slots=True)
class Offered:
    """The offer that a reminder speaks of."""

    number: int | None
    on: date


@dataclass(frozen=True, slots=True)
class Letters:
    """All letters merged, and each by its contract's id."""

    merged: bytes
    single: Mapping[int, bytes]
    contract_ids: tuple[int, ...]


def offered_lines(
    page: RenewalPage, contract_ids: Sequence[int] | None = None
) -> list[RenewalLine]:
    """Contracts that a letter goes out for: those named, else what is to be renewed or raised.

    Raises Trouble where there is none.
    """
    if contract_ids is None:
        lines = [one for one in page.lines if one.decision in OFFERED and one.price is not None]
    else:
        wanted = set(contract_ids)
        lines = [one for one in page.lines if one.contract_id in wanted]
    if not lines:
        raise Trouble(
            say("There is no offer to print."),
            do=say("Choose other contracts or another span."),
        )
    return lines


def renewal_letters(
    desk: Desk,
    page: RenewalPage,
    *,
    kind: str = OFFER,
    wording: str | None = None,
    contract_ids: Sequence[int] | None = None,
    single: bool = False,
    numbers: Mapping[int, int] | None = None,
    offers: Mapping[int, Offered] | None = None,
    progress: Progress = quiet,
) -> Letters:
    """Letters for the contracts to renew or raise (or those named), in the order of the page.

    `numbers` of the register by contract, none on a draft; `offers` what reminders speak of.
    Raises Trouble for wording that cannot be filled in, a contract without a price, or no letter;
    Stopped where `progress` does.
    """
    text = wording_of(desk, kind).text if wording is None else wording
    check_wording(text, letter_kind(kind).fields)
    lines = offered_lines(page, contract_ids)
    size, title = ("a4" if desk.company.page_size == "a4" else "letter"), letter_kind(kind).name
    made: list[tuple[int, Letter]] = []
    alone: dict[int, bytes] = {}
    for n, line in enumerate(lines):
        progress(n, len(lines), line.address)
        key = line.contract_id
        letter = _letter(desk, page, line, text, (numbers or {}).get(key), (offers or {}).get(key))
        made.append((key, letter))
        if single:
            alone[key] = letters_pdf([letter], title, size)  # type: ignore[arg-type]
    progress(len(lines), len(lines), say("All in one paper"))
    return Letters(
        merged=letters_pdf([letter for _, letter in made], title, size),  # type: ignore[arg-type]
        single=alone,
        contract_ids=tuple(key for key, _ in made),
    )


def _letter(
    desk: Desk,
    page: RenewalPage,
    line: RenewalLine,
    text: str,
    number: int | None,
    offer: Offered | None,
) -> Letter:
    company = desk.company
    address = line.holder_address or f"{line.address}\n{line.locality}"
    return Letter(
        company=company.name,
        company_lines=tuple(
            part for part in (company.address, company.phone, company.email) if part
        ),
        to=(line.holder, *(part for part in address.splitlines() if part.strip())),
        day=desk.formats.long_day(page.today),
        subject=say("Your maintenance contract for {address}", address=line.address),
        paragraphs=filled(text, _values(desk, page, line, offer)),
        foot=" \u00b7 ".join(
            part
            for part in (
                say("Number {n}", n=number) if number is not None else say("Draft, not sent"),
                company.invented_note,
            )
            if part
        ),
    )


def _values(
    desk: Desk, page: RenewalPage, line: RenewalLine, offer: Offered | None
) -> dict[str, str]:
    if line.price is None:
        raise Trouble(
            say("Contract {number} has no price to offer.", number=line.number),
            means=say("No letter was made."),
            do=say("Write its price, or leave it out."),
        )
    company, day = desk.company, desk.formats.day
    begin = line.ends_on + timedelta(days=1)
    price = line.price

    def money(minor: int) -> str:
        return desk.formats.money(Money(minor, page.currency))

    return {
        "holder": line.holder,
        "address": line.address,
        "contract": str(line.number),
        "visits": str(line.visits_a_year),
        "ends": day(line.ends_on),
        "from": day(begin),
        "until": day(add_months(begin, 12) - timedelta(days=1)),
        "price_now": money(price.now_minor),
        "price": money(price.next_minor),
        "change": money(price.next_minor - price.now_minor),
        "offered": day(offer.on) if offer else "",
        "offer_number": str(offer.number) if offer and offer.number is not None else "",
        "company": company.name,
        "phone": company.phone,
        "email": company.email,
    }
