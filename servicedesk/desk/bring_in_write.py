"""Row plans written as records, table by table, inside one change."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any

from servicedesk.desk.bring_in_changes import write_changes
from servicedesk.desk.bring_in_fields import position_source
from servicedesk.desk.bring_in_start import write_start
from servicedesk.desk.bring_in_visits import write_visits
from servicedesk.desk.office import Desk
from servicedesk.exchange.names import ORGANISATION
from servicedesk.exchange.understood import UnderstoodRow
from servicedesk.records.brought_rows import Book, next_numbers, records_by_id
from servicedesk.records.company import BroughtRow
from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.people import Authority, Contact, Customer, Phone, SiteRole
from servicedesk.records.sites import Site, SiteSecret, System
from servicedesk.records.store import Work
from servicedesk.values.progress import Progress
from servicedesk.words import say

if TYPE_CHECKING:
    from servicedesk.desk.bring_in import Proposal
    from servicedesk.desk.bring_in_plan import RowPlan

STEPS = 8


@dataclass(slots=True)
class Writing:
    """What is known while the tables are written: keys of new records by what the plan says."""

    desk: Desk
    work: Work
    proposal: "Proposal"
    book: Book
    technicians: dict[str, int] = field(default_factory=dict)
    authorities: dict[str, int] = field(default_factory=dict)
    customers: dict[int, int] = field(default_factory=dict)  # negative key of the plan: key
    sites: dict[int, int] = field(default_factory=dict)  # place in the list: key
    systems: dict[int, int] = field(default_factory=dict)  # row: key
    holders: dict[int, int] = field(default_factory=dict)  # row: key of whoever holds contracts
    contracts: dict[int, int] = field(default_factory=dict)  # row: key
    owners: dict[int, int] = field(default_factory=dict)  # row: key of an owner who came anew

    @property
    def plans(self) -> tuple["RowPlan", ...]:
        """All rows."""
        return self.proposal.rows

    def site_of(self, plan: "RowPlan") -> int:
        """The key of a row's site."""
        return plan.site_id or self.sites[plan.source.site]

    def system_of(self, plan: "RowPlan") -> int:
        """The key of a row's system."""
        return plan.system_id or self.systems[plan.row]

    def customer_of(self, plan: "RowPlan") -> int | None:
        """The key of a row's owner."""
        if plan.row in self.owners:
            return self.owners[plan.row]
        key = plan.customer_id
        return self.customers[key] if key is not None and key < 0 else key


def write_plans(
    desk: Desk, work: Work, proposal: "Proposal", book: Book, progress: Progress
) -> None:
    """Inside a change: everything the plans say, and what to remember of each row.

    Table by table, so that a list of thousands of rows needs dozens of statements.
    """
    writing = Writing(desk, work, proposal, book)
    writing.technicians = write_start(desk, work, proposal.start)
    steps = (
        _authorities, _customers, _sites, _systems, _roles, _contracts, write_visits,
        write_changes,
    )  # fmt: skip
    for n, step in enumerate(steps):
        progress(n, STEPS, say("Writing"))
        step(writing)
    _remember(writing)


def _authorities(writing: Writing) -> None:
    writing.authorities = dict(writing.book.authorities)
    wanted = [plan.system_values.get("authority") for plan in writing.plans]
    wanted += [
        change.value
        for plan in writing.plans
        for change in plan.applied
        if change.name == "system.authority"
    ]
    new = [
        Authority(name=name)
        for name in dict.fromkeys(filter(None, wanted))
        if name not in writing.authorities
    ]
    writing.work.add_all(new)
    writing.authorities |= {one.name: one.id for one in new}


def _customers(writing: Writing) -> None:
    first: dict[int, RowPlan] = {}
    for plan in writing.plans:
        if plan.customer_id is not None and plan.customer_id < 0:
            first.setdefault(plan.customer_id, plan)
    new = {key: new_customer(plan.source) for key, plan in first.items()}
    writing.work.add_all(list(new.values()))
    writing.customers = {key: customer.id for key, customer in new.items()}
    more: list[Any] = []
    for plan in writing.plans:
        customer_id = writing.customer_of(plan)
        if customer_id is None:
            continue
        more += [phone_record(customer_id, phone) for phone in plan.phones]
        if plan.contact:
            more.append(
                Contact(customer_id=customer_id, name=plan.contact, what=say("second contact"))
            )
    writing.work.add_all(more)


def new_customer(row: UnderstoodRow) -> Customer:
    """The owner of a row as a new customer."""
    owner = row.owner
    assert owner is not None  # noqa: S101 - only rows with an owner get a new customer
    return Customer(
        name=owner.typed,
        kind_of="organization" if owner.kind == ORGANISATION else "household",
        email=", ".join(row.emails) or None,
        mail_address=row.billing_address or None,
    )


def phone_record(customer_id: int, phone: Any) -> Phone:
    """A number as typed, with its E.164 form if it has one."""
    return Phone(
        customer_id=customer_id,
        typed=phone.typed,
        e164=phone.e164,
        label=", ".join(text for text in (phone.label, phone.note) if text),
    )


