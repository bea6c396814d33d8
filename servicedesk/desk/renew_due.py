"""Offers nobody answered, as rows of the list of deadlines: when to remind, then when to call."""

from collections.abc import Iterator

from servicedesk.desk.deadline_line import DeadlineLine, lateness_of
from servicedesk.desk.office import Desk
from servicedesk.desk.renew_sent import offers_of
from servicedesk.records import offer_rows
from servicedesk.words import say


def offer_lines(desk: Desk) -> Iterator[DeadlineLine]:
    """One row for each offer without an answer. The day is our own habit, no legal deadline."""
    offers = offers_of(desk)
    with desk.store.read() as session:
        waiting = offer_rows.unanswered(session, offers)
    for key, one in waiting.items():
        sent = offers[key]
        day = desk.formats.day(sent.reminded_on or sent.sent_on, near=desk.today)
        what = (
            say("Remind of the offer for contract {n}, sent {day}", n=one.number, day=day)
            if sent.reminded_on is None
            else say("Call about contract {n}: reminded {day}", n=one.number, day=day)
        )
        yield DeadlineLine(
            kind="contract",
            duty="offer",
            what=what,
            due_on=sent.next_on,
            days_left=(sent.next_on - desk.today).days,
            to=(one.holder,),
            site_id=one.site_id,
            address=one.address,
            locality=one.locality,
            confirmed=False,
            own=True,
            ours=lateness_of(desk, sent.next_on).ours,
            place="year",
            ids=(key,),
            contract_id=key,
            paper_id=sent.paper_id,
        )
