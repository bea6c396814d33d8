"""The calls of the list in words: rows under headings, and the lines beside the chosen one."""

from dataclasses import dataclass, replace

from servicedesk.desk.callbacks import CallLine, open_calls, recent_calls
from servicedesk.desk.drafts import Draft, offered
from servicedesk.desk.event_work import STEPS, EventCall, EventWork, event_work
from servicedesk.desk.office import Desk
from servicedesk.desk.phone_page import by_text
from servicedesk.window.models.row_list import Row
from servicedesk.window.widgets.call_draft import drafts_here
from servicedesk.window.widgets.event_band import when_text
from servicedesk.window.widgets.today_waiting import by_words, left_words, symptom_icon
from servicedesk.words import say, say_n
from servicedesk.words.calls import number
from servicedesk.words.calls import priority as priority_words

RECENT = 60


@dataclass(frozen=True, slots=True)
class PhoneCalls:
    """What the list shows."""

    waiting: tuple[CallLine, ...]
    recent: tuple[CallLine, ...]
    drafts: tuple[Draft, ...]
    work: EventWork | None = None


def phone_calls(desk: Desk) -> PhoneCalls:
    """Calls that wait, those closed of late, and what was set aside on this machine."""
    with drafts_here(desk) as kept:
        drafts = offered(desk, kept)
    waiting = open_calls(desk)
    return PhoneCalls(
        waiting=waiting,
        recent=recent_calls(desk, limit=RECENT),
        drafts=tuple(draft for draft in drafts if draft.kind == "call"),
        work=event_work(desk, waiting),
    )


def rows_of(desk: Desk, calls: PhoneCalls) -> list[Row]:
    """The rows under their headings. The thing of a row is ("draft", uid) or ("call", id)."""
    rows: list[Row] = []
    if calls.drafts:
        rows.append(Row(title=say("Set aside, not written yet"), is_heading=True))
    for draft in calls.drafts:
        begun = desk.formats.time(desk.clock.minute_of(draft.saved_at))
        if desk.clock.day_of(draft.saved_at) != desk.today:
            begun = desk.formats.weekday(desk.clock.day_of(draft.saved_at))
        rows.append(
            Row(
                title=draft.title,
                second=say("left at {when}", when=begun),
                icon="note",
                right=say("draft"),
                right_color="ochre",
                thing=("draft", draft.uid),
            )
        )
    rows += _event_rows(desk, calls.work) if calls.work else []
    in_event = {one.call.id for one in calls.work.calls} if calls.work else set()
    others = [call for call in calls.waiting if call.id not in in_event]
    if others:
        rows.append(Row(title=say("Waiting for an answer"), is_heading=True))
    rows += [_row(desk, call) for call in others]
    if calls.recent:
        rows.append(Row(title=say("Answered and dropped, the latest first"), is_heading=True))
    rows += [_row(desk, call) for call in calls.recent]
    return rows


def _event_rows(desk: Desk, work: EventWork) -> list[Row]:
    """The calls of the event that runs, in the order in which they are worked."""
    titles = {
        "danger": say("{event}: danger first", event=work.event.title),
        "phone": say("{event}: phone them before a truck moves", event=work.event.title),
        "road": say("{event}: by road, each the nearest to the one before", event=work.event.title),
    }
    rows: list[Row] = []
    for step in STEPS:
        mine = [one for one in work.calls if one.step == step]
        if mine:
            rows.append(Row(title=titles[step], is_heading=True))
        rows += [_event_row(desk, one) for one in mine]
    return rows


def _event_row(desk: Desk, one: EventCall) -> Row:
    row = _row(desk, one.call)
    said = say("not phoned yet")
    if one.phoned_at is not None:
        said = say("phoned {when}", when=when_text(desk, one.phoned_at))
    if one.step == "road":
        road = say("{n} min on", n=one.road_min) if one.road_min is not None else say("no site yet")
        said = f"{said} · {road}"
    colors = {"danger": "clay", "phone": "ochre", "road": "ink2"}
    return replace(row, right=said, right_color=colors[one.step])


def _row(desk: Desk, call: CallLine) -> Row:
    called = desk.formats.day(desk.clock.day_of(call.called_at), near=desk.today)
    if desk.clock.day_of(call.called_at) == desk.today:
        called = desk.formats.time(desk.clock.minute_of(call.called_at))
    second = [call.symptom_text or call.own_words, call.caller, number(call.phone)]
    if call.state == "open":
        left, color = left_words(desk, call)
        by = by_words(desk, call.promised_by_at) if call.promised_by_at else ""
        right = " · ".join(part for part in (by, left) if part)
    else:
        words = say("answered") if call.state == "answered" else say("dropped")
        right, color = say("{state} · {day}", state=words, day=called), "ink2"
    return Row(
        title=call.title,
        second=" · ".join(part for part in second if part),
        icon=symptom_icon(call.symptoms),
        right=right,
        right_color=color,
        thing=("call", call.id),
    )


def detail_lines(desk: Desk, call: CallLine) -> list[str]:
    """Who, what, their words, promise and visit, owed, how often before; "" where there is none."""
    who = " · ".join(part for part in (call.caller, number(call.phone), call.locality) if part)
    what = call.symptom_text or say("nothing chosen")
    words = say("“{words}”", words=call.own_words) if call.own_words else ""
    at = desk.formats.time(desk.clock.minute_of(call.called_at))
    day = desk.formats.day(desk.clock.day_of(call.called_at), near=desk.today)
    called = say("called {day}, {time}, taken by {who}", day=day, time=at, who=call.taken_by)
    by = ""
    if call.promised_by_at is not None and call.state == "open":
        by = say("promised {by}", by=by_text(desk, call.promised_by_at))
    promise = " · ".join(p for p in (called, by, priority_words(call.priority)) if p)
    owed = say("Owed here: {what}", what=", ".join(call.owed)) if call.owed else ""
    before = ""
    if call.n_earlier:
        before = say_n("Called {n} time before", "Called {n} times before", call.n_earlier)
    return [who, what, words, "\n".join((promise, _visit(desk, call))), owed, before]


def _visit(desk: Desk, call: CallLine) -> str:
    visit = call.visit
    if visit is None:
        return say("No visit yet.") if call.state == "open" else ""
    if visit.arrived_at is not None:
        day = desk.formats.day(desk.clock.day_of(visit.arrived_at), near=desk.today)
        return say("Visited {day}. {did}", day=day, did=visit.did or visit.found)
    if visit.planned_on is None:
        return say("A visit without a day yet.")
    day = desk.formats.weekday(visit.planned_on)
    parts = [day, visit.technician]
    if visit.arrive_min is not None:
        parts.append(desk.formats.time(visit.arrive_min))
    return say("On a round: {when}", when=", ".join(part for part in parts if part))
