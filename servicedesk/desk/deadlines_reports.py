"""Deadlines of reports: of inspections and pump-outs that nobody has reported yet."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, timedelta

from servicedesk.desk.deadline_line import (
    OWN_REPORT_DAYS,
    About,
    DeadlineLine,
    Where,
    calendar_of,
    lateness_of,
    of_rule,
    receiver_text,
    rule_on,
    to_kind,
)
from servicedesk.desk.office import Desk
from servicedesk.desk.paper_kinds import INSPECTION_REPORT, PUMP_OUT_REPORT, SALE_INSPECTION
from servicedesk.desk.rules import Rules, rules_of
from servicedesk.desk.signatures import signatures_of
from servicedesk.duties.deadlines import Deadline, pump_out_report_due, report_due
from servicedesk.duties.workdays import WorkCalendar
from servicedesk.records import deadline_rows as rows
from servicedesk.records.sample_rows import SignatureRow
from servicedesk.trade.rule_shapes import DutyKind
from servicedesk.trade.service_rules import ServiceRule
from servicedesk.words import say
from servicedesk.words.jobs import job_title

RECEIVERS = ("owner", "authority", "maker")

Due = Callable[[ServiceRule, date, WorkCalendar], tuple[Deadline, ...]]


def report_lines(desk: Desk) -> Iterator[DeadlineLine]:
    """Reports of inspections and pump-outs that have not gone to everybody they must go to."""
    yield from _of_kind(desk, "inspection", INSPECTION_REPORT, DutyKind.REPORT, report_due)
    yield from _of_kind(
        desk, "pump-out", PUMP_OUT_REPORT, DutyKind.PUMP_OUT_REPORT, pump_out_report_due
    )
    yield from _of_kind(desk, "sale", SALE_INSPECTION, DutyKind.SALE_INSPECTION, _no_day)


def _no_day(*_event: object) -> tuple[Deadline, ...]:
    """No rule that was read names a day for the paper of a sale inspection: ours stands."""
    return ()


def _of_kind(
    desk: Desk, job_kind: str, paper_kind: str, duty: DutyKind, due: Due
) -> Iterator[DeadlineLine]:
    jobs, unsent = unsent_jobs(desk, job_kind, paper_kind, duty)
    calendar, rules = calendar_of(desk), rules_of(desk)
    signed = signatures_of(desk, {job.job_id: job.visit_id for job in jobs.values()})
    for job in jobs.values():
        on = desk.clock.day_of(job.arrived_at)
        rule = rule_on(rules, job.rule_id, on)
        found = () if rule is None else due(rule, on, calendar)
        where = Where(job.site_id, job.address, job.locality)
        about = About(visit_id=job.visit_id, job_id=job.job_id, system_id=job.system_id)
        for one in found:
            to = tuple(r for r in one.to if to_kind(r) in unsent[job.job_id])
            if to and rule is not None:
                line = of_rule(
                    desk, one, rule, kind="report", what=_what(desk, job, on), where=where,
                    to=to, about=about,
                )  # fmt: skip
                yield replace(line, why=(*line.why, _signed(signed.get(job.job_id))))
        if not found and duty is not DutyKind.PUMP_OUT_REPORT and "owner" in unsent[job.job_id]:
            yield _own(desk, job, rule, on, _signed(signed.get(job.job_id)))


def _signed(signature: SignatureRow | None) -> str:
    if signature is None:
        return say("waiting for signature")
    return say("signed by {name}", name=signature.signed_by)


def unsent_jobs(
    desk: Desk, job_kind: str, paper_kind: str, duty: DutyKind
) -> tuple[dict[int, rows.DoneJob], dict[int, set[str]]]:
    """Jobs that some kind of receiver has no paper about, and which kinds these are."""
    jobs: dict[int, rows.DoneJob] = {}
    unsent: dict[int, set[str]] = {}
    makers = rules_that_name(rules_of(desk), "maker", duty)
    with desk.store.read() as session:
        for receiver in RECEIVERS:
            if receiver == "maker" and not makers:
                continue
            found = rows.without_paper(
                session,
                job_kind=job_kind,
                paper_kind=paper_kind,
                to_kind=receiver,
                since_at=rows.reports_begin_at(session, paper_kind, receiver),
                rule_ids=makers if receiver == "maker" else None,
            )
            for job in found:
                jobs[job.job_id] = job
                unsent.setdefault(job.job_id, set()).add(receiver)
    return jobs, unsent


def rules_that_name(rules: Rules, receiver: str, duty: DutyKind) -> frozenset[str]:
    """Ids of the rules with a duty to such a receiver, in any of their versions."""
    return frozenset(
        rule_id
        for rule_id, versions in rules.items()
        for version in versions
        for one in version.duties_of(duty)
        if any(to_kind(r) == receiver for r in one.to)
    )


def _what(desk: Desk, job: rows.DoneJob, on: date) -> str:
    title = job_title(job.kind, job.ordinal)
    return say("Report of {job}, {day}", job=title, day=desk.formats.day(on, near=desk.today))


def _own(
    desk: Desk, job: rows.DoneJob, rule: ServiceRule | None, on: date, signed: str
) -> DeadlineLine:
    """No rule names a day: our own two weeks, marked as such, so that it is not forgotten."""
    due_on = on + timedelta(days=OWN_REPORT_DAYS)
    why = (
        say("no rule is written down for this system")
        if rule is None
        else say("the rule names no day for the report")
    )
    return DeadlineLine(
        kind="report",
        duty=DutyKind.REPORT,
        what=_what(desk, job, on),
        due_on=due_on,
        days_left=(due_on - desk.today).days,
        to=(receiver_text("owner"),),
        receivers=("owner",),
        site_id=job.site_id,
        address=job.address,
        locality=job.locality,
        confirmed=False,
        own=True,
        source="" if rule is None else rule.source,
        why=(why, say("our own two weeks; check with your permitting authority"), signed),
        ours=lateness_of(desk, due_on).ours,
        ids=(job.site_id,),
        visit_id=job.visit_id,
        job_id=job.job_id,
        system_id=job.system_id,
    )
