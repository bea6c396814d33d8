"""Alerts as lists and pages show them: everything the words need, nothing to look up."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from servicedesk.desk.alert_evidence import VisitTried, evidence_at, place_of_key, thread_at
from servicedesk.desk.alert_facts import place_key, repairs_behind
from servicedesk.desk.alerts import OPEN, PUT_OFF, REPEAT, SETTLED
from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.office import Desk
from servicedesk.records import alert_rows
from servicedesk.records import trouble_rows as rows
from servicedesk.records.alert_rows import AlertRow
from servicedesk.trade.cautions import caution_texts
from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.repeats import watching_since
from servicedesk.values.reason import Reason
from servicedesk.values.trouble import Trouble
from servicedesk.words import say
from servicedesk.words.alert_reasons import outcome_text
from servicedesk.words.reasons import reason_text
from servicedesk.words.repeat_reasons import about


@dataclass(frozen=True, slots=True, kw_only=True)
class AlertLine:
    """One alert of the list. `state`: open, seen, put off (open again on that day), settled.

    `n_calls` calls of this trouble when it was raised, `n_since` calls there since. `untested`
    names parts that nobody ever tested, `first_check` what to test first. `about`: the chance in
    words ("" where only the fixed rule spoke).
    """

    id: int
    revision: int
    site_id: int | None
    system_id: int | None
    address: str
    locality: str
    label: str
    level: str
    state: str
    symptom: str
    symptom_name: str
    raised_on: date
    since_on: date | None
    n_calls: int
    n_since: int
    chance: float | None
    about: str
    why: str
    again: bool
    untested: tuple[str, ...]
    first_check: str
    first_check_min: float | None
    cause: str
    cause_chance: float | None
    to_bring: tuple[str, ...]
    put_off_until: date | None
    dealt_by: str
    dealt_at: datetime | None
    dealt_why: str
    judged: str
    cautions: tuple[str, ...] = ()
    watching_since: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckLine:
    """A check as it is done: how, minutes, tools, and its cautions uncut."""

    id: str
    name: str
    where: str
    how: str
    minutes: float
    tools: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedLine(VisitTried):
    """What a visit tried, and which causes that speaks against: names in place of ids."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseLine:
    """A cause that remains, with its chance, its lasting fix and the cautions of that work."""

    id: str
    name: str
    component: str
    chance: float
    permanent_fix: str
    workaround: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLine:
    """A part to bring, the chance that it is needed, whether it usually rides along."""

    id: str
    name: str
    chance: float
    usually_on_truck: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AlertDetail:
    """The whole alert: as it was raised (`line`, `raised_with`) and what stands behind it now."""

    line: AlertLine
    raised_with: Mapping[str, Any]
    calls: tuple[tuple[int, date], ...]
    tried: tuple[TriedLine, ...]
    causes: tuple[CauseLine, ...]
    unlisted: float
    model: str
    n_cases: int
    untested: tuple[str, ...]
    first_check: str
    never_done: tuple[CheckLine, ...]
    next_checks: tuple[CheckLine, ...]
    to_bring: tuple[PartLine, ...]
    fleet: tuple[Mapping[str, Any], ...] = ()


def alert_lines(
    desk: Desk, *, settled: bool = False, site_id: int | None = None
) -> tuple[AlertLine, ...]:
    """Alerts that want somebody, the most pressing first (`settled`: also the others, last)."""
    with desk.store.read() as session:
        found = alert_rows.alerts(
            session, kind_of=REPEAT, site_ids=None if site_id is None else [site_id]
        )
        sites = {row.site_id for row in found if row.site_id is not None}
        calls = rows.calls(session, sites)
    known = knowledge_of(desk)
    since = _watching(desk, found)
    lines = [_line(desk, row, known, calls, since.get(row.id)) for row in found]
    shown = [line for line in lines if settled or line.state != SETTLED]
    return tuple(sorted(shown, key=_order))


