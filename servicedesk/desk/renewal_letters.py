"""Offer letters for contracts that end, in the company's own wording with fields."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from string import Formatter

from servicedesk.desk.office import Desk
from servicedesk.desk.renewals import RenewalLine, RenewalPage
from servicedesk.duties.months import add_months
from servicedesk.papers.renewal_letter import Letter, letters_pdf
from servicedesk.renewals.price import RAISE, RENEW
from servicedesk.values.money import Money
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

FIELDS = (
    "holder", "address", "contract", "visits", "ends", "from", "until", "price_now", "price",
    "change", "company", "phone", "email",
)  # fmt: skip
# only what is settled is offered by letter: who must be called is called first
OFFERED = (RENEW, RAISE)


@dataclass(frozen=True, slots=True)
class Letters:
    """All letters merged, and each by its contract's id."""

    merged: bytes
    single: Mapping[int, bytes]
    contract_ids: tuple[int, ...]


def default_wording() -> str:
    """The wording where the company has none of its own: paragraphs apart by empty lines."""
    return say(
        "Dear {holder},\n\n"
        "Your maintenance contract {contract} for {address} ends on {ends}. We would be glad to "
        "go on looking after your system.\n\n"
        "We offer the next year, {from} to {until}, with {visits} inspections, at {price}. "
        "This year's price is {price_now}.\n\n"
        "If you agree, sign below and send this letter back, or call us at {phone}.\n\n"
        "Signature: ______________________________     Day: ______________",
        **{name: "{" + name + "}" for name in FIELDS},
    )


def check_wording(text: str) -> None:
    """Raises Trouble for a field that does not exist, or a brace that is not closed."""
    try:
        # how a value is written is ours: "{price:d}" or "{price!r}" would be a field of its own
        used = [
            name + (f"!{shown}" if shown else "") + (f":{spec}" if spec else "")
            for _, name, spec, shown in Formatter().parse(text)
            if name is not None
        ]
    except ValueError as error:
        raise Trouble(
            say("The letter's wording has a brace that belongs to no field."),
            means=say("No letter was made."),
            do=say("Write each field in braces, as {example}; a brace itself doubled.",
                   example="{price}"),
        ) from error  # fmt: skip
    for name in used:
        if name not in FIELDS:
            raise Trouble(
                say("The letter's wording asks for “{name}”, which is no field.", name=name),
                means=say("No letter was made."),
                do=say("Fields are: {fields}.", fields=", ".join(FIELDS)),
            )


def renewal_letters(
    desk: Desk,
    page: RenewalPage,
    *,
    wording: str | None = None,
    contract_ids: Sequence[int] | None = None,
    single: bool = False,
) -> Letters:
    """Letters for the contracts to renew or raise (or those named), in the order of the page.

    Raises Trouble for wording that cannot be filled in, a contract without a price, or no letter.
    """
    text = default_wording() if wording is None else wording
    check_wording(text)
    if contract_ids is None:
        lines = [one for one in page.lines if one.decision in OFFERED]
    else:
        lines = [one for one in page.lines if one.contract_id in set(contract_ids)]
    if not lines:
        raise Trouble(
            say("There is no offer to print."),
            do=say("Choose other contracts or another span."),
        )
    made = [(line.contract_id, _letter(desk, page, line, text)) for line in lines]
    size, title = ("a4" if desk.company.page_size == "a4" else "letter"), say("Renewal offers")
    return Letters(
        merged=letters_pdf([letter for _, letter in made], title, size),  # type: ignore[arg-type]
        single={
            key: letters_pdf([letter], title, size)  # type: ignore[arg-type]
            for key, letter in (made if single else ())
        },
        contract_ids=tuple(key for key, _ in made),
    )


def _letter(desk: Desk, page: RenewalPage, line: RenewalLine, text: str) -> Letter:
    if line.price is None:
        raise Trouble(
            say("Contract {number} has no price to offer.", number=line.number),
            means=say("No letter was made."),
            do=say("Write its price, or leave it out."),
        )
    company, day = desk.company, desk.formats.day
    begin = line.ends_on + timedelta(days=1)
    values = {
        "holder": line.holder,
        "address": line.address,
        "contract": str(line.number),
        "visits": str(line.visits_a_year),
        "ends": day(line.ends_on),
        "from": day(begin),
        "until": day(add_months(begin, 12) - timedelta(days=1)),
        "price_now": desk.formats.money(Money(line.price.now_minor, page.currency)),
        "price": desk.formats.money(Money(line.price.next_minor, page.currency)),
        "change": desk.formats.money(
            Money(line.price.next_minor - line.price.now_minor, page.currency)
        ),
        "company": company.name,
        "phone": company.phone,
        "email": company.email,
    }
    paragraphs = [part.strip() for part in text.split("\n\n") if part.strip()]
    address = line.holder_address or f"{line.address}\n{line.locality}"
    return Letter(
        company=company.name,
        company_lines=tuple(
            part for part in (company.address, company.phone, company.email) if part
        ),
        to=(line.holder, *(part for part in address.splitlines() if part.strip())),
        day=desk.formats.long_day(page.today),
        subject=say("Your maintenance contract for {address}", address=line.address),
        # every value goes in once: braces in a name are no fields
        paragraphs=tuple(part.format(**values) for part in paragraphs),
        foot=company.invented_note,
    )
