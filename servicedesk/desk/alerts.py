"""Repeat alerts of the store: raised as calls come in and each morning, dealt with by people.

One trouble has one alert. What is computed anew each time (`trouble.repeats`) is compared with what
stands: only a trouble that still goes on raises one; a louder level raises the one that stands; a
settled one opens again when its trouble calls again. Nothing disappears.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from servicedesk.desk import checking
from servicedesk.desk.alert_evidence import evidence_at, place_of_key, stored
from servicedesk.desk.alert_facts import Facts, facts, keys_of, place_key, raised
from servicedesk.desk.cases import Place
from servicedesk.desk.checking import Wrong
from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.learned import MOST_SITES_NAMED
from servicedesk.desk.office import Desk
from servicedesk.desk.thread_facts import facts_of, quiet_model
from servicedesk.records import alert_rows, company_rows, planning_rows
from servicedesk.records import trouble_rows as rows
from servicedesk.records.alert_rows import AlertRow
from servicedesk.records.alerts import Alert as AlertRecord
from servicedesk.records.company import Company
from servicedesk.records.repeat_rows import CallMark
from servicedesk.records.store import Changed, Work
from servicedesk.trouble.fixed_rule import Level
from servicedesk.trouble.repeats import Alert
from servicedesk.trouble.threads import Thread
from servicedesk.values.reason import Reason
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

OPEN, SEEN, PUT_OFF, SETTLED = "open", "seen", "put off", "settled"
JUDGED = ("right", "wrong")
REPEAT = "repeat"


@dataclass(frozen=True, slots=True)
class _Due:
    """An alert to write: a new one, a louder one, or one whose trouble called again."""

    alert: Alert
    thread: Thread | None
    call_id: int
    standing: AlertRow | None


def look_for_alerts(
    desk: Desk, *, site_ids: Iterable[int] | None = None, with_fleet: bool = False
) -> Changed:
    """Compute the repeat alerts and write those that are newly due, all in one change.

    `site_ids`: only of these sites, after a call was written. `with_fleet`: put beside them what
    the fleet says (slow: the morning has the time, a call has not). A second look on the same day
    writes nothing, nor does one back at a day that is over (`is_over`). The answer names the alerts
    touched.
    """
    wanted = None if site_ids is None else set(site_ids)
    given = facts(desk, wanted)
    latest = _latest(raised(desk, given), given, wanted)
    with desk.store.read() as session:
        standing = alert_rows.alerts(session, kind_of=REPEAT)
    due = [] if is_over(desk) else _due(desk, given, latest, standing, wanted)
    placed = [(one, place_of_key(desk, one.alert.place)) for one in due]
    kept = [_evidence(desk, one, place, with_fleet=with_fleet) for one, place in placed]
    with desk.store.change(desk.who, _raised_words(desk, due, given)) as work:
        for (one, place), evidence in zip(placed, kept, strict=True):
            _write(desk, work, one, place, evidence)
    return work.changed


def is_over(desk: Desk) -> bool:
    """Whether a person set a day (``--today``) after which the store knows of more.

    What would be raised then would be told as known that day and rest on what came later.
    """
    if desk.clock.fixed_day is None:
        return False
    with desk.store.read() as session:
        latest = alert_rows.latest_known_at(session)
    return latest is not None and desk.clock.day_of(latest) > desk.today


def _raised_words(desk: Desk, due: list[_Due], given: Facts) -> str:
    """As "It came back: 118 Dry Hollow Lane, high-water alarm", or how many troubles did."""
    if len(due) != 1:
        return say_n("{n} trouble came back", "{n} troubles came back", len(due))
    alert = due[0].alert
    site_id = given.calls_at[alert.place][0].site_id
    with desk.store.read() as session:
        address = planning_rows.site_places(session, [site_id])[site_id].address
    names = knowledge_of(desk).symptoms
    symptom = names[alert.symptom].name.lower() if alert.symptom in names else alert.symptom
    return say("It came back: {address}, {symptom}", address=address, symptom=symptom)


def acknowledge(desk: Desk, alert_id: int, *, seen: int | None = None) -> Changed:
    """Say that somebody has looked at it. It stays in the list until it is settled."""
    return _deal(desk, alert_id, seen, state=SEEN, put_off_until=None)


def put_off(
    desk: Desk, alert_id: int, until: date, *, why: str = "", seen: int | None = None
) -> Changed:
    """Put it off until a day; from then on it is open again. Raises WrongEntry for a past one."""
    if until <= desk.today:
        says = say("That day is not ahead of us.")
        checking.refuse([Wrong("put_off_until", says)])
    return _deal(
        desk, alert_id, seen,
        state=PUT_OFF, put_off_until=until, dealt_why=why.strip(),
    )  # fmt: skip


def settle(
    desk: Desk, alert_id: int, reason: str, judged: str, *, seen: int | None = None
) -> Changed:
    """Settle it with a reason; `judged` right (there was one trouble) or wrong (there was none).

    It opens again by itself if that trouble calls again. Raises WrongEntry without a reason.
    """
    if judged not in JUDGED:
        raise ValueError(f"{judged!r} is none of {JUDGED}")
    if not reason.strip():
        checking.refuse([Wrong("dealt_why", say("Say how it was settled."))])
    return _deal(
        desk, alert_id, seen,
        state=SETTLED, put_off_until=None, dealt_why=reason.strip(), judged=judged,
    )  # fmt: skip


def set_dial(desk: Desk, dial: int) -> Changed:
    """Turn the one dial: -1 fewer alerts, 0 as usual, 1 more alerts; then look again."""
    if dial not in {-1, 0, 1}:
        raise ValueError(f"the dial has -1, 0 and 1, not {dial}")
    with desk.store.read() as session:
        company = company_rows.the_company(session)
    if company is None:
        raise Trouble(
            say("There is no company yet."), do=say("Write the company's details in Set up first.")
        )
    words = {
        -1: say("Asked for fewer alerts"),
        0: say("Asked for alerts as usual"),
        1: say("Asked for more alerts"),
    }
    with desk.store.change(desk.who, words[dial]) as work:
        work.get(Company, company.id).alert_dial = dial
    return work.changed


def _deal(desk: Desk, alert_id: int, seen: int | None, **values: object) -> Changed:
    with desk.store.read() as session:
        found = alert_rows.alerts(session, alert_ids=[alert_id])
    address = found[0].address if found else ""
    words = {
        SEEN: say("Looked at what came back at {address}", address=address),
        PUT_OFF: say("Put off what came back at {address}", address=address),
        SETTLED: say("Settled what came back at {address}", address=address),
    }
    latest = _latest_call_there(desk, found) if values["state"] == SETTLED else None
    with desk.store.change(desk.who, words[str(values["state"])]) as work:
        alert = work.fresh(AlertRecord, alert_id, seen=seen)
        for name, value in values.items():
            setattr(alert, name, value)
        alert.dealt_by, alert.dealt_at = desk.who, desk.clock.now()
        if latest is not None:
            alert.settled_call_id = latest
    return work.changed


def _latest_call_there(desk: Desk, found: Sequence[AlertRow]) -> int | None:
    with desk.store.read() as session:
        calls = rows.calls(session, [found[0].site_id]) if found and found[0].site_id else []
    return calls[-1].id if calls else (found[0].call_id if found else None)


def _latest(
    found: Iterable[Alert], given: Facts, wanted: set[int] | None
) -> dict[tuple[str, str], Alert]:
    """The last alert of each place and symptom (at these sites)."""
    return {
        (alert.place, alert.symptom): alert
        for alert in found
        if wanted is None or given.calls_at[alert.place][0].site_id in wanted
    }


def _due(
    desk: Desk,
    given: Facts,
    latest: Mapping[tuple[str, str], Alert],
    standing: Iterable[AlertRow],
    wanted: set[int] | None,
) -> list[_Due]:
    by_place: dict[str, list[AlertRow]] = {}
    for row in standing:
        if wanted is None or row.site_id in wanted:
            by_place.setdefault(_key_of(row), []).append(row)
    new: dict[str, list[Alert]] = {}
    for (key, _), alert in latest.items():
        new.setdefault(key, []).append(alert)
    maybe = [
        key
        for key in dict.fromkeys((*new, *by_place))
        if _may_be_due(new.get(key, []), by_place.get(key, []), given, key)
    ]
    threads = _threads(desk, given, maybe)
    due: list[_Due] = []
    for key in maybe:
        there = threads.get(key, ())
        due += _new_ones(desk, given, key, there, new.get(key, []), by_place.get(key, []))
        due += _again(desk, given, key, there, by_place.get(key, []))
    return due


def _threads(desk: Desk, given: Facts, places: Iterable[str]) -> dict[str, tuple[Thread, ...]]:
    """The threads of these places, by their keys."""
    wanted = set(places)
    sites = sorted({given.calls_at[key][0].site_id for key in wanted if key in given.calls_at})
    if not sites:
        return {}
    model = quiet_model(desk)
    found: dict[str, tuple[Thread, ...]] = {}
    for at in range(0, len(sites), MOST_SITES_NAMED):
        told = facts_of(desk, sites[at : at + MOST_SITES_NAMED])
        for place in told.calls:
            key = place_key(*place)
            if key in wanted:
                found[key] = told.threads_at(place, desk.today, model)
    return found


def _may_be_due(new: list[Alert], standing: list[AlertRow], given: Facts, key: str) -> bool:
    """Cheap look: is anything newer than what stands? Most places need no second look."""
    by_symptom = {row.symptom: row for row in standing}
    for alert in new:
        row = by_symptom.get(alert.symptom)
        if row is None or row.evidence.get("on", "") < alert.on.isoformat():
            return True
    calls = given.calls_at.get(key, ())
    return any(row.state == SETTLED and _after(row, calls) for row in standing)


def _new_ones(
    desk: Desk,
    given: Facts,
    key: str,
    threads: tuple[Thread, ...],
    new: Iterable[Alert],
    standing: list[AlertRow],
) -> list[_Due]:
    """New alerts of troubles that go on, one each: of several symptoms the loudest."""
    due: list[_Due] = []
    taken: set[int] = set()
    for alert in sorted(new, key=lambda a: (a.level != "act", -(a.chance or 0.0), a.symptom)):
        call_id = _call_of(desk, given, key, alert)
        thread = next((one for one in threads if one.has(call_id)), None)
        if thread is not None and (thread.quiet.is_over or id(thread) in taken):
            continue
        if thread is not None:
            taken.add(id(thread))
        row = _same_trouble(standing, thread, alert)
        if row is None or _is_louder(alert, row):
            due.append(_Due(alert, thread, call_id, row))
    return due


def _again(
    desk: Desk,
    given: Facts,
    key: str,
    threads: tuple[Thread, ...],
    standing: Iterable[AlertRow],
) -> list[_Due]:
    """Settled alerts whose own trouble called again since."""
    due: list[_Due] = []
    for row in standing:
        if row.state != SETTLED:
            continue
        later = _after(row, given.calls_at.get(key, ()))
        thread = next((t for t in threads if row.call_id and t.has(row.call_id)), None)
        if thread is not None:
            later = [call for call in later if thread.has(call.id)]
        elif threads:
            later = []  # its call was dropped, or belongs to an event by now
        else:
            later = [c for c in later if not c.is_event and c.symptom == row.symptom]
        if later:
            on = desk.clock.day_of(later[-1].called_at)
            since = desk.clock.day_of(row.dealt_at) if row.dealt_at is not None else on
            why = Reason.of(
                "called_again", symptom=row.symptom, n=len(later), days=max(0, (on - since).days)
            )
            level: Level = "act" if row.level == "act" else "watch"
            alert = Alert(key, on, row.symptom, level, row.evidence.get("chance"), why)
            due.append(_Due(alert, thread, later[-1].id, row))
    return due


def _after(row: AlertRow, calls: Iterable[CallMark]) -> list[CallMark]:
    """Calls that came after the newest one there when the alert was settled."""
    there = list(calls)
    at = next((i for i, call in enumerate(there) if call.id == row.settled_call_id), None)
    if at is None:
        return [c for c in there if row.dealt_at is not None and c.called_at > row.dealt_at]
    return there[at + 1 :]


def _same_trouble(
    standing: Iterable[AlertRow], thread: Thread | None, alert: Alert
) -> AlertRow | None:
    """The alert that stands for this trouble: of the same thread, else of the same symptom."""
    for row in standing:
        if thread is not None and row.call_id is not None and thread.has(row.call_id):
            return row
    if thread is not None:
        return None
    return next((row for row in standing if row.symptom == alert.symptom), None)


def _is_louder(alert: Alert, row: AlertRow) -> bool:
    """Must what stands be raised? A higher level; a settled one opens only by a later call."""
    if row.state == SETTLED:
        return False
    return alert.level == "act" and row.level != "act"


def _call_of(desk: Desk, given: Facts, key: str, alert: Alert) -> int:
    """The call that raised an alert: the last of that day with that symptom."""
    calls = [
        call
        for call in given.calls_at[key]
        if call.symptom == alert.symptom and desk.clock.day_of(call.called_at) == alert.on
    ]
    return calls[-1].id


def _key_of(row: AlertRow) -> str:
    return f"system {row.system_id}" if row.system_id is not None else f"site {row.site_id}"


def _evidence(desk: Desk, due: _Due, place: Place | None, *, with_fleet: bool) -> dict[str, Any]:
    """What the alert keeps: why, and what is known now. What stood before is kept in short."""
    evidence = None
    if place is not None:
        symptoms = (due.alert.symptom,)
        evidence = evidence_at(desk, place, due.thread, symptoms, with_fleet=with_fleet)
    kept = stored(due.alert, evidence, again=_is_again(due))
    if due.standing is not None:
        kept["before"] = [*due.standing.evidence.get("before", []), _told(due.standing)]
    return kept


def _is_again(due: _Due) -> bool:
    return due.standing is not None and due.standing.state == SETTLED


def _write(
    desk: Desk, work: Work, due: _Due, place: Place | None, evidence: dict[str, Any]
) -> None:
    if due.standing is None:
        record = work.add(_new_record(desk, due, place))
    else:
        record = work.fresh(AlertRecord, due.standing.id, seen=due.standing.revision)
        record.raised_at = desk.clock.now()
    record.call_id = due.call_id
    record.level = due.alert.level
    record.evidence = evidence
    record.state, record.put_off_until = OPEN, None
    if _is_again(due):
        record.judged, record.settled_call_id = "", None


def _new_record(desk: Desk, due: _Due, place: Place | None) -> AlertRecord:
    site_id, system_id = keys_of(due.alert.place)
    return AlertRecord(
        kind_of=REPEAT,
        site_id=place.system.site_id if place is not None else site_id,
        system_id=system_id,
        symptom=due.alert.symptom,
        since_on=due.thread.started_on if due.thread is not None else due.alert.on,
        raised_at=desk.clock.now(),
        state=OPEN,
    )


def _told(row: AlertRow) -> dict[str, object]:
    """What stood before, in short: nothing that was said of an alert is lost."""
    return {
        "on": row.evidence.get("on"),
        "level": row.level,
        "state": row.state,
        "by": row.dealt_by,
        "why": row.dealt_why,
        "judged": row.judged,
    }
