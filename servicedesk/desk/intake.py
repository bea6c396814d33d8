"""A call is written while the customer talks: who and where, what they see, by when we answer."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any
from uuid import uuid4

from servicedesk.desk import checking, events, phone_findings
from servicedesk.desk.checking import Wrong
from servicedesk.desk.chips import Chip, chips_of
from servicedesk.desk.office import Desk
from servicedesk.desk.phones_said import phone_of
from servicedesk.desk.promise import PRIORITIES, priority_of, promise_for
from servicedesk.desk.site_entry import NewSite, add_site, refuse_wrong_site, with_place
from servicedesk.desk.sites import last_day
from servicedesk.records import call_rows, contract_rows, finding, people_rows, site_rows
from servicedesk.records.calls import Call
from servicedesk.records.store import Changed
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

SIGNS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class CallerHit:
    """A site a caller may be talking of. `contract_last_on`: last day of the running contract.

    `systems`: (key, label or permit) of each system that stands; ask only if there are several.
    """

    site_id: int
    address: str
    locality: str
    owner: str
    phone: str
    customer_id: int | None
    chips: tuple[Chip, ...]
    contract_last_on: date | None
    response_hours: int | None
    on_hold: bool
    n_open_calls: int
    systems: tuple[tuple[int, str], ...]
    line: str


def find_callers(desk: Desk, text: str, limit: int = 8) -> tuple[CallerHit, ...]:
    """Sites that `text` leads to, best first: any three signs of a number, name, road or village.

    Fewer signs find nothing. The number of queries does not depend on how many are found.
    """
    if sum(ch.isalnum() for ch in text) < SIGNS:
        return ()
    with desk.store.read() as session:
        ids = finding.sites(session, text, limit=limit * 4)
        return callers(desk, session, ids)[:limit]


def callers(desk: Desk, session: Any, ids: Iterable[int]) -> tuple[CallerHit, ...]:
    """What the call page shows of these sites, in the order given; ended ones are left out."""
    wanted = list(ids)
    heads = site_rows.heads(session, wanted)
    owners = people_rows.owners(session, wanted, desk.today)
    contracts = contract_rows.running(session, wanted, desk.today)
    systems: dict[int, tuple[tuple[int, str], ...]] = {}
    for one in site_rows.systems(session, wanted):
        if one.ended_on is None or one.ended_on > desk.today:
            named = (one.id, one.label or one.permit or "")
            systems[one.site_id] = (*systems.get(one.site_id, ()), named)
    waiting: dict[int, int] = {}
    for call in call_rows.calls(session, site_ids=wanted, states=("open",)):
        waiting[call.site_id or 0] = waiting.get(call.site_id or 0, 0) + 1
    hits = []
    for i in wanted:
        head, owner, contract = heads.get(i), owners.get(i), contracts.get(i)
        if head is None or (head.ended_on is not None and head.ended_on <= desk.today):
            continue
        hits.append(
            CallerHit(
                site_id=i,
                address=head.address,
                locality=head.locality,
                owner=owner.name if owner else "",
                phone=owner.phone if owner else "",
                customer_id=owner.customer_id if owner else None,
                chips=chips_of(desk, head, contract),
                contract_last_on=last_day(contract.until_on) if contract else None,
                response_hours=contract.response_hours if contract else None,
                on_hold=head.on_hold,
                n_open_calls=waiting.get(i, 0),
                systems=systems.get(i, ()),
                line=_line(desk, owner, contract),
            )
        )
    return tuple(hits)


def _line(
    desk: Desk, owner: people_rows.RoleRow | None, contract: contract_rows.ContractRow | None
) -> str:
    """As "Quillan, Ruth · 555-0142 · contract to Mar 2027 · answer promised within 4 h"."""
    parts = [owner.name, phone_of(owner)] if owner else [say("no owner in the book")]
    if contract is None:
        parts.append(say("no contract"))
    else:
        month = desk.formats.month(last_day(contract.until_on))
        parts.append(say("contract to {month}", month=month))
        if contract.response_hours:
            hours = contract.response_hours
            parts.append(say("answer promised within {n} h", n=hours))
    return " · ".join(part for part in parts if part)


# --- written


@dataclass(frozen=True, slots=True, kw_only=True)
class CallDraft:
    """A call as the page holds it. `call_id` is set where a written call is edited.

    `uid` becomes the call's own: a draft that was written once is not written again. `priority`
    None is decided by symptoms and answers; `called_at` None is now. `findings` are the results of
    checks asked on the phone by check id (None: asked, they could not tell). A new call belongs to
    the event that runs where it comes from, unless it stands `apart`.
    """

    uid: str = field(default_factory=lambda: uuid4().hex)
    call_id: int | None = None
    site_id: int | None = None
    system_id: int | None = None
    customer_id: int | None = None
    caller: str = ""
    phone: str = ""
    where_said: str = ""
    symptoms: tuple[str, ...] = ()
    own_words: str = ""
    answers: Mapping[str, Any] = field(default_factory=dict)
    priority: str | None = None
    called_at: datetime | None = None
    event_id: int | None = None
    findings: Mapping[str, str | None] = field(default_factory=dict)
    apart: bool = False


def write_call(desk: Desk, draft: CallDraft, *, seen: int | None = None) -> Changed:
    """Write a call, or what was changed of a written one (`draft.call_id`, shown at `seen`).

    For a caller in no book any one of name, phone and place is enough. Raises WrongEntry where
    nobody could be called back or driven to, StaleEdit where somebody changed the call since,
    Trouble where this very draft was written already.
    """
    hit = _hit(desk, draft.site_id)
    checking.refuse(_wrong(draft, hit))
    values = _values(desk, draft, hit)
    what = say("Wrote a call from {place}", place=_place(draft, hit))
    if draft.call_id is not None:
        what = say("Edited the call from {place}", place=_place(draft, hit))
    called_at = draft.called_at or desk.clock.now()
    promise = promise_for(desk, draft.site_id, called_at)
    with desk.store.change(desk.who, what) as work:
        if draft.call_id is None:
            _refuse_twice(work.session, draft.uid)
            call = work.add(
                Call(
                    uid=draft.uid,
                    called_at=called_at,
                    promised_by_at=promise.by_at,
                    taken_by=desk.who,
                    **values,
                )
            )
            if call.event_id is None and not draft.apart:
                call.event_id = events.event_of_call(work.session, call)
        else:
            call = work.fresh(Call, draft.call_id, seen=seen)
            if call.site_id != draft.site_id:
                values["promised_by_at"] = promise_for(desk, draft.site_id, call.called_at).by_at
            for name, value in values.items():
                setattr(call, name, value)
        phone_findings.write(desk, work, call, draft.findings)
    return work.changed


def _hit(desk: Desk, site_id: int | None) -> CallerHit | None:
    if site_id is None:
        return None
    with desk.store.read() as session:
        hits = callers(desk, session, [site_id])
    if not hits:
        raise Trouble(
            say("That site is not in the store any more, or it has ended."),
            do=say("Choose another site, or write where the caller says it is."),
        )
    return hits[0]


def _wrong(draft: CallDraft, hit: CallerHit | None) -> list[Wrong]:
    wrong = []
    said = (draft.caller, draft.phone, draft.where_said)
    if hit is None and not any(text.strip() for text in said):
        says = say("Write who called, their number or where it is.")
        wrong.append(Wrong("where_said", says))
    if draft.priority is not None and draft.priority not in PRIORITIES:
        raise ValueError(f"{draft.priority!r} is none of {PRIORITIES}")
    known = {key for key, _ in hit.systems} if hit else set()
    if hit is not None and draft.system_id is not None and draft.system_id not in known:
        wrong.append(Wrong("system_id", say("That system does not stand at this site.")))
    return wrong


def _values(desk: Desk, draft: CallDraft, hit: CallerHit | None) -> dict[str, Any]:
    """The columns of the call that a page may set."""
    caller, phone, customer_id, system_id = (
        draft.caller.strip(),
        draft.phone.strip(),
        draft.customer_id,
        draft.system_id,
    )
    if hit is not None:
        customer_id = customer_id or hit.customer_id
        if system_id is None and len(hit.systems) == 1:
            system_id = hit.systems[0][0]
        if not caller:
            caller, phone = hit.owner, phone or hit.phone
    elif phone and customer_id is None:
        e164 = checking.e164_of(phone, desk.company.country)
        with desk.store.read() as session:
            customer_id = people_rows.customer_of_phone(session, e164) if e164 else None
    return {
        "site_id": draft.site_id,
        "system_id": system_id,
        "customer_id": customer_id,
        "caller": caller or None,
        "caller_phone": phone or None,
        "where_said": draft.where_said.strip() or None,
        "symptoms": list(draft.symptoms),
        "own_words": draft.own_words.strip() or None,
        "answers": dict(draft.answers),
        "priority": draft.priority or priority_of(draft.symptoms, draft.answers),
        "event_id": draft.event_id,
    }


def _place(draft: CallDraft, hit: CallerHit | None) -> str:
    if hit is not None:
        return hit.address
    texts = (draft.where_said, draft.caller, draft.phone)
    return next((text.strip() for text in texts if text.strip()), say("somebody"))


def _refuse_twice(session: Any, uid: str) -> None:
    if call_rows.call_of_uid(session, uid) is not None:
        raise Trouble(
            say("This call is written already."),
            means=say("It was written just before; nothing was lost."),
            do=say("Open it in Phone."),
        )


def make_site_of_call(
    desk: Desk, call_id: int, entry: NewSite, *, seen: int | None = None
) -> Changed:
    """Make a site, and a customer, of a caller who was in no book; the call then belongs to them.

    What the entry leaves empty is taken from the call: the caller as owner, their number, the
    place as said. Raises WrongEntry where no address is known, Trouble if the call has a site.
    """
    with desk.store.read() as session:
        found = call_rows.calls(session, call_ids=[call_id])
    if not found:
        raise Trouble(say("That call is not in the store any more."), exit_code=3)
    call = found[0]
    if call.site_id is not None:
        raise Trouble(
            say("That call has a site already: {address}.", address=call.address),
            do=say("Open the call and choose another site, if it is the wrong one."),
        )
    entry = _filled(entry, call)
    refuse_wrong_site(desk, entry)
    entry = with_place(desk, entry)
    what = say("Made a site of the call from {place}", place=entry.address)
    promise = promise_for(desk, None, call.called_at)
    with desk.store.change(desk.who, what) as work:
        record = work.fresh(Call, call_id, seen=seen)
        site, customer_id = add_site(desk, work, entry)
        record.site_id = site.id
        record.customer_id = customer_id
        if record.promised_by_at is None:
            record.promised_by_at = promise.by_at
    return work.changed


def _filled(entry: NewSite, call: call_rows.CallRow) -> NewSite:
    known = entry.customer_id or call.customer_id
    return replace(
        entry,
        address=entry.address.strip() or (call.where_said or ""),
        owner=entry.owner.strip() or (call.caller or ""),
        phones=entry.phones or ((call.caller_phone,) if call.caller_phone else ()),
        customer_id=known,
    )
