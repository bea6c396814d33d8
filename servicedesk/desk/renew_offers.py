"""Offers that left: kept byte for byte in the register, and reminded of once where nobody answers.

An offer is answered when the next contract runs or this one is written as ending.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from servicedesk.desk import letter_wording
from servicedesk.desk.checking import Wrong, refuse
from servicedesk.desk.office import Desk
from servicedesk.desk.renew_sent import KINDS, OfferState, offers_of
from servicedesk.desk.renewal_letters import Letters, Offered, offered_lines, renewal_letters
from servicedesk.desk.renewals import SETTLED, RenewalLine, RenewalPage
from servicedesk.desk.report_mail import mail_address
from servicedesk.desk.report_register import take_numbers
from servicedesk.desk.usual import REPORT_WAYS
from servicedesk.records import offer_rows
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.store import Changed
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

WAYS = tuple(way for way in REPORT_WAYS if way != "own form")


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferPaper:
    """A letter that left: its number, whom it went to, and its bytes."""

    contract_id: int
    paper_id: int
    number: int
    kind: str  # of `desk.letter_wording`
    address: str
    to_whom: str
    pdf: bytes

    @property
    def file_name(self) -> str:
        """A name for the file, safe on every system."""
        return f"{self.kind}-{self.number}.pdf"


@dataclass(frozen=True, slots=True, kw_only=True)
class SentOffers:
    """All letters of one run: merged for the printer, and each for itself."""

    merged: bytes
    papers: tuple[OfferPaper, ...]
    changed: Changed


def not_offered(page: RenewalPage, offers: Mapping[int, OfferState]) -> list[RenewalLine]:
    """Contracts to renew or raise that no letter went out for."""
    return [
        line
        for line in page.lines
        if line.contract_id not in offers
        and line.price is not None
        and line.decision in {"renew", "raise"}
    ]


def unanswered(
    page: RenewalPage, offers: Mapping[int, OfferState], *, to_remind: bool = False
) -> list[RenewalLine]:
    """Contracts offered and neither renewed nor ending, the first to be reminded first.

    `to_remind`: only those whose day has come and that were not reminded yet.
    """
    found = [
        line
        for line in page.lines
        if line.contract_id in offers and line.decision not in SETTLED and line.price is not None
    ]
    if to_remind:
        found = [
            line
            for line in found
            if offers[line.contract_id].reminded_on is None
            and offers[line.contract_id].next_on <= page.today
        ]
    return sorted(found, key=lambda line: (offers[line.contract_id].next_on, line.number))


def send_offers(
    desk: Desk,
    page: RenewalPage,
    contract_ids: Sequence[int],
    *,
    how: str,
    kind: str = letter_wording.OFFER,
    sent_on: date | None = None,
    progress: Progress = quiet,
) -> SentOffers:
    """Number, print and keep letters, and write into the register that they left, in one change.

    If the run is stopped nothing is written (numbers taken are not given again). Raises Trouble for
    wording that cannot be filled in, a contract without a price, one that was offered already or
    reminded of already, a reminder of nothing, and a mail without the company's own address;
    WrongEntry for the form.
    """
    _refuse_form(desk, how, sent_on)
    if how == "email":
        mail_address(desk)
    offers = offers_of(desk)
    lines = offered_lines(page, contract_ids)
    _refuse_twice(desk, lines, offers, kind)
    # what cannot be printed takes no number
    renewal_letters(
        desk, page, kind=kind, contract_ids=[line.contract_id for line in lines][:1],
        offers=spoken_of(offers),
    )  # fmt: skip
    numbers = take_numbers(desk, len(lines))
    numbered = {line.contract_id: n for line, n in zip(lines, numbers, strict=True)}
    made = renewal_letters(
        desk, page, kind=kind, contract_ids=list(numbered), single=True, numbers=numbered,
        offers=spoken_of(offers), progress=progress,
    )  # fmt: skip
    return _written(desk, lines, numbered, made, how=how, kind=kind, at=_sent_at(desk, sent_on))


def _written(
    desk: Desk,
    lines: Sequence[RenewalLine],
    numbered: Mapping[int, int],
    made: Letters,
    *,
    how: str,
    kind: str,
    at: datetime,
) -> SentOffers:
    """Keep the bytes, then write the register in one change."""
    hashes = {key: desk.store.content.put(made.single[key]) for key in made.contract_ids}
    with desk.store.read() as session:
        systems = offer_rows.first_systems(session, numbered)
    what = (
        say_n("Sent {n} offer", "Sent {n} offers", len(lines))
        if kind == letter_wording.OFFER
        else say_n("Reminded of {n} offer", "Reminded of {n} offers", len(lines))
    )
    rows = [
        PaperSent(
            number=numbered[line.contract_id],
            kind_of=KINDS[kind],
            sha256=hashes[line.contract_id],
            contract_id=line.contract_id,
            system_id=systems.get(line.contract_id),
            to_kind="owner",
            to_whom=line.holder,
            how=how,
            sent_at=at,
        )
        for line in lines
    ]
    with desk.store.change(desk.who, what) as work:
        work.add_all(rows)
        papers = tuple(
            OfferPaper(
                contract_id=line.contract_id,
                paper_id=row.id,
                number=numbered[line.contract_id],
                kind=kind,
                address=line.address,
                to_whom=line.holder,
                pdf=made.single[line.contract_id],
            )
            for line, row in zip(lines, rows, strict=True)
        )
    return SentOffers(merged=made.merged, papers=papers, changed=work.changed)


def _refuse_form(desk: Desk, how: str, sent_on: date | None) -> None:
    wrong = []
    if how not in WAYS:
        wrong.append(Wrong("how", say("Say how it goes: one of {ways}.", ways=", ".join(WAYS))))
    if sent_on is not None and sent_on > desk.today:
        wrong.append(Wrong("sent_on", say("That day is still to come."), desk.today))
    refuse(wrong)


def _refuse_twice(
    desk: Desk, lines: Iterable[RenewalLine], offers: Mapping[int, OfferState], kind: str
) -> None:
    """A second offer, a reminder of nothing and a second reminder are refused by name."""
    is_offer = kind == letter_wording.OFFER
    for line in lines:
        sent = offers.get(line.contract_id)
        if is_offer and sent is not None:
            says = say(
                "Contract {number} was offered on {day} already, number {n}.",
                number=line.number, day=desk.formats.day(sent.sent_on), n=sent.number or "",
            )  # fmt: skip
        elif not is_offer and sent is None:
            says = say("Contract {number} was not offered yet.", number=line.number)
        elif not is_offer and sent is not None and sent.reminded_on is not None:
            says = say(
                "Contract {number} was reminded on {day} already.",
                number=line.number, day=desk.formats.day(sent.reminded_on),
            )  # fmt: skip
        else:
            continue
        raise Trouble(
            says,
            means=say("No letter was made."),
            do=say("Leave it out; after a reminder somebody calls."),
        )


def spoken_of(offers: Mapping[int, OfferState]) -> dict[int, Offered]:
    """Offers as a reminder speaks of them."""
    return {key: Offered(one.number, one.sent_on) for key, one in offers.items()}


def _sent_at(desk: Desk, sent_on: date | None) -> datetime:
    if sent_on is None or sent_on == desk.today:
        return desk.clock.now()
    return desk.clock.instant(sent_on, 12 * 60)
