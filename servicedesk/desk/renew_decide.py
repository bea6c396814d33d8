"""What a person decided about contracts that end, against or with what we propose."""

from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.desk.office import Desk
from servicedesk.desk.renew import draft_of, write_next
from servicedesk.desk.renew_notes import BY_HAND, note_with
from servicedesk.duties.months import add_months
from servicedesk.records.contracts import Contract
from servicedesk.records.store import Changed
from servicedesk.records.work import Work
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n
from servicedesk.words.renewal_reasons import decision_text


@dataclass(frozen=True, slots=True)
class Chosen:
    """A contract that ends, as it was shown."""

    contract_id: int
    seen: int | None = None


def decide(desk: Desk, chosen: Sequence[Chosen], code: str) -> Changed:
    """Write one decision (`BY_HAND`) about all of these in one change; "" takes them back.

    It stands in the note of the next contract's draft, which is made where there is none. One that
    was written as ending goes on again. Raises Trouble for what is renewed already, StaleEdit for
    what changed since it was shown, ValueError for another code.
    """
    if code and code not in BY_HAND:
        raise ValueError(f"{code!r} is none of {BY_HAND}")
    what = say_n(
        "Decided about {n} contract: {words}",
        "Decided about {n} contracts: {words}",
        len(chosen),
        words=decision_text(code) if code else say("as proposed"),
    )
    with desk.store.change(desk.who, what) as work:
        for one in chosen:
            _decided(work, work.fresh(Contract, one.contract_id, seen=one.seen), code)
    return work.changed


def _decided(work: Work, old: Contract, code: str) -> None:
    draft = draft_of(work, old)
    if old.ended_on is not None:
        if old.ended_on != old.until_on:
            raise Trouble(
                say("Contract {number} was ended before its last day.", number=old.number),
                means=say("Nothing was changed."),
                do=say("Make a new contract where the site wants one."),
            )
        old.ended_on, old.ended_why = None, ""
    if draft is None and code:
        end = add_months(old.until_on, 12)
        draft = write_next(work, old, None, old.until_on, end, stage="draft")
    if draft is not None:
        draft.note = note_with(draft.note, code)
