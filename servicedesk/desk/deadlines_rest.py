"""Deadlines of licenses, promises on the phone, inspection windows, and readings out of limits."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from servicedesk.desk.deadline_line import (
    About,
    DeadlineLine,
    Where,
    calendar_of,
    lateness_of,
    of_rule,
    receiver_text,
    rule_on,
    source_text,
)
from servicedesk.desk.office import Desk
from servicedesk.desk.promise import promise_for
from servicedesk.desk.rules import Rules, rules_of
from servicedesk.desk.windows import SiteWindow, current_windows
from servicedesk.duties.deadlines import LICENSE, instant_due, license_ends
from servicedesk.records import company_rows, limit_rows
from servicedesk.records import deadline_rows as rows
from servicedesk.trade.rule_limits import NAMED_BY, keeps, limit_for, or_else_item
from servicedesk.trade.rule_shapes import DutyKind
from servicedesk.words import say
from servicedesk.words.jobs import job_title
from servicedesk.words.reasons import reason_text, reasons_text

# why an attempt failed that was not our doing; "no time" and "wrong part" are ours
NOT_OURS = frozenset({"no access", "refused", "no power", "lid buried", "unsafe", "weather"})
LOOK_BACK_DAYS = 365
FIRST = datetime.min.replace(tzinfo=UTC)


def license_lines(desk: Desk) -> Iterator[DeadlineLine]:
    """Licenses that end soon or have ended, of the company, of technicians and of other firms.

    A renewed license is no trouble: of each holder and class the one that runs longest counts.
    """
    with desk.store.read() as session:
        held = company_rows.licenses(session)
        here = {t.id for t in company_rows.technicians(session, desk.today)}
        firms = rows.firm_licenses(session)
    longest: dict[tuple[int | None, str], company_rows.LicenseRow] = {}
    for row in held:
        if row.technician_id is None or row.technician_id in here:
            key = (row.technician_id, row.license_class)
            known = longest.get(key)
            if known is None or (row.valid_until or date.max) > (known.valid_until or date.max):
                longest[key] = row
    for row in longest.values():
        name = row.technician or desk.company.name or say("the company")
        text = say("License {number} of {name}", number=row.number, name=name)
        if row.license_class:
            text = say("{license} ({kind})", license=text, kind=row.license_class)
        yield from _license(desk, row.valid_until, text, "setup")
    for firm in firms:
        text = say("License of {name}", name=firm.name)
        yield from _license(desk, firm.valid_until, text, "setup")


def _license(desk: Desk, valid_until: date | None, what: str, place: str) -> Iterator[DeadlineLine]:
    if valid_until is None:
        return
    found = license_ends(valid_until - timedelta(days=1), today=desk.today)
    if found is None or found.due_on is None:
        return
    yield DeadlineLine(
        kind="license",
        duty=LICENSE,
        what=what,
        due_on=found.due_on,
        days_left=(found.due_on - desk.today).days,
        why=tuple(reason_text(one, desk.formats) for one in found.reasons),
        ours=lateness_of(desk, found.due_on).ours,
        place=place,
    )


def promise_lines(desk: Desk) -> Iterator[DeadlineLine]:
    """Open calls with the time promised; one that nobody promised has that of contract or rule."""
    with desk.store.read() as session:
        calls = rows.open_calls(session)
    for call in calls:
        if call.promised_by_at is not None:
            said = say("promised on the phone")
            yield _call(desk, call, call.promised_by_at, "promise", (said,))
        else:
            promise = promise_for(desk, call.site_id, call.called_at)
            why = (say("nobody promised a time"), reasons_text(promise.why, desk.formats))
            yield _call(desk, call, promise.by_at, "complaint", why)


def _call(
    desk: Desk, call: rows.OpenCall, by_at: datetime, duty: str, why: tuple[str, ...]
) -> DeadlineLine:
    due_on = desk.clock.day_of(by_at)
    late = lateness_of(desk, due_on)
    # an hour over on the same day is late too, though no day is
    over = by_at < desk.clock.now() and late.ours == 0
    texts = (*why, say("the hour is over") if over else "")
    return DeadlineLine(
        kind="promise",
        duty=duty,
        what=say("Answer the call of {who}", who=call.caller)
        if call.caller
        else say("Answer the call"),
        due_on=due_on,
        due_at=by_at,
        days_left=(due_on - desk.today).days,
        site_id=call.site_id,
        address=call.address,
        locality=call.locality,
        why=tuple(text for text in texts if text),
        ours=late.ours,
        place="phone",
        ids=(call.call_id,),
        call_id=call.call_id,
    )


def window_lines(desk: Desk) -> Iterator[DeadlineLine]:
    """Inspection windows that are open, closing or late, lateness parted by whose it is."""
    due = [one for one in current_windows(desk) if one.window.is_due]
    with desk.store.read() as session:
        names = rows.site_names(session, (one.site_id for one in due))
        tried = rows.attempts(session, (a for one in due for a in one.window.attempts))
    rules = rules_of(desk)
    for one in due:
        site = names[one.site_id]
        refused = [
            desk.clock.day_of(t.arrived_at)
            for t in (tried[a] for a in one.window.attempts if a in tried)
            if t.arrived_at is not None and t.could_not in NOT_OURS
        ]
        line = _window(desk, one, Where(one.site_id, site.address, site.locality), refused, rules)
        vain = [t for t in (tried[a] for a in one.window.attempts if a in tried) if t.arrived_at]
        yield (
            line
            if not vain
            else replace(
                line,
                job_id=max(vain, key=lambda t: (t.arrived_at or FIRST, t.job_id)).job_id,
                to=(receiver_text("owner"), receiver_text("authority")),
                receivers=("owner", "authority"),
            )
        )


def _window(
    desk: Desk, one: SiteWindow, where: Where, refused: list[date], rules: Rules
) -> DeadlineLine:
    window = one.window
    late = lateness_of(desk, window.closes_on, refused_on=refused)
    rule = rule_on(rules, one.rule_id, desk.today)
    why = [reason_text(reason, desk.formats) for reason in window.why]
    if one.planned_on is not None:
        why.append(say("planned {day}", day=desk.formats.day(one.planned_on, near=desk.today)))
    return DeadlineLine(
        kind="window",
        duty="window",
        what=say(
            "{job} of contract {n}",
            job=job_title("inspection", window.ordinal).capitalize(),
            n=one.contract_number,
        ),
        due_on=window.closes_on,
        days_left=window.days_left(desk.today),
        site_id=where.site_id,
        address=where.address,
        locality=where.locality,
        confirmed=window.confirmed,
        source=source_text(rule) if rule is not None else "",
        why=tuple(why),
        ours=late.ours,
        no_access=late.no_access,
        ids=(where.site_id,),
        contract_id=one.contract_id,
        system_id=one.system_id,
        visit_id=one.planned_visit_id,
    )


def reading_lines(desk: Desk) -> Iterator[DeadlineLine]:
    """Readings of the last year outside the limit of the rule in force that day, not yet told.

    The report that reached the authority tells of it too, as it says the reading and its limit.

    Where a rule lets another test take a reading's place, that test within its limit at the same
    visit is enough.
    """
    since = desk.clock.instant(desk.today - timedelta(days=LOOK_BACK_DAYS), 0)
    with desk.store.read() as session:
        taken = limit_rows.readings_under_rules(session, NAMED_BY, since_at=since)
    rules = rules_of(desk)
    kept = {(r.job_id, r.item_id) for r in taken if _keeps(desk, r, rules)}
    calendar = calendar_of(desk)
    for row in taken:
        on = desk.clock.day_of(row.arrived_at)
        rule = rule_on(rules, row.rule_id, on)
        if row.told or rule is None or _keeps(desk, row, rules) is not False:
            continue
        limit = limit_for(rule, row.item_id, single_family=row.single_family)
        if limit is None or (row.job_id, or_else_item(limit)) in kept:
            continue
        words = say(
            "Tell of {what}: {value} {unit} on {day}, outside its limit",
            what=limit.what,
            value=(row.qualifier if row.qualifier in "<>" else "") + (row.value or row.qualifier),
            unit=row.unit,
            day=desk.formats.day(on, near=desk.today),
        )
        for found in instant_due(
            rule, DutyKind.EXCEEDANCE, row.arrived_at, on=on, calendar=calendar
        ):
            yield of_rule(
                desk, found, rule, kind="notice", what=words,
                where=Where(row.site_id, row.address, row.locality),
                about=About(visit_id=row.visit_id, job_id=row.job_id, system_id=row.system_id),
            )  # fmt: skip


def _keeps(desk: Desk, row: limit_rows.OutsideReading, rules: Rules) -> bool | None:
    rule = rule_on(rules, row.rule_id, desk.clock.day_of(row.arrived_at))
    limit = limit_for(rule, row.item_id, single_family=row.single_family) if rule else None
    return None if limit is None else keeps(limit, row.value, row.qualifier)