def alert_detail(desk: Desk, alert_id: int, *, with_fleet: bool = True) -> AlertDetail:
    """One alert with everything behind it, computed anew. Raises Trouble if it is not there.

    What the fleet says is that of when it was raised; where nobody asked then, it is asked now,
    which takes seconds the first time: not without `with_fleet`.
    """
    with desk.store.read() as session:
        found = alert_rows.alerts(session, alert_ids=[alert_id])
        calls = rows.calls(session, [row.site_id for row in found if row.site_id is not None])
    if not found:
        raise Trouble(say("That alert is not in the store any more."), exit_code=3)
    row, known = found[0], knowledge_of(desk)
    line = _line(desk, row, known, calls, _watching(desk, found).get(row.id))
    key = place_key(row.site_id or 0, row.system_id)
    place = place_of_key(desk, key)
    if place is None:
        return _without_place(line, row)
    then = tuple(row.evidence.get("fleet", ()))
    thread = thread_at(desk, place, row.call_id)
    now = evidence_at(desk, place, thread, (row.symptom,), with_fleet=with_fleet and not then)
    return AlertDetail(
        line=line,
        raised_with=row.evidence,
        calls=now.calls,
        tried=tuple(_tried_line(one, known) for one in now.tried),
        causes=cause_lines(now.causes, known),
        unlisted=now.unlisted,
        model=now.model,
        n_cases=now.n_cases,
        untested=_names(now.untested, known.components),
        first_check=now.first_check,
        never_done=check_lines(now.never_done, known),
        next_checks=check_lines(now.next_checks, known),
        to_bring=part_lines(now.to_bring, known),
        fleet=then or now.fleet,
    )


def check_lines(ids: Iterable[str], known: Knowledge) -> tuple[CheckLine, ...]:
    """Checks as they are done, in the order given; their cautions in full."""
    checks = [known.checks[one] for one in ids if one in known.checks]
    return tuple(
        CheckLine(
            id=check.id,
            name=check.name,
            where=check.where,
            how=check.how,
            minutes=check.minutes,
            tools=check.tools,
            cautions=caution_texts(check.cautions),
        )
        for check in checks
    )


def cause_lines(causes: Iterable[tuple[str, float]], known: Knowledge) -> tuple[CauseLine, ...]:
    """Causes with their chances, lasting fixes and cautions in full."""
    return tuple(
        CauseLine(
            id=cause,
            name=known.causes[cause].name,
            component=known.components[known.causes[cause].component].name,
            chance=chance,
            permanent_fix=known.causes[cause].permanent_fix,
            workaround=known.causes[cause].workaround or "",
            cautions=caution_texts(known.causes[cause].cautions),
        )
        for cause, chance in causes
        if cause in known.causes
    )


def part_lines(parts: Iterable[tuple[str, float]], known: Knowledge) -> tuple[PartLine, ...]:
    """Parts to bring, likeliest first."""
    return tuple(
        PartLine(
            id=part,
            name=known.part_kinds[part].name,
            chance=chance,
            usually_on_truck=known.part_kinds[part].usually_on_truck,
        )
        for part, chance in parts
        if part in known.part_kinds
    )


def _without_place(line: AlertLine, row: AlertRow) -> AlertDetail:
    """A site with several systems, and nobody said which one calls: the calls alone speak."""
    return AlertDetail(
        line=line,
        raised_with=row.evidence,
        calls=(),
        tried=(),
        causes=(),
        unlisted=1.0,
        model="",
        n_cases=0,
        untested=(),
        first_check="",
        never_done=(),
        next_checks=(),
        to_bring=(),
    )


def _order(line: AlertLine) -> tuple[object, ...]:
    states = [OPEN, "seen", PUT_OFF, SETTLED]
    return (
        states.index(line.state),
        line.level != "act",
        -(line.chance or 0.0),
        -line.raised_on.toordinal(),
        line.id,
    )