def _sites(writing: Writing) -> None:
    new = [plan for plan in writing.plans if plan.site_id is None and plan.lead]
    numbers = next_numbers(writing.work, "site", len(new))
    sites = []
    for plan, number in zip(new, numbers, strict=True):
        values = dict(plan.site_values)
        place = values.pop("position", None)
        if place is not None:
            values["lat_deg"], values["lon_deg"] = place
            values["position_source"] = position_source(
                placed_row(writing, plan), writing.proposal.mapping
            ).value
        sites.append(Site(number=number, since_on=writing.desk.today, **values))
    writing.work.add_all(sites)
    writing.sites = {plan.source.site: site.id for plan, site in zip(new, sites, strict=True)}
    writing.work.add_all(
        [
            SiteSecret(site_id=writing.site_of(plan), what="gate", value=plan.secret)
            for plan in writing.plans
            if plan.secret and not any(change.name == "secret.gate" for change in plan.changes)
        ]
    )


def placed_row(writing: Writing, plan: "RowPlan") -> UnderstoodRow:
    """The row of a site that tells its position."""
    if plan.source.position is not None:
        return plan.source
    rows = (other.source for other in writing.plans if other.source.site == plan.source.site)
    return next((row for row in rows if row.position is not None), plan.source)


def _systems(writing: Writing) -> None:
    new = [plan for plan in writing.plans if plan.system_id is None]
    systems = []
    for plan in new:
        values = dict(plan.system_values)
        authority = values.pop("authority", None)
        if "started_on" in values:
            values["started_on"] = date.fromisoformat(values["started_on"])
        systems.append(
            System(
                site_id=writing.site_of(plan),
                authority_id=writing.authorities.get(authority),
                **values,
            )
        )
    writing.work.add_all(systems)
    writing.systems = {plan.row: system.id for plan, system in zip(new, systems, strict=True)}


def _roles(writing: Writing) -> None:
    """Whoever is named as owner owns the site from today, unless they do already."""
    held = {(site.id, key) for site in writing.book.sites.values() for key in site.owner_ids}
    roles = []
    for plan in writing.plans:
        customer_id = writing.customer_of(plan)
        pair = (writing.site_of(plan), customer_id or 0)
        if customer_id is None or pair in held:
            continue
        held.add(pair)
        roles.append(SiteRole(site_id=pair[0], customer_id=customer_id, role="owner"))
    writing.work.add_all(roles)


def _contracts(writing: Writing) -> None:
    new = [plan for plan in writing.plans if plan.new_contract and plan.terms]
    _holders(writing, new)
    numbers = next_numbers(writing.work, "contract", len(new))
    contracts = []
    for plan, number in zip(new, numbers, strict=True):
        terms = plan.terms
        assert terms is not None  # noqa: S101 - chosen above
        assumed = "; ".join(terms.assumed)
        contracts.append(
            Contract(
                number=number,
                holder_id=writing.holders[plan.row],
                from_on=terms.from_on,
                until_on=terms.until_on,
                visits_a_year=terms.visits_a_year,
                price_minor=terms.price_minor,
                follows_id=plan.contract_id,
                note=say("Assumed when brought in: {what}", what=assumed) if assumed else "",
            )
        )
    writing.work.add_all(contracts)
    writing.contracts = {plan.row: one.id for plan, one in zip(new, contracts, strict=True)}
    writing.work.add_all(
        [
            ContractSystem(
                contract_id=writing.contracts[plan.row], system_id=writing.system_of(plan)
            )
            for plan in new
        ]
    )


def _holders(writing: Writing, plans: Iterable["RowPlan"]) -> None:
    """Who holds each contract: the owner; where nobody is named, "Owner of" the address."""
    unknown: dict[int, Customer] = {}
    waiting: dict[int, int] = {}
    for plan in plans:
        site = writing.site_of(plan)
        owners = writing.book.sites[site].owner_ids if site in writing.book.sites else ()
        holder = writing.customer_of(plan) or (owners[0] if owners else None)
        if holder is not None:
            writing.holders[plan.row] = holder
            continue
        waiting[plan.row] = site
        if site not in unknown:
            address = plan.source.address or plan.title
            unknown[site] = Customer(name=say("Owner of {address}", address=address))
    writing.work.add_all(list(unknown.values()))
    writing.holders |= {row: unknown[site].id for row, site in waiting.items()}


def _remember(writing: Writing) -> None:
    """What the list said, row by row, for the next time."""
    changed = [plan for plan in writing.plans if plan.cells is not None]
    own = records_by_id(writing.work, BroughtRow, {p.brought_id for p in changed if p.brought_id})
    new = []
    for plan in changed:
        cells = dict(plan.cells or {})
        cells["customer_id"] = writing.customer_of(plan)
        contract_id = writing.contracts.get(plan.row, plan.contract_id)
        if contract_id is not None:
            cells["contract_id"] = contract_id
        keys = cells["keys"]
        row_key = ":".join(keys[0]) if keys else str(plan.row)
        if plan.brought_id is not None:
            record = own[plan.brought_id]
            record.cells, record.seen_on, record.row_key = cells, writing.desk.today, row_key
            continue
        new.append(
            BroughtRow(
                list_name=writing.proposal.list_name,
                row_key=row_key,
                site_id=writing.site_of(plan),
                system_id=writing.system_of(plan),
                cells=cells,
                seen_on=writing.desk.today,
            )
        )
    writing.work.add_all(new)
