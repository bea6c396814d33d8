"""Offers that left: when, how, whether they were reminded of, and what is to be done next.

An offer is answered when the next contract runs or this one is written as ending.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from servicedesk.desk.office import Desk
from servicedesk.desk.paper_kinds import OFFER, OFFER_REMINDER
from servicedesk.records import offer_rows
from servicedesk.records.renewal_rows import price_policy

REMIND_DAYS = 21  # without an answer: common practice, no source
CALL_DAYS = 14  # after the reminder somebody calls: common practice, no source
# letters of `desk.letter_wording` by the kind of paper that the register keeps
KINDS = {"offer": OFFER, "offer_reminder": OFFER_REMINDER}


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferState:
    """What was sent about a contract. `next_on`: when to remind, then when to call."""

    paper_id: int
    number: int | None
    how: str
    sent_on: date
    reminded_on: date | None = None
    remind_days: int = REMIND_DAYS
    call_days: int = CALL_DAYS

    @property
    def next_on(self) -> date:
        """The day on which we do something if nobody has answered."""
        if self.reminded_on is None:
            return self.sent_on + timedelta(days=self.remind_days)
        return self.reminded_on + timedelta(days=self.call_days)


def offers_of(desk: Desk) -> Mapping[int, OfferState]:
    """What was offered, by contract: the latest offer, and whether it was reminded of."""
    with desk.store.read() as session:
        rows = offer_rows.offers(session, KINDS.values())
        waits = _waits(price_policy(session))
    found: dict[int, OfferState] = {}
    for row in rows:
        on = desk.clock.day_of(row.sent_at)
        before = found.get(row.contract_id)
        if row.kind_of == OFFER or before is None:
            found[row.contract_id] = OfferState(
                paper_id=row.paper_id,
                number=row.number,
                how=row.how,
                sent_on=on,
                reminded_on=on if row.kind_of == OFFER_REMINDER else None,
                **waits,
            )
        else:
            found[row.contract_id] = OfferState(
                paper_id=before.paper_id,
                number=before.number,
                how=before.how,
                sent_on=before.sent_on,
                reminded_on=on,
                **waits,
            )
    return found


def _waits(policy: Mapping[str, Any]) -> dict[str, int]:
    """The company's own days without an answer, where it wrote some that can be counted."""
    own = {name: policy.get(name) for name in ("remind_days", "call_days")}
    return {
        name: days
        for name, days in own.items()
        if isinstance(days, int) and not isinstance(days, bool) and days >= 1
    }
