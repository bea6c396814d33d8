"""What the call page shows beside the form: the site, the promise, calls of before, what we owe."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from servicedesk.desk import phone_findings
from servicedesk.desk.callbacks import EarlierCall, earlier_calls
from servicedesk.desk.coming import day_text, first_upper, owed_text
from servicedesk.desk.events import EventLine, event_for, the_event
from servicedesk.desk.intake import CallDraft, CallerHit, callers
from servicedesk.desk.office import Desk
from servicedesk.desk.promise import CallPromise, calendar_of, promise_for
from servicedesk.desk.untested_here import UntestedHere, untested_here
from servicedesk.records import call_rows, owed_rows
from servicedesk.records.calls import Call
from servicedesk.records.store import Changed
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

DAYS_OFFERED = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenCall:
    """A call that is written, as the page edits it; `revision` is what it was shown at."""

    draft: CallDraft
    revision: int
    promised_by_at: datetime | None
    state: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What stands beside the form. `hit` None: a caller in no book. `promise_why`: who set it.

    `event`: the storm, outage or flood that the call belongs to, or would if it were written now.
    `untested`: what nobody looked at yet where they call about the same trouble again.
    """

    hit: CallerHit | None
    promised_by_at: datetime
    promise_text: str
    promise_why: str
    earlier: tuple[EarlierCall, ...]
    owed: tuple[str, ...]
    event: EventLine | None = None
    untested: UntestedHere | None = None


@dataclass(frozen=True, slots=True)
class PromiseOffer:
    """An instant by which we could promise an answer, in words: "tomorrow by noon"."""

    by_at: datetime
    text: str


def written_call(desk: Desk, call_id: int) -> WrittenCall:
    """A call for the page. Raises Trouble if it is not in the store."""
    with desk.store.read() as session:
        found = call_rows.calls(session, call_ids=[call_id])
        findings = phone_findings.of_call(session, call_id)
    if not found:
        raise Trouble(
            say("That call is not in the store any more."),
            do=say("Look under All changes; it can be done again there."),
            exit_code=3,
        )
    call = found[0]
    draft = CallDraft(
        uid=call.uid,
        call_id=call.id,
        site_id=call.site_id,
        system_id=call.system_id,
        customer_id=call.customer_id,
        caller=call.caller or "",
        phone=call.caller_phone or "",
        where_said=call.where_said or "",
        symptoms=call.symptoms,
        own_words=call.own_words or "",
        answers=call.answers,
        priority=call.priority,
        called_at=call.called_at,
        event_id=call.event_id,
        findings=findings,
        apart=call.event_id is None,
    )
    return WrittenCall(
        draft=draft, revision=call.revision, promised_by_at=call.promised_by_at, state=call.state
    )


def beside_the_call(
    desk: Desk,
    site_id: int | None,
    *,
    symptoms: Iterable[str] = (),
    called_at: datetime | None = None,
    but: int | None = None,
    event_id: int | None = None,
) -> Beside:
    """The site, the promise and the calls of before for the call being written (reads only)."""
    called_at = called_at or desk.clock.now()
    promise = promise_for(desk, site_id, called_at)
    event = the_event(desk, event_id) if event_id is not None else None
    if but is None and event is None:
        event = event_for(desk, site_id, called_at)
    hit, owed = None, []
    if site_id is not None:
        with desk.store.read() as session:
            hits = callers(desk, session, [site_id])
            owed = owed_rows.owed(session, site_ids=[site_id])
        hit = hits[0] if hits else None
    earlier = () if site_id is None else earlier_calls(desk, site_id, symptoms=symptoms, but=but)
    same = next((one.call_id for one in earlier if one.same), None)
    return Beside(
        hit=hit,
        promised_by_at=promise.by_at,
        promise_text=by_text(desk, promise.by_at),
        promise_why=_why(promise),
        earlier=earlier,
        owed=tuple(owed_text(desk, one) for one in owed),
        event=event,
        untested=None if site_id is None or same is None else untested_here(desk, site_id, same),
    )


def _why(promise: CallPromise) -> str:
    """Who set the hours: "within 4 h by the contract"."""
    hours = say("within {n} h", n=promise.hours)
    set_by = {
        "contract_hours": say("{hours} by the contract", hours=hours),
        "company_hours": say("{hours} as the company promises", hours=hours),
        "rule_hours": say("{hours} by the service rule", hours=hours),
    }
    return set_by.get(promise.why[0].code, hours)


def by_text(desk: Desk, by_at: datetime) -> str:
    """As "today by 1:00 pm", "Fri, Oct 16 by noon"."""
    time = desk.formats.time(desk.clock.minute_of(by_at))
    return say("{day} by {time}", day=day_text(desk, desk.clock.day_of(by_at)), time=time)


def promise_offers(desk: Desk) -> tuple[PromiseOffer, ...]:
    """Noon and the end of the working day, today and on the working days after it."""
    calendar = calendar_of(desk)
    found: list[PromiseOffer] = []
    now = desk.clock.now()
    for day in _working_days(desk):
        for minute in (12 * 60, calendar.until_min):
            by_at = desk.clock.instant(day, minute)
            if by_at > now:
                found.append(PromiseOffer(by_at, first_upper(by_text(desk, by_at))))
    return tuple(found)


def _working_days(desk: Desk) -> list[date]:
    ahead = (desk.today + timedelta(days=n) for n in range(15))
    return [day for day in ahead if desk.works_on(day)][:DAYS_OFFERED]


def promise_by(desk: Desk, call_uid: str, by_at: datetime) -> Changed:
    """Write that a call was promised an answer by another instant than the rules give.

    Raises Trouble if the call is not there.
    """
    with desk.store.read() as session:
        call_id = call_rows.call_of_uid(session, call_uid)
        found = call_rows.calls(session, call_ids=[call_id]) if call_id is not None else []
    if not found:
        raise Trouble(say("That call is not in the store any more."), exit_code=3)
    place = found[0].address or found[0].where_said or found[0].caller or say("somebody")
    what = say("Promised {place} an answer {by}", place=place, by=by_text(desk, by_at))
    with desk.store.change(desk.who, what) as work:
        work.get(Call, found[0].id).promised_by_at = by_at
    return work.changed
