"""Decisions about a contract that ends: set a price by hand, make the next one, let it end.

A price set by hand is the price of the drafted next contract; accepting makes the draft run.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from servicedesk.desk.office import Desk
from servicedesk.desk.renew_notes import note_with
from servicedesk.duties.months import add_months
from servicedesk.records import renewal_chain_rows as chain
from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.store import Changed
from servicedesk.records.work import Work
from servicedesk.values.money import Money
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

# what the next contract takes over from the one before
_SAME = (
    "holder_id", "visits_a_year", "counting", "tolerance_days", "longest_gap_months",
    "response_hours", "approval_limit_minor", "billing",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Accepted:
    """An offer that was accepted: the contract that ends, and the price a year of the next one."""

    contract_id: int
    price: Money
    seen: int | None = None  # revision of the contract that was shown


def renew(
    desk: Desk,
    contract_id: int,
    price: Money,
    from_on: date | None = None,
    until_on: date | None = None,
    *,
    allow_gap: bool = False,
    seen: int | None = None,
) -> Changed:
    """Make the contract that follows, running, as one change that can be taken back.

    From the day the last one ends, for a year, unless said otherwise (`until_on` is excluded). A
    drafted one is taken. Raises Trouble for a span without days, a gap (unless allowed), days that
    another contract covers, a price of zero, a contract that is renewed already or not there;
    StaleEdit where the contract changed since it was shown.
    """
    what = say("Renewed a contract for {price} a year", price=desk.formats.money(price))
    with desk.store.change(desk.who, what) as work:
        offer = Accepted(contract_id, price, seen)
        _renewed(desk, work, offer, from_on, until_on, allow_gap=allow_gap)
    return work.changed


def renew_many(desk: Desk, accepted: Sequence[Accepted]) -> Changed:
    """Make the next contract of each, a year long, in one change: all of them or none.

    Raises Trouble as `renew` does.
    """
    what = say_n("Renewed {n} contract", "Renewed {n} contracts", len(accepted))
    with desk.store.change(desk.who, what) as work:
        for offer in accepted:
            _renewed(desk, work, offer, None, None, allow_gap=False)
    return work.changed


def set_price(desk: Desk, contract_id: int, price: Money, *, seen: int | None = None) -> Changed:
    """Set the next year's price by hand: that of the draft that follows, made if there is none."""
    what = say("Set the next price of a contract to {price}", price=desk.formats.money(price))
    with desk.store.change(desk.who, what) as work:
        old = work.fresh(Contract, contract_id, seen=seen)
        _refuse_price(desk, price)
        draft = draft_of(work, old)
        if draft is None:
            end = add_months(old.until_on, 12)
            write_next(work, old, price, old.until_on, end, stage="draft")
        else:
            draft.price_minor = price.minor
    return work.changed


def let_end(desk: Desk, contract_id: int, why: str, *, seen: int | None = None) -> Changed:
    """Write that a contract is not renewed and ends on its last day. Raises Trouble without why."""
    if not why.strip():
        raise Trouble(
            say("Why the contract ends is not written."),
            do=say("Write a few words: they are asked for later."),
        )
    with desk.store.change(desk.who, say("Wrote that a contract is not renewed")) as work:
        contract = work.fresh(Contract, contract_id, seen=seen)
        draft_of(work, contract)  # refuses what is renewed already
        contract.ended_on, contract.ended_why = contract.until_on, why.strip()
    return work.changed


def _renewed(
    desk: Desk,
    work: Work,
    offer: Accepted,
    from_on: date | None,
    until_on: date | None,
    *,
    allow_gap: bool,
) -> None:
    old = work.fresh(Contract, offer.contract_id, seen=offer.seen)
    _refuse_price(desk, offer.price)
    if old.ended_on is not None:
        raise Trouble(
            say("Contract {number} is written as ending.", number=old.number),
            means=say("Nothing was renewed."),
            do=say("Take that back first, or make a new contract."),
        )
    begin = from_on or old.until_on
    end = until_on or add_months(begin, 12)
    if end <= begin:
        raise Trouble(
            say(
                "A contract from {first} cannot end on {last}.",
                first=desk.formats.day(begin),
                last=desk.formats.day(end),
            ),
            do=say("Give an end after its beginning."),
        )
    draft = draft_of(work, old)
    _refuse_span(desk, work, old, begin, end, allow_gap=allow_gap)
    if draft is None:
        write_next(work, old, offer.price, begin, end, stage="running")
        return
    draft.price_minor, draft.from_on, draft.until_on = offer.price.minor, begin, end
    draft.stage, draft.note = "running", note_with(draft.note, "")


def _refuse_price(desk: Desk, price: Money) -> None:
    if price.currency != desk.company.currency:
        raise ValueError("the price is not in the company's currency")
    if price.minor <= 0:
        raise Trouble(
            say("A contract at {price} a year is no contract.", price=desk.formats.money(price)),
            do=say("Give a price above zero."),
        )


def draft_of(work: Work, old: Contract) -> Contract | None:
    """The drafted next contract. Raises Trouble where the next one runs already."""
    drafted = None
    for key in chain.follower_ids(work.session, old.id):
        follower = work.get(Contract, key)
        if follower.stage == "running":
            raise Trouble(
                say(
                    "Contract {number} is renewed already, as {next}.",
                    number=old.number,
                    next=follower.number,
                ),
                means=say("Nothing was changed."),
                do=say("Change that one, or take the renewal back."),
            )
        drafted = follower
    return drafted


def _refuse_span(
    desk: Desk, work: Work, old: Contract, begin: date, end: date, *, allow_gap: bool
) -> None:
    day = desk.formats.day
    if begin > old.until_on and not allow_gap:
        raise Trouble(
            say(
                "Between {first} and {last} the site would have no contract.",
                first=day(old.until_on),
                last=day(begin),
            ),
            do=say("Begin on {day}, or allow the gap.", day=day(old.until_on)),
        )
    systems = [row.system_id for row in chain.systems_under(work.session, old.id)]
    for other in chain.running_over(work.session, systems):
        if other.from_on < end and begin < other.until_on:
            raise Trouble(
                say(
                    "Contract {number} covers {first} to {last} already.",
                    number=other.number,
                    first=day(max(begin, other.from_on)),
                    last=day(min(end, other.until_on)),
                ),
                means=say("A system has one contract at a time."),
                do=say("Begin on {day}, or end the other one.", day=day(other.until_on)),
            )


def write_next(
    work: Work, old: Contract, price: Money | None, begin: date, end: date, *, stage: str
) -> Contract:
    """The contract that follows, over the systems that are in service then.

    It has no price yet where `price` is None. Raises Trouble where no system is left.
    """
    systems = [
        row.system_id
        for row in chain.systems_under(work.session, old.id)
        if row.ended_on is None or row.ended_on > begin
    ]
    if not systems:
        raise Trouble(
            say("Every system of contract {number} is out of service by then.", number=old.number),
            do=say("Write that the contract is not renewed."),
        )
    made = work.add(
        Contract(
            number=work.next_number("contract"),
            from_on=begin,
            until_on=end,
            stage=stage,
            price_minor=price.minor if price else None,
            follows_id=old.id,
            **{name: getattr(old, name) for name in _SAME},
        )
    )
    work.add_all([ContractSystem(contract_id=made.id, system_id=key) for key in systems])
    return made
