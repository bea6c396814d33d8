"""Corrected reports owed: visits that were changed after their report left, and what changed."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

from servicedesk.desk.deadline_line import DeadlineLine, lateness_of, receiver_text
from servicedesk.desk.office import Desk
from servicedesk.desk.paper_kinds import INSPECTION_REPORT, PUMP_OUT_REPORT, SALE_INSPECTION
from servicedesk.desk.report_parts import grade_text, item_name
from servicedesk.records import deadline_rows, report_log_rows, writeup_rows
from servicedesk.records.report_log_rows import SentReport, Touched
from servicedesk.trade.check_units import number_of
from servicedesk.trade.readings import catalogue
from servicedesk.words import say
from servicedesk.words.calls import plain
from servicedesk.words.jobs import outcome_text
from servicedesk.words.readings_said import value_text

KINDS = (INSPECTION_REPORT, PUMP_OUT_REPORT, SALE_INSPECTION)
# The list looks at papers of so many days; a single visit is looked at however old it is.
LOOK_BACK_DAYS = 400
OWN_DAYS = 14  # no rule names a day: common practice, no source

# columns whose change does not change what a report says
_SILENT = {
    "visit": {"round_id", "place", "arrive_min", "begin_min", "leave_min", "drive_min", "held",
              "held_crew_id", "held_at_min", "told", "promise_from_min", "promise_until_min",
              "wishes", "service_min", "kept_apart", "travel_min", "state", "planned_on", "note"},
    "job": {"minutes", "billing", "price_minor", "cause_id", "cause_known_by", "checks_done",
            "parts_changed", "told_whom", "note_left", "firm_id", "firm_state", "volume_gal",
            "manifest", "window_from", "window_until", "contract_id", "ordinal", "owed_id",
            "call_id"},
    "reading": {"rule_id", "rule_version"},
    "item_result": {"unit_id"},
    "part_line": {"part_id", "new_unit_id", "billing"},
    "owed": {"state", "settled_on", "settled_visit_id", "estimate_minor", "estimate_sent_on",
             "answer", "answered_by", "answered_how", "minutes", "waits_for", "needs_parts",
             "unit_id"},
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionOwed:
    """A report whose visit was changed since: to whom it went, and what is otherwise now."""

    report: SentReport
    changed: tuple[str, ...]
    changed_on: date


def corrections_owed(
    desk: Desk, *, visit_ids: Iterable[int] | None = None
) -> tuple[CorrectionOwed, ...]:
    """Corrected reports that are owed, by day sent; of some visits alone if they are named."""
    since = desk.clock.instant(desk.today - timedelta(days=LOOK_BACK_DAYS), 0)
    with desk.store.read() as session:
        sent = report_log_rows.last_reports(
            session,
            KINDS,
            since_at=since if visit_ids is None else None,
            visit_ids=visit_ids,
        )
        lowest: dict[int, int] = {}
        for one in sent:
            lowest[one.visit_id] = min(one.change_id, lowest.get(one.visit_id, one.change_id))
        changed_visits = report_log_rows.touched_since(session, lowest)
        # the two receivers of a visit may have theirs from different days
        touched_by = {
            one.paper_id: report_log_rows.touched_since(session, {one.visit_id: one.change_id})
            for one in sent
            if one.visit_id in changed_visits
        }
        names = writeup_rows.technician_names(session) if changed_visits else {}
        last = {t.last_change_id for some in changed_visits.values() for t in some}
        times = report_log_rows.change_times(session, last)
    found = []
    for one in sent:
        touched = [
            t
            for t in touched_by.get(one.paper_id, {}).get(one.visit_id, ())
            if t.job_id in (None, one.job_id) or one.job_id is None
        ]
        texts = tuple(text for t in touched for text in changed_texts(desk, t, names))
        if texts:
            at = max(times[t.last_change_id] for t in touched)
            found.append(
                CorrectionOwed(report=one, changed=texts, changed_on=desk.clock.day_of(at))
            )
    return tuple(found)


def correction_lines(desk: Desk) -> Iterator[DeadlineLine]:
    """The same as rows of the list of deadlines."""
    owed = corrections_owed(desk)
    jobs = [one.report.job_id for one in owed if one.report.job_id is not None]
    with desk.store.read() as session:
        done = deadline_rows.done_jobs(session, jobs)
    for one in owed:
        job = done.get(one.report.job_id or 0)
        if job is None:
            continue
        due_on = one.changed_on + timedelta(days=OWN_DAYS)
        name = (
            say("Corrected report in place of report {n}", n=one.report.first_number)
            if one.report.first_number is not None
            else say("Corrected report")
        )
        yield DeadlineLine(
            kind="corrected report",
            duty="corrected report",
            what=name,
            due_on=due_on,
            days_left=(due_on - desk.today).days,
            to=(one.report.to_whom or receiver_text(one.report.to_kind),),
            receivers=(one.report.to_kind,),
            site_id=job.site_id,
            address=job.address,
            locality=job.locality,
            confirmed=False,
            own=True,
            why=one.changed,
            ours=lateness_of(desk, due_on).ours,
            ids=(job.site_id,),
            visit_id=job.visit_id,
            job_id=job.job_id,
            system_id=job.system_id,
            paper_id=one.report.paper_id,
        )


def changed_texts(desk: Desk, touched: Touched, technicians: Mapping[int, str]) -> tuple[str, ...]:
    """What a change of a row means for a report, in words; nothing where it means nothing."""
    silent = _SILENT.get(touched.table, set()) | {"revision"}
    before, after = touched.before, touched.after
    columns = touched.columns - silent
    if not columns:
        return ()
    match touched.table:
        case "reading":
            return (_versus(_reading_name(touched.item_id), _reading(before), _reading(after)),)
        case "item_result":
            return (_versus(item_name(touched.item_id), _item(before), _item(after)),)
        case "part_line":
            return (_versus(say("Part"), _part(before), _part(after)),)
        case "owed":
            return (_versus(say("Still to be done"), _owed(before), _owed(after)),)
    found = []
    for name in sorted(columns):
        old, new = (before or {}).get(name), (after or {}).get(name)
        words = _of_column(desk, name, old, new, technicians)
        if words:
            found.append(words)
    return tuple(found)


def _versus(name: str, old: str, new: str) -> str:
    if not old:
        return say("{name}: {new} (added)", name=name, new=new or say("empty"))
    if not new:
        return say("{name}: {old} (taken out)", name=name, old=old)
    return say("{name}: {new} instead of {old}", name=name, new=new, old=old)


def _reading_name(item_id: str) -> str:
    number = catalogue().number(item_id) or number_of(item_id)
    return number.name if number is not None else plain(item_id)


def _reading(row: Mapping[str, Any] | None) -> str:
    if row is None:
        return ""
    if not {"value", "qualifier", "state"} & row.keys():
        return say("range {low} to {high}", low=row.get("limit_low"), high=row.get("limit_high"))
    return value_text(
        str(row.get("value", "")), str(row.get("unit", "")), str(row.get("qualifier", "=")),
        str(row.get("state", "measured")),
    )  # fmt: skip


def _item(row: Mapping[str, Any] | None) -> str:
    if row is None:
        return ""
    parts = [grade_text(str(row["grade"]))] if row.get("grade") else []
    parts += [str(row[name]) for name in ("answer", "note") if row.get(name)]
    return ", ".join(parts) or say("empty")


def _part(row: Mapping[str, Any] | None) -> str:
    if row is None:
        return ""
    n, text = row.get("quantity", 1), row.get("text", "")
    return f"{n} × {text}" if text and n != 1 else str(text or n)


def _owed(row: Mapping[str, Any] | None) -> str:
    if row is None:
        return ""
    names = ("what", "needs", "workaround", "by_on", "debtor")
    return ", ".join(str(row[name]) for name in names if row.get(name)) or say("empty")


def _of_column(desk: Desk, name: str, old: Any, new: Any, technicians: Mapping[int, str]) -> str:
    """One column of a visit or a job that reads otherwise now."""
    labels = {
        "found": say("Found"),
        "did": say("Done"),
        "as_left": say("As left"),
        "weather": say("Weather"),
        "outcome": say("Outcome"),
        "could_not": say("Why it could not be done"),
        "fix": say("How lasting"),
        "no_fault_found": say("No fault found"),
        "technician_id": say("Visited by"),
        "arrived_at": say("Arrived"),
        "left_at": say("Left"),
        "leaving": say("List before leaving"),
        "system_id": say("System"),
        "kind_of": say("Work"),
    }
    label = labels.get(name, plain(name))
    if name == "leaving":
        return say("{name}: changed", name=label)
    return _versus(label, _said(desk, name, old, technicians), _said(desk, name, new, technicians))


def _said(desk: Desk, name: str, value: Any, technicians: Mapping[int, str]) -> str:
    if value is None or value == "":
        return ""
    if name == "technician_id":
        return technicians.get(int(value), "")
    if name == "outcome":
        return outcome_text(str(value))
    if isinstance(value, bool):
        return say("yes") if value else say("no")
    if name in ("arrived_at", "left_at"):
        return _time(desk, str(value))
    return str(value)


def _time(desk: Desk, text: str) -> str:
    at = datetime.fromisoformat(text)
    at = at.replace(tzinfo=UTC) if at.tzinfo is None else at
    day, time = desk.formats.day(desk.clock.day_of(at)), desk.formats.time(desk.clock.minute_of(at))
    return say("{day}, {time}", day=day, time=time)
