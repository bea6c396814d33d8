"""What a visit for a call came to, in words."""

from typing import Protocol

from servicedesk.words import say
from servicedesk.words.jobs import beyond_reason, outcome_text


class VisitTold(Protocol):
    """What a visit said of a call."""

    @property
    def outcome(self) -> str | None: ...
    @property
    def could_not(self) -> str: ...
    @property
    def found(self) -> str: ...
    @property
    def did(self) -> str: ...
    @property
    def fix(self) -> str: ...
    @property
    def no_fault_found(self) -> bool: ...


def visit_line(visit: VisitTold) -> str:
    """What a visit for a call came to, in a line."""
    if visit.outcome is None:
        return say("Nobody was there yet")
    parts = [beyond_reason(visit.found, visit.could_not), visit.did]
    if visit.no_fault_found:
        parts.append(say("no fault found"))
    if visit.fix == "patched":
        parts.append(say("patched, not lasting"))
    elif visit.fix == "reset only" and not visit.no_fault_found:
        parts.append(say("reset only"))
    if visit.outcome != "done":
        parts.append(outcome_text(visit.outcome, visit.could_not))
    said = ". ".join(part.strip().rstrip(".") for part in parts if part.strip())
    return said or outcome_text(visit.outcome)