def _watching(desk: Desk, found: Iterable[AlertRow]) -> dict[int, date | None]:
    """By alert the day its root cause was repaired, for a year from then on."""
    place_of_row = {row.id: place_key(row.site_id or 0, row.system_id) for row in found}
    symptoms_at: dict[str, set[str]] = {}
    for row in found:
        symptoms_at.setdefault(place_of_row[row.id], set()).add(row.symptom)
    repairs = repairs_behind(desk, symptoms_at) if symptoms_at else ()
    return {
        row.id: watching_since(repairs, place_of_row[row.id], row.symptom, today=desk.today)
        for row in found
    }


def _line(
    desk: Desk,
    row: AlertRow,
    known: Knowledge,
    calls: Iterable[rows.CallFacts],
    since: date | None,
) -> AlertLine:
    kept = row.evidence
    first = known.checks.get(kept.get("first_check", ""))
    causes = [one for one in kept.get("causes", ()) if one[0] in known.causes]
    symptom = known.symptoms.get(row.symptom)
    name = symptom.name if symptom is not None else row.symptom
    return AlertLine(
        id=row.id,
        revision=row.revision,
        site_id=row.site_id,
        system_id=row.system_id,
        address=row.address,
        locality=row.locality,
        label=row.label,
        level=row.level,
        state=_state(desk, row),
        symptom=row.symptom,
        symptom_name=name,
        raised_on=desk.clock.day_of(row.raised_at),
        since_on=row.since_on,
        n_calls=len(kept.get("calls", ())) or int(kept.get("why", {}).get("n", 0)),
        n_since=_n_since(row, calls),
        chance=kept.get("chance"),
        about=about(kept.get("chance")),
        why=_why(desk, row, name),
        again=bool(kept.get("again")),
        untested=_names(kept.get("untested", ()), known.components),
        first_check=first.name if first is not None else "",
        first_check_min=first.minutes if first is not None else None,
        cause=known.causes[causes[0][0]].name if causes else "",
        cause_chance=causes[0][1] if causes else None,
        to_bring=_names((one[0] for one in kept.get("to_bring", ())), known.part_kinds),
        put_off_until=row.put_off_until,
        dealt_by=row.dealt_by,
        dealt_at=row.dealt_at,
        dealt_why=row.dealt_why,
        judged=row.judged,
        cautions=caution_texts(first.cautions) if first is not None else (),
        watching_since=since,
    )


def _state(desk: Desk, row: AlertRow) -> str:
    waits = row.put_off_until is not None and row.put_off_until > desk.today
    return OPEN if row.state == PUT_OFF and not waits else row.state


def _why(desk: Desk, row: AlertRow, symptom: str) -> str:
    code = row.evidence.get("code")
    if not code:
        return ""
    reason = Reason.of(code, **row.evidence.get("why", {}))
    return reason_text(reason, desk.formats, {row.symptom: symptom.lower()})


def _n_since(row: AlertRow, calls: Iterable[rows.CallFacts]) -> int:
    """Calls at the place since it was raised, those of an event left out."""
    raised_with = {one[0] for one in row.evidence.get("calls", ())} | {row.call_id}
    there = [
        call
        for call in calls
        if call.site_id == row.site_id and call.system_id in (None, row.system_id)
    ]
    known_ids = [at for at, call in enumerate(there) if call.id in raised_with]
    later = there[max(known_ids) + 1 :] if known_ids else []
    return sum(not call.is_event for call in later)


def _tried_line(one: Any, known: Knowledge) -> TriedLine:
    cause = known.causes.get(one.cause)
    return TriedLine(
        visit_id=one.visit_id,
        on=one.on,
        outcome=outcome_text(one.outcome),
        cause=cause.name if cause is not None else one.cause,
        checks=_names(one.checks, known.checks),
        parts=_names(one.parts, known.part_kinds),
        rules_out=_names(one.rules_out, known.causes),
    )


def _names(ids: Iterable[str], of: Mapping[str, Any]) -> tuple[str, ...]:
    return tuple(str(of[one].name) for one in ids if one in of)
