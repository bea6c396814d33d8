"""Findings of a visit: each check with its result at the unit that is there now."""

from collections.abc import Mapping
from datetime import datetime

from servicedesk.desk.writeup_checks import NOT_LOOKED_AT, JobTrouble
from servicedesk.desk.writeup_notes import JobNotes, VisitNotes
from servicedesk.records import finding_rows
from servicedesk.records.finding_rows import JobTroubleRow
from servicedesk.records.store import Work
from servicedesk.records.visits import Finding, Visit
from servicedesk.trade.check_units import component_of_check
from servicedesk.trade.faults import Knowledge


def is_known(known: Knowledge, check_id: str, result_id: str | None) -> bool:
    """Is it a result (None: not looked at) that the knowledge has?"""
    check = known.checks.get(check_id)
    return check is not None and (
        result_id is None or result_id in {one.id for one in check.results}
    )


def said_of(results: Mapping[str, str | None], known: Knowledge) -> dict[str, str]:
    """Stored results as the form has them; what is not known (any more) is left out."""
    return {
        check: NOT_LOOKED_AT if result is None else result
        for check, result in results.items()
        if is_known(known, check, result)
    }


def write_findings(
    work: Work,
    visit: Visit,
    notes: VisitNotes,
    rows: Mapping[int, JobTroubleRow],
    troubles: Mapping[int, JobTrouble],
    *,
    by: str,
    at: datetime,
) -> None:
    """Inside a change: the findings of the visit's troubles become those of the notes.

    `rows` are the jobs that ask for findings, at least one; `troubles` is what they ask. Rows of
    other systems, and of checks or results that the knowledge does not have, stay as they are.
    """
    known = next(iter(troubles.values())).known
    wanted = _wanted(notes.jobs, rows)
    systems = {row.system_id for row in rows.values()}
    stands: dict[tuple[int | None, str], Finding] = {}
    for row in finding_rows.findings_of_visit(work.session, visit.id):
        if row.system_id in systems and is_known(known, row.check_id, row.result_id):
            stands[row.system_id, row.check_id] = row
    for (system_id, check_id), (said, unit_id) in wanted.items():
        found = stands.pop((system_id, check_id), None)
        if found is None:
            found = Finding(visit_id=visit.id, system_id=system_id, check_id=check_id, found_at=at)
            work.session.add(found)
        found.unit_id = unit_id
        found.result_id = None if said == NOT_LOOKED_AT else said
        found.found_by, found.found_at = by, at
        found.weather, found.knowledge = visit.weather, known.version
    for found in stands.values():
        work.session.delete(found)


def _wanted(
    jobs: tuple[JobNotes, ...], rows: Mapping[int, JobTroubleRow]
) -> dict[tuple[int | None, str], tuple[str, int | None]]:
    """What each check says and at which unit, by system and check; a result goes over none."""
    wanted: dict[tuple[int | None, str], tuple[str, int | None]] = {}
    for job in jobs:
        row = rows.get(job.job_id)
        for check_id, said in job.findings.items() if row is not None else ():
            if row is None or (said == NOT_LOOKED_AT and (row.system_id, check_id) in wanted):
                continue
            kind = component_of_check(check_id, row.units)
            unit_id = row.units[kind].id if kind is not None else None
            wanted[row.system_id, check_id] = (said, unit_id)
    return wanted
