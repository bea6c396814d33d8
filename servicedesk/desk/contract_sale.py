"""A house sold: roles end and begin on a day, the contract moves to the buyer or ends.

What the seller was sent stays the seller's; from the day of the sale on every paper is made for
the buyer. Papers of visits before that day go to whoever owned the place then.
"""

from dataclasses import dataclass
from datetime import date

from servicedesk.desk.bills_hold import renew_hold
from servicedesk.desk.checking import Wrong, refuse
from servicedesk.desk.office import Desk
from servicedesk.desk.site_entry import add_customer
from servicedesk.records import contract_life_rows as rows
from servicedesk.records.bill_rows import unpaid_by_site
from servicedesk.records.contracts import Contract
from servicedesk.records.people import Customer, SiteRole
from servicedesk.records.store import Changed
from servicedesk.records.work import Work
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

MOVES, ENDS = "moves", "ends"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sale:
    """A house changes hands: the buyer owns it from `on`.

    `contract`: MOVES, the buyer keeps it as it stands; ENDS, its last day is the one before.
    `buyer_id` names a customer in the book, otherwise `buyer` makes a new one.
    """

    site_id: int
    on: date
    buyer: str = ""
    buyer_id: int | None = None
    phones: tuple[str, ...] = ()
    mail_address: str = ""
    contract: str = MOVES


def sell_house(desk: Desk, sale: Sale) -> Changed:
    """Write a sale as one change: every role of the seller there ends, the buyer's begin.

    Contracts of the seller over the systems there go to the buyer or end, those not begun and
    drafts with them; contracts that somebody else holds stay. Raises WrongEntry for a day to
    come, a day before the seller's own, a buyer who is the owner already or has no name; Trouble
    where the contract covers other places too.
    """
    with desk.store.read() as session:
        address = rows.address_at(session, sale.site_id) or ""
        owners = rows.owners_on(session, sale.site_id, sale.on)
        late = rows.owners_on(session, sale.site_id, desk.today)
        name = session.get(Customer, sale.buyer_id).name if sale.buyer_id else sale.buyer  # type: ignore[union-attr]
    refuse(_wrong(desk, sale, owners, late))
    what = say("{address} was sold to {buyer}", address=address, buyer=name.strip())
    with desk.store.change(desk.who, what) as work:
        unpaid = unpaid_by_site(work.session, [sale.site_id], desk.today)
        buyer_id = sale.buyer_id or add_customer(desk, work, sale.buyer, sale.phones)
        if sale.mail_address.strip():
            work.get(Customer, buyer_id).mail_address = sale.mail_address.strip()
        sellers = {one.customer_id for one in owners}
        _change_roles(work, sale, sellers, buyer_id)
        for row in rows.contracts_at(work.session, sale.site_id):
            if row.holder_id in sellers and row.effective_until_on > sale.on:
                _pass_on(work, sale, row, buyer_id)
        renew_hold(work, {sale.site_id}, desk.today, before=unpaid)
    return work.changed


def _wrong(
    desk: Desk, sale: Sale, owners: list[SiteRole], owners_today: list[SiteRole]
) -> list[Wrong]:
    wrong = []
    if sale.buyer_id is None and not sale.buyer.strip():
        wrong.append(Wrong("buyer", say("Write who bought it.")))
    if sale.on > desk.today:
        wrong.append(Wrong("on", say("Write a sale on its day or after it, not before.")))
    elif {one.id for one in owners_today} - {one.id for one in owners}:
        says = say("Somebody else owns it since then: the sale was written already.")
        wrong.append(Wrong("on", says))
    elif any(one.from_on == sale.on for one in owners):
        wrong.append(Wrong("on", say("The owner of that day began on it: was it sold later?")))
    if sale.buyer_id is not None and any(one.customer_id == sale.buyer_id for one in owners):
        wrong.append(Wrong("buyer", say("The buyer owns it already.")))
    if sale.contract not in (MOVES, ENDS):
        raise ValueError(f"{sale.contract!r} is neither {MOVES} nor {ENDS}")
    return wrong


def _change_roles(work: Work, sale: Sale, sellers: set[int], buyer_id: int) -> None:
    """What the seller was there ends; the buyer owns, pays and gets the report as the seller did.

    Whoever else lives there, opens or pays keeps that.
    """
    left = [
        role
        for role in rows.roles_on(work.session, sale.site_id, sale.on)
        if role.customer_id in sellers
    ]
    for role in left:
        role.until_on = sale.on
    kinds = dict.fromkeys(["owner", *(role.role for role in left)])
    work.add_all(
        [
            SiteRole(site_id=sale.site_id, customer_id=buyer_id, role=kind, from_on=sale.on)
            for kind in kinds
        ]
    )


def _pass_on(work: Work, sale: Sale, row: rows.ContractLifeRow, buyer_id: int) -> None:
    if row.elsewhere:
        raise Trouble(
            say("Contract {n} covers other places as well.", n=row.number),
            means=say("The sale was not written."),
            do=say("End it and write a contract for each place first."),
        )
    contract = work.get(Contract, row.id)
    if sale.contract == MOVES:
        contract.holder_id = buyer_id
        return
    contract.ended_on = max(sale.on, contract.from_on)
    contract.ended_why = say("house sold")
