"""Every deadline in one list: reports, contract papers, notices, licenses, promises, windows."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import chain

from servicedesk.desk.cached import cached
from servicedesk.desk.corrections import correction_lines
from servicedesk.desk.deadline_line import KINDS, DeadlineLine
from servicedesk.desk.deadlines_contracts import contract_lines
from servicedesk.desk.deadlines_failures import failure_lines
from servicedesk.desk.deadlines_reports import report_lines
from servicedesk.desk.deadlines_rest import (
    license_lines,
    promise_lines,
    reading_lines,
    window_lines,
)
from servicedesk.desk.deadlines_samples import sample_again_lines
from servicedesk.desk.office import Desk
from servicedesk.desk.renew_due import offer_lines
from servicedesk.desk.samples import sample_lines
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

__all__ = ["KINDS", "DeadlineLine", "deadlines", "kind_name", "n_of_kind"]

SOURCES: tuple[Callable[[Desk], Iterator[DeadlineLine]], ...] = (
    report_lines,
    correction_lines,
    contract_lines,
    offer_lines,
    reading_lines,
    failure_lines,
    sample_lines,
    sample_again_lines,
    license_lines,
    promise_lines,
    window_lines,
)


def deadlines(desk: Desk, *, kind: str | None = None) -> tuple[DeadlineLine, ...]:
    """Everything that is due, the soonest last day first; of one kind if one is named.

    Raises Trouble for a kind that does not exist.
    """
    if kind is not None and kind not in KINDS:
        raise Trouble(
            say("“{kind}” is no kind of deadline.", kind=kind),
            do=say("Name one of these: {kinds}.", kinds=", ".join(KINDS)),
        )
    found = cached(desk, ("deadlines", desk.today), lambda: _all(desk))
    return found if kind is None else tuple(one for one in found if one.kind == kind)


def _all(desk: Desk) -> tuple[DeadlineLine, ...]:
    found = chain.from_iterable(source(desk) for source in SOURCES)
    return tuple(sorted(found, key=_order))


def _order(line: DeadlineLine) -> tuple[object, ...]:
    return (
        line.due_on,
        line.due_at.isoformat() if line.due_at else "",
        KINDS.index(line.kind),
        line.address,
        line.job_id or line.contract_id or line.call_id or 0,
        line.to,
    )


def n_of_kind(lines: Iterable[DeadlineLine]) -> Mapping[str, int]:
    """How many there are of each kind, none left out."""
    counts = dict.fromkeys(KINDS, 0)
    for line in lines:
        counts[line.kind] += 1
    return counts


def kind_name(kind: str) -> str:
    """A kind of deadline as a heading says it."""
    names = {
        "report": say("Reports"),
        "corrected report": say("Corrected reports"),
        "contract": say("Contract papers"),
        "notice": say("Notices"),
        "sample": say("Samples"),
        "license": say("Licenses"),
        "promise": say("Promises"),
        "window": say("Inspections"),
    }
    return names[kind]
