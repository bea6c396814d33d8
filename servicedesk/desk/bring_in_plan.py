"""Row by row: what a list would make, change, leave, ask. Reads the book, writes nothing."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

from servicedesk.desk.bring_in_fields import (
    Terms,
    Wish,
    contract_wishes,
    owner_wishes,
    site_wishes,
    system_wishes,
    terms_of,
    wish_title,
)
from servicedesk.desk.bring_in_match import Match, People, matched, row_keys
from servicedesk.desk.bring_in_three import Difference, Memory, compare, first_memory
from servicedesk.exchange import columns
from servicedesk.exchange.addresses import folded_text
from servicedesk.exchange.phones import Phone
from servicedesk.exchange.understood import PastVisit, Severity, Understood, UnderstoodRow
from servicedesk.records.brought_rows import Book, BroughtNow, ContractNow
from servicedesk.values.progress import Progress, quiet
from servicedesk.words import say
from servicedesk.words.formats import Formats

NEW, CHANGED, KEPT, SAME = "new", "changed", "kept", "same"
RENEWED_AFTER_DAYS = 180  # a later end by more is another contract, not a corrected date
HIDDEN = "\u2022\u2022\u2022\u2022"


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldChange:
    """One field, old and new in words. `kept`: edited here since, changes only with a tick."""

    name: str
    title: str
    old: str
    new: str
    ref: str
    kept: bool
    value: Any = field(repr=False, default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class RowPlan:
    """What becomes of one row. `state` is new, changed, kept or same.

    Keys are None where a record is new; a negative `customer_id` is a new customer of the list.
    `made` tells in words what is new, `asked` what a person should look at. `cells` is what to
    remember, None if nothing changed there.
    """

    row: int
    state: str
    title: str
    lead: bool
    site_id: int | None
    system_id: int | None
    customer_id: int | None
    contract_id: int | None = None
    new_contract: bool = False
    terms: Terms | None = None
    changes: tuple[FieldChange, ...] = ()
    phones: tuple[Phone, ...] = ()
    contact: str = ""
    visits: tuple[PastVisit, ...] = ()
    secret: str = field(repr=False, default="")
    made: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    cells: dict[str, Any] | None = field(repr=False, default=None)
    brought_id: int | None = None
    source: UnderstoodRow = field(repr=False)
    site_values: dict[str, Any] = field(repr=False, default_factory=dict)
    system_values: dict[str, Any] = field(repr=False, default_factory=dict)

    @property
    def applied(self) -> tuple[FieldChange, ...]:
        """The changes that will be written."""
        return tuple(change for change in self.changes if not change.kept)


@dataclass(slots=True)
class _Planner:
    understood: Understood
    mapping: columns.Mapping
    book: Book
    list_name: str
    today: date
    formats: Formats
    currency: str
    overwrite: frozenset[tuple[int, str]]
    people: People
    groups: dict[int, list[Match]]
    own: dict[int, BroughtNow]
    waiting: Mapping[int, list[str]]
    keep_region: bool


def plan_rows(
    understood: Understood,
    mapping: columns.Mapping,
    book: Book,
    *,
    list_name: str,
    today: date,
    formats: Formats,
    currency: str,
    overwrite: frozenset[tuple[int, str]] = frozenset(),
    progress: Progress = quiet,
) -> tuple[tuple[RowPlan, ...], tuple[Match, ...]]:
    """What becomes of every understood row, and what each was recognized as.

    `overwrite`: pairs of row and field that may be written over what was edited here.
    """
    found = matched(understood.rows, book, list_name)
    groups: dict[int, list[Match]] = {}
    for match in found:
        groups.setdefault(match.row.site, []).append(match)
    own = {
        one.system_id: one
        for one in book.brought
        if one.list_name == list_name and one.system_id is not None
    }
    planner = _Planner(
        understood, mapping, book, list_name, today, formats, currency, overwrite,
        People.of(book), groups, own, _waiting(understood), shared_region(understood) is None,
    )  # fmt: skip
    plans = []
    for n, match in enumerate(found):
        if n % 100 == 0:
            progress(n, len(found), say("Comparing rows"))
        plans.append(_plan(planner, match))
    return tuple(plans), found


def shared_region(understood: Understood) -> str | None:
    """The state that all rows of a list say, "" where none does, None where they differ."""
    regions = {folded_text(row.region): row.region for row in understood.rows}
    return next(iter(regions.values()), "") if len(regions) < 2 else None


def _plan(planner: _Planner, match: Match) -> RowPlan:
    row, group = match.row, planner.groups[match.row.site]
    several = len(group) > 1
    number = next((m.row.own_number for m in group if m.row.own_number), "")
    on_site = (
        site_wishes([m.row for m in group], keep_region=planner.keep_region) if match.lead else ()
    )
    on_system = system_wishes(row, one_of_several=several, number=number)
    customer_id = planner.people.owner(match)
    plan = RowPlan(
        row=row.row,
        state=SAME,
        title=_title(row),
        lead=match.lead,
        site_id=match.site_id,
        system_id=match.system_id,
        customer_id=customer_id,
        phones=_new_phones(planner, match, customer_id),
        contact=_new_contact(planner, match, customer_id),
        visits=_new_visits(planner, match),
        source=row,
        site_values=_values(on_site),
        system_values=_values(on_system),
    )
    plan, memory = _compared(planner, match, plan, (*on_site, *on_system, *owner_wishes(row)))
    plan = _with_secret(planner, match, plan)
    plan, memory = _with_contract(planner, match, plan, memory)
    return _finished(planner, match, plan, memory)


def _compared(
    planner: _Planner, match: Match, plan: RowPlan, wishes: tuple[Wish, ...]
) -> tuple[RowPlan, Memory]:
    """The fields of standing records compared; those of new ones are only remembered."""
    memory = Memory.of([match.base.cells] if match.base else [])
    if match.lead:  # another row of the site may have led it last time
        bases = [m.base for m in planner.groups[match.row.site] if m.base is not None]
        memory = memory.with_missing(Memory.of(one.cells for one in bases), "site.")
    standing: list[Wish] = []
    made: list[Wish] = []
    for wish in wishes:
        kind = wish.name.split(".", maxsplit=1)[0]
        key = {"site": plan.site_id, "system": plan.system_id, "owner": plan.customer_id}[kind]
        (standing if key is not None and key > 0 else made).append(wish)
    overwrite = frozenset(name for at, name in planner.overwrite if at == plan.row)
    differences, after = compare(standing, _here(planner.book, plan), memory, overwrite)
    first = first_memory(made)
    merged = Memory({**after.said, **first.said}, {**after.wrote, **first.wrote})
    changes = tuple(_change(planner, one) for one in differences)
    return replace(plan, changes=changes), merged


def _here(book: Book, plan: RowPlan) -> dict[str, Any]:
    """What stands in the book for the fields of a row."""
    values: dict[str, Any] = {}
    if plan.site_id is not None:
        site = book.sites[plan.site_id]
        for name in ("own_number", "address", "locality", "postcode", "dogs_note", "access_note"):
            values[f"site.{name}"] = getattr(site, name)
        values["site.note"] = site.note
        known = site.lat_deg is not None and site.position_source != "guessed"
        values["site.position"] = [site.lat_deg, site.lon_deg] if known else None
    if plan.system_id is not None:
        system = book.systems[plan.system_id]
        for name in ("label", "permit", "authority", "dispersal", "bedrooms", "design_flow_gpd"):
            values[f"system.{name}"] = getattr(system, name)
        started = system.started_on
        values["system.started_on"] = started.isoformat() if started else None
    if plan.customer_id is not None and plan.customer_id > 0:
        customer = book.customers[plan.customer_id]
        for name in ("name", "email", "mail_address"):
            values[f"owner.{name}"] = getattr(customer, name)
    return values


def _with_secret(planner: _Planner, match: Match, plan: RowPlan) -> RowPlan:
    """A gate code is written where there is none; another one is changed only with a tick."""
    rows = [m.row for m in planner.groups[match.row.site]]
    secret = "; ".join(dict.fromkeys(row.secret for row in rows if row.secret))
    if not match.lead or not secret:
        return plan
    stands = planner.book.secrets.get(plan.site_id or 0, ())
    if not stands:
        return replace(plan, secret=secret)
    if any(value == secret for _id, _what, value in stands):
        return plan
    kept = (plan.row, "secret.gate") not in planner.overwrite
    change = FieldChange(
        name="secret.gate", title=wish_title("secret.gate"), old=HIDDEN, new=say("another code"),
        ref=match.row.source("gate"), kept=kept,
    )  # fmt: skip
    return replace(plan, secret="" if kept else secret, changes=(*plan.changes, change))


def _with_contract(
    planner: _Planner, match: Match, plan: RowPlan, memory: Memory
) -> tuple[RowPlan, Memory]:
    terms = terms_of(match.row, planner.today)
    if terms is None:
        return plan, memory
    wishes = contract_wishes(match.row, terms)
    stands = _contract_here(planner.book, match, terms)
    if stands is None or _is_next(match, terms, stands, memory):
        first = first_memory(wishes)
        merged = Memory({**memory.said, **first.said}, {**memory.wrote, **first.wrote})
        followed = stands.id if stands else None
        return replace(plan, terms=terms, new_contract=True, contract_id=followed), merged
    here = {
        "contract.from_on": stands.from_on.isoformat(),
        "contract.until_on": stands.until_on.isoformat(),
        "contract.visits_a_year": stands.visits_a_year,
        "contract.price_minor": stands.price_minor,
    }
    overwrite = frozenset(name for at, name in planner.overwrite if at == plan.row)
    differences, after = compare(wishes, here, memory, overwrite)
    changes = tuple(_change(planner, one) for one in differences)
    return replace(plan, contract_id=stands.id, changes=(*plan.changes, *changes)), after


def _contract_here(book: Book, match: Match, terms: Terms) -> ContractNow | None:
    """The standing contract a row speaks of: the remembered one, one of the same day, the last."""
    standing = book.contracts.get(match.system_id or 0, ())
    known = match.base.cells.get("contract_id") if match.base else None
    for one in standing:
        if one.id == known:
            return one
    for one in standing:
        if one.from_on == terms.from_on:
            return one
    return standing[-1] if standing else None


def _is_next(match: Match, terms: Terms, stands: ContractNow, memory: Memory) -> bool:
    """Does the list tell of the contract after the one that stands?"""
    row = match.row
    if row.contract_from is not None:
        said = row.contract_from.isoformat()
        return said != memory.said.get("contract.from_on") and row.contract_from >= (
            stands.until_on - timedelta(days=31)
        )
    if row.contract_last_on is None:
        return False
    said = row.contract_last_on.isoformat()
    later = terms.until_on - stands.until_on
    return said != memory.said.get("contract.until_on") and later.days > RENEWED_AFTER_DAYS


def _finished(planner: _Planner, match: Match, plan: RowPlan, memory: Memory) -> RowPlan:
    cells = {
        "keys": [list(key) for key in row_keys(match.row)],
        "phones": _and_now(match, "phones", (p.e164 or p.typed for p in match.row.phones)),
        "contact": _and_now(match, "contact", filter(None, [match.row.second_contact])),
        "visits": _and_now(
            match, "visits", (v.on.isoformat() for v in match.row.past_visits if v.on)
        ),
        **memory.plain(),
    }
    own = planner.own.get(plan.system_id or 0)
    same = own is not None and all(own.cells.get(name) == value for name, value in cells.items())
    made = _made(planner, plan)
    is_new = plan.site_id is None or plan.system_id is None
    state = SAME
    if is_new:
        state = NEW
    elif made or plan.applied:
        state = CHANGED
    elif plan.changes:
        state = KEPT
    told = state != SAME
    return replace(
        plan,
        state=state,
        made=made,
        asked=_asked(planner, match.row) if told else (),
        assumed=plan.terms.assumed if plan.terms and plan.new_contract else (),
        cells=None if same else cells,
        brought_id=own.id if own else None,
    )


def _and_now(match: Match, name: str, now: Iterable[str]) -> list[str]:
    """What a list ever said under `name`: what was taken away here since does not come back."""
    before = match.base.cells.get(name, []) if match.base else []
    return list(dict.fromkeys([*before, *now]))


def _asked(planner: _Planner, row: UnderstoodRow) -> tuple[str, ...]:
    complaints = [
        f"{one.ref} {one.what} {one.how}".strip()
        for one in planner.understood.complaints_of(row)
        if one.severity is Severity.ASK
    ]
    waiting = [text for at in row.rows for text in planner.waiting.get(at, ())]
    return tuple(dict.fromkeys(complaints + waiting))


def _waiting(understood: Understood) -> dict[int, list[str]]:
    """Questions still open, by the rows that wait for them."""
    found: dict[int, list[str]] = {}
    for question in understood.questions:
        for ref in question.refs:
            at = "".join(ch for ch in ref if ch.isdigit())
            if at:
                found.setdefault(int(at), []).append(question.text)
    return found


def _made(planner: _Planner, plan: RowPlan) -> tuple[str, ...]:
    """What is new, in words."""
    from servicedesk.desk.bring_in_words import made_words

    return made_words(plan, planner.formats, planner.currency)


def _title(row: UnderstoodRow) -> str:
    owner = row.owner.typed if row.owner else ""
    place = ", ".join(part for part in (row.address, row.locality) if part)
    return " · ".join(part for part in (row.own_number, place, owner) if part) or row.permit


def _values(wishes: Iterable[Wish]) -> dict[str, Any]:
    return {w.name.split(".", maxsplit=1)[1]: w.value for w in wishes if w.value is not None}


def _new_phones(planner: _Planner, match: Match, customer_id: int | None) -> tuple[Phone, ...]:
    if customer_id is None:
        return ()
    known: set[str] = set(_and_now(match, "phones", ()))
    if customer_id > 0:
        for _id, e164, typed in planner.book.customers[customer_id].phones:
            known |= {typed, e164 or typed}
    else:  # another row of the list may have brought it already
        known = planner.people.phones.setdefault(customer_id, set())
    phones = match.row.phones
    wanted = [p for p in phones if p.typed not in known and (p.e164 or p.typed) not in known]
    if customer_id < 0:
        known |= {p.e164 or p.typed for p in wanted}
    return tuple(wanted)


def _new_contact(planner: _Planner, match: Match, customer_id: int | None) -> str:
    contact = match.row.second_contact
    if customer_id is None or not contact:
        return ""
    known = planner.book.customers[customer_id].contacts if customer_id > 0 else ()
    same = {folded_text(name) for name in (*known, *_and_now(match, "contact", ()))}
    return "" if folded_text(contact) in same else contact


def _new_visits(planner: _Planner, match: Match) -> tuple[PastVisit, ...]:
    """Past visits that are not in the book: told by system and day."""
    system = match.system_id
    before = set(_and_now(match, "visits", ()))
    return tuple(
        visit
        for visit in match.row.past_visits
        if visit.on is not None
        and visit.on.isoformat() not in before
        and (system is None or (system, visit.on) not in planner.book.visit_days)
    )


def _change(planner: _Planner, one: Difference) -> FieldChange:
    from servicedesk.desk.bring_in_words import value_text

    return FieldChange(
        name=one.wish.name,
        title=wish_title(one.wish.name),
        old=value_text(one.wish.name, one.here, planner.formats, planner.currency),
        new=value_text(one.wish.name, one.wish.value, planner.formats, planner.currency),
        ref=one.wish.ref,
        kept=one.kept,
        value=one.wish.value,
    )
