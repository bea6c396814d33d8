"""Estimates for owed work: the paper, numbered and kept when it goes, waiting for its answer."""

from dataclasses import dataclass
from datetime import date

from servicedesk.desk.checking import Wrong, refuse
from servicedesk.desk.office import Desk
from servicedesk.desk.paper_kinds import ESTIMATE
from servicedesk.desk.report_content import page_size, shared_of
from servicedesk.desk.usual import REPORT_WAYS
from servicedesk.papers.estimate import Estimate, estimate_pdf
from servicedesk.records import estimate_rows as rows
from servicedesk.records.estimate_rows import OwedFacts
from servicedesk.records.owed import Owed
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.store import Changed
from servicedesk.values.money import Money
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

AGREE_ROLES = ("owner", "pays", "report")
WAYS = tuple(way for way in REPORT_WAYS if way != "own form")


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateGoing:
    """How an estimate goes: the amount, by which way, to whom (empty: the owner), on which day."""

    amount_minor: int
    how: str = "letter"
    to_whom: str = ""
    note: str = ""
    sent_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateSent:
    """An estimate that went: its key and number in the register, and its bytes."""

    paper_id: int
    number: int
    pdf: bytes


def estimate_draft(desk: Desk, owed_id: int, *, amount_minor: int | None = None) -> bytes:
    """The paper as it would go now, marked as a draft. Raises Trouble without an amount."""
    facts = _facts(desk, owed_id)
    amount = facts.estimate_minor if amount_minor is None else amount_minor
    if amount is None:
        raise Trouble(
            say("There is no amount yet for “{what}”.", what=facts.what),
            do=say("Write what it comes to."),
        )
    return estimate_pdf(_paper(desk, facts, EstimateGoing(amount_minor=amount), None),
                        page_size(desk))  # fmt: skip


def send_estimate(
    desk: Desk, owed_id: int, going: EstimateGoing, *, seen: int | None = None
) -> tuple[EstimateSent, Changed]:
    """Number, make and keep an estimate, write that it went; the work waits for approval.

    Who agreed or declined, and how, is written by `desk.owed.approve` and `decline`. Raises
    WrongEntry for an amount of zero, an unknown way, a day to come; Trouble where the work has
    ended already; StaleEdit.
    """
    facts = _facts(desk, owed_id)
    refuse(_wrong(desk, going))
    if facts.state != "open":
        raise Trouble(
            say("“{what}” has ended already.", what=facts.what),
            do=say("Take that change back first, or add it anew."),
        )
    with desk.store.change(desk.who, say("Took a number of the register")) as work:
        number = work.next_number("report")
    pdf = estimate_pdf(_paper(desk, facts, going, number), page_size(desk))
    sha256 = desk.store.content.put(pdf)
    amount = desk.formats.money(Money(going.amount_minor, desk.company.currency))
    on = going.sent_on or desk.today
    what = say("Sent an estimate of {money} to {address}", money=amount, address=facts.address)
    with desk.store.change(desk.who, what) as work:
        owed = work.fresh(Owed, owed_id, seen=seen)
        owed.estimate_minor, owed.estimate_sent_on = going.amount_minor, on
        owed.waits_for, owed.answer, owed.answered_by, owed.answered_how = "approval", "", "", ""
        row = work.add(
            PaperSent(
                number=number,
                kind_of=ESTIMATE,
                sha256=sha256,
                visit_id=facts.visit_id,
                system_id=facts.system_id,
                to_kind="owner",
                to_whom=going.to_whom.strip() or _agrees(desk, facts, on)[0],
                how=going.how,
                sent_at=desk.clock.now() if on == desk.today else desk.clock.instant(on, 12 * 60),
            )
        )
    return EstimateSent(paper_id=row.id, number=number, pdf=pdf), work.changed


def _wrong(desk: Desk, going: EstimateGoing) -> list[Wrong]:
    wrong = []
    if going.amount_minor <= 0:
        wrong.append(Wrong("amount_minor", say("An estimate comes to more than nothing.")))
    if going.how not in WAYS:
        ways = ", ".join(WAYS)
        wrong.append(Wrong("how", say("Say how it goes: one of {ways}.", ways=ways)))
    if going.sent_on is not None and going.sent_on > desk.today:
        wrong.append(Wrong("sent_on", say("That day is still to come.")))
    return wrong


def _facts(desk: Desk, owed_id: int) -> OwedFacts:
    with desk.store.read() as session:
        found = rows.owed_facts(session, owed_id)
    if found is None:
        raise Trouble(
            say("That is not in the store any more."),
            do=say("Look under All changes; it can be done again there."),
            exit_code=3,
        )
    return found


def _agrees(desk: Desk, facts: OwedFacts, on: date) -> tuple[str, str]:
    """Name and mail address of whoever is to agree: the owner of that day."""
    with desk.store.read() as session:
        found = rows.who_agrees(session, facts.site_id, on, AGREE_ROLES)
    return found or (say("To the owner"), "")


def _paper(desk: Desk, facts: OwedFacts, going: EstimateGoing, number: int | None) -> Estimate:
    on = going.sent_on or desk.today
    name, mail = _agrees(desk, facts, on)
    lines = mail.splitlines() or [facts.address, f"{facts.locality} {facts.postcode}"]
    named = tuple(line.strip() for line in going.to_whom.splitlines() if line.strip())
    company = desk.company
    return Estimate(
        letterhead=shared_of(desk).letterhead,
        to=named or tuple(part.strip() for part in (name, *lines) if part.strip()),
        place=", ".join(p for p in (facts.address, facts.locality) if p),
        number=say("Draft, not sent") if number is None else say("Estimate {n}", n=number),
        day=desk.formats.long_day(on),
        permit=facts.permit or say("not written down"),
        since=desk.formats.day(facts.since_on),
        what=facts.what,
        needs=facts.needs,
        meanwhile=facts.workaround,
        amount=desk.formats.money(Money(going.amount_minor, company.currency)),
        note=going.note.strip(),
        reach=" · ".join(part for part in (company.phone, company.email) if part),
        foot=f"{company.name} · {facts.address}",
        invented=company.invented_note,
    )
