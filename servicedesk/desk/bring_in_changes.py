"""Fields that a list changes on records that stand already."""

from collections.abc import Callable, Iterable
from datetime import date
from typing import TYPE_CHECKING, Any

from rapidfuzz import fuzz

from servicedesk.desk.bring_in_fields import position_source
from servicedesk.records.brought_rows import end_owner_role, records_by_id
from servicedesk.records.contracts import Contract
from servicedesk.records.people import Customer, SiteRole
from servicedesk.records.sites import Site, SiteSecret, System

if TYPE_CHECKING:
    from servicedesk.desk.bring_in_plan import FieldChange, RowPlan
    from servicedesk.desk.bring_in_write import Writing

SAME_NAME = 80  # of 100: above, a name was spelled anew; below, the site has another owner
Todo = list[tuple["RowPlan", "FieldChange"]]


def write_changes(writing: "Writing") -> None:
    """Inside a change: every applied change of every row."""
    todo = [(plan, change) for plan in writing.plans for change in plan.applied]
    _write(writing, Site, _of(todo, "site"), lambda plan: plan.site_id, _on_site)
    _write(writing, System, _of(todo, "system"), lambda plan: plan.system_id, _on_system)
    _write(writing, Contract, _of(todo, "contract"), lambda plan: plan.contract_id, _on_contract)
    owners = _of(todo, "owner")
    replaced = [(p, c) for p, c in owners if c.name == "owner.name" and is_another(c)]
    for plan, _change in replaced:
        _replace_owner(writing, plan)
    rows = {plan.row for plan, _change in replaced}
    rest = [(plan, change) for plan, change in owners if plan.row not in rows]
    _write(writing, Customer, rest, lambda plan: plan.customer_id, _on_customer)
    _secrets(writing, _of(todo, "secret"))


def is_another(change: "FieldChange") -> bool:
    """Does a changed name mean another owner, or the same one spelled anew?"""
    return fuzz.token_sort_ratio(change.old.casefold(), change.new.casefold()) < SAME_NAME


def _of(todo: Todo, kind: str) -> Todo:
    return [(plan, change) for plan, change in todo if change.name.startswith(f"{kind}.")]


def _write(
    writing: "Writing",
    model: type[Any],
    todo: Todo,
    key: Callable[["RowPlan"], int | None],
    write: Callable[["Writing", Any, "RowPlan", "FieldChange"], None],
) -> None:
    records = records_by_id(writing.work, model, {k for plan, _c in todo if (k := key(plan))})
    for plan, change in todo:
        write(writing, records[key(plan) or 0], plan, change)
    writing.work.session.flush()


def _column(change: "FieldChange") -> str:
    return change.name.split(".", maxsplit=1)[1]


def _on_site(writing: "Writing", site: Site, plan: "RowPlan", change: "FieldChange") -> None:
    if change.name == "site.position":
        site.lat_deg, site.lon_deg = change.value
        rows = (p.source for p in writing.plans if p.source.site == plan.source.site)
        placed = next((row for row in rows if row.position is not None), plan.source)
        site.position_source = position_source(placed, writing.proposal.mapping).value
    else:
        setattr(site, _column(change), change.value)


def _on_system(writing: "Writing", system: System, _plan: "RowPlan", change: "FieldChange") -> None:
    if change.name == "system.authority":
        system.authority_id = writing.authorities[change.value]
    elif change.name == "system.started_on":
        system.started_on = date.fromisoformat(change.value)
    else:
        setattr(system, _column(change), change.value)


def _on_contract(
    _writing: "Writing", contract: Contract, _plan: "RowPlan", change: "FieldChange"
) -> None:
    is_day = change.name.endswith("_on")
    value = date.fromisoformat(change.value) if is_day else change.value
    setattr(contract, _column(change), value)


def _on_customer(
    _writing: "Writing", customer: Customer, _plan: "RowPlan", change: "FieldChange"
) -> None:
    setattr(customer, _column(change), change.value)


def _replace_owner(writing: "Writing", plan: "RowPlan") -> None:
    """The site has another owner from today on; the former one stays in the book."""
    from servicedesk.desk.bring_in_write import new_customer, phone_record

    site_id, before = writing.site_of(plan), plan.customer_id
    customer = writing.work.add(new_customer(plan.source))
    if before is not None:
        end_owner_role(writing.work, site_id, before, writing.desk.today)
    writing.work.add(
        SiteRole(
            site_id=site_id,
            customer_id=customer.id,
            role="owner",
            from_on=writing.desk.today,
        )
    )
    writing.work.add_all([phone_record(customer.id, phone) for phone in plan.source.phones])
    writing.owners[plan.row] = customer.id


def _secrets(writing: "Writing", todo: Iterable[tuple["RowPlan", "FieldChange"]]) -> None:
    for plan, _change in todo:
        first = writing.book.secrets[plan.site_id or 0][0]
        record = records_by_id(writing.work, SiteSecret, {first[0]})[first[0]]
        record.value = plan.secret
