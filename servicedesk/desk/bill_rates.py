"""What a trip in vain costs, and from which day on bills are watched: the company's own figures.

They stand in the company's price policy as `trip_charge_minor` and `bills_since_on`.
"""

from dataclasses import dataclass
from datetime import date
from typing import Any

from servicedesk.desk.checking import Wrong, refuse
from servicedesk.desk.office import Desk
from servicedesk.records import bill_rows, renewal_rows
from servicedesk.records.company import Company
from servicedesk.records.store import Changed
from servicedesk.values.trouble import Trouble
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class BillRates:
    """`trip_minor` None: trips in vain cost nothing. Nothing before `since_on` is billed here."""

    trip_minor: int | None
    since_on: date


def rates_of(desk: Desk, session: Any) -> BillRates:
    """The company's figures; bills are watched from the first day of the store on.

    What a list of past visits brought in was billed elsewhere, before.
    """
    policy = renewal_rows.price_policy(session)
    trip = policy.get("trip_charge_minor")
    if trip is not None and (not isinstance(trip, int) or isinstance(trip, bool) or trip < 0):
        raise Trouble(
            say("The company's charge for a trip is no amount."),
            do=say("Write it again, in To bill, under rates."),
        )
    written = policy.get("bills_since_on")
    first = bill_rows.first_change_at(session)
    since = date.fromisoformat(written) if written else None
    start = desk.clock.day_of(first) if first is not None else desk.today
    return BillRates(trip or None, since or start)


def set_bill_rates(
    desk: Desk, *, trip_minor: int | None = None, since_on: date | None = None
) -> Changed:
    """Write the charge for a trip in vain (0: none), and the day from which bills are watched.

    None leaves a figure as it is. Raises WrongEntry below zero or for a day to come.
    """
    wrong = []
    if trip_minor is not None and trip_minor < 0:
        wrong.append(Wrong("trip_minor", say("A charge is not below zero.")))
    if since_on is not None and since_on > desk.today:
        wrong.append(Wrong("since_on", say("That day is still to come.")))
    refuse(wrong)
    wanted: dict[str, Any] = {}
    if trip_minor is not None:
        wanted["trip_charge_minor"] = trip_minor
    if since_on is not None:
        wanted["bills_since_on"] = since_on.isoformat()
    with desk.store.change(desk.who, say("Wrote the rates for bills")) as work:
        company = work.session.query(Company).order_by(Company.id).first()
        if company is None:
            raise Trouble(
                say("Nothing is known of the company yet."),
                do=say("Write its details in Set up first."),
            )
        company.price_policy = {**(company.price_policy or {}), **wanted}
    return work.changed
