"""What callers answer to a check on the phone is a finding, kept in the change of the call."""

from collections.abc import Mapping
from typing import Any

from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.office import Desk
from servicedesk.records import event_rows
from servicedesk.records.calls import Call
from servicedesk.records.store import Work
from servicedesk.records.visits import Finding
from servicedesk.trade.checks import Check


def write(desk: Desk, work: Work, call: Call, findings: Mapping[str, str | None]) -> None:
    """Inside a change: the findings of a call become these, by check id.

    A result None means "asked, they could not tell". What was answered before and is taken back
    stays as a finding without a result: it was asked. Raises ValueError for a check that is not
    asked on the phone or a result that it does not have.
    """
    knowledge = knowledge_of(desk) if findings else None
    known = knowledge.checks if knowledge is not None else {}
    for check_id, result_id in findings.items():
        _refuse_unknown(known, check_id, result_id)
    standing = {one.check_id: one for one in event_rows.findings_of_call(work.session, call.id)}
    for check_id, one in standing.items():
        one.result_id = findings.get(check_id)
        one.system_id = call.system_id
        if knowledge is not None and check_id in findings:
            one.knowledge = knowledge.version
    for check_id, result_id in findings.items():
        if check_id not in standing:
            work.add(
                Finding(
                    call_id=call.id,
                    system_id=call.system_id,
                    check_id=check_id,
                    result_id=result_id,
                    found_by=desk.who,
                    found_at=call.called_at,
                    knowledge=knowledge.version if knowledge is not None else "",
                )
            )


def of_call(session: Any, call_id: int) -> dict[str, str | None]:
    """What was answered in a call: result (None: could not tell) by check id."""
    found = event_rows.findings_of_call(session, call_id)
    return {one.check_id: one.result_id for one in found}


def _refuse_unknown(known: Mapping[str, Check], check_id: str, result_id: str | None) -> None:
    check = known.get(check_id)
    if check is None or check.where != "phone":
        raise ValueError(f"{check_id!r} is no check that is asked on the phone")
    if result_id is not None and result_id not in {one.id for one in check.results}:
        raise ValueError(f"{result_id!r} is no result of {check_id!r}")
