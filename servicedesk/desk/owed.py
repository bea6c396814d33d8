"""What is owed: listed, added, settled, declined; estimates that the owner must agree to."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from servicedesk.desk import checking
from servicedesk.desk.checking import Wrong
from servicedesk.desk.office import Desk
from servicedesk.records import owed_rows
from servicedesk.records.owed import Owed
from servicedesk.records.owed_rows import OwedRow
from servicedesk.records.sites import Site
from servicedesk.records.store import Changed, Work
from servicedesk.values.money import Money
from servicedesk.values.trouble import Trouble
from servicedesk.words import say
from servicedesk.words.calls import debtor

DEBTORS = (
    "us",
    "owner",
    "tenant",
    "installer",
    "supplier",
    "hauler",
    "electrician",
    "authority",
)
WAITS_FOR = ("", "approval", "part", "weather", "other firm", "day")
EDITABLE = ("what", "workaround", "needs", "by_on", "debtor", "waits_for", "minutes")


@dataclass(frozen=True, slots=True, kw_only=True)
class OwedLine:
    """Something owed with its age. `days_left` is below zero after the last day, None without.

    `state_text` says what it waits for, or how it ended.
    """

    row: OwedRow
    days_old: int
    days_left: int | None
    debtor_text: str
    state_text: str


def owed_list(desk: Desk, *, settled: bool = False) -> tuple[OwedLine, ...]:
    """What is owed, the soonest last day first, then the oldest; or what has ended (`settled`)."""
    states = ("settled", "declined") if settled else ("open",)
    with desk.store.read() as session:
        found = owed_rows.owed(session, states=states)
    return tuple(_line(desk, row) for row in found)


def last_settled(desk: Desk) -> OwedLine | None:
    """What was settled last, for the empty page."""
    with desk.store.read() as session:
        row = owed_rows.last_settled(session)
    return _line(desk, row) if row else None


def _line(desk: Desk, row: OwedRow) -> OwedLine:
    return OwedLine(
        row=row,
        days_old=(desk.today - row.since_on).days,
        days_left=None if row.by_on is None else (row.by_on - desk.today).days,
        debtor_text=debtor(row.debtor),
        state_text=_state_text(desk, row),
    )


def _state_text(desk: Desk, row: OwedRow) -> str:
    if row.state == "settled":
        return say("settled {day}", day=desk.formats.day(row.settled_on, near=desk.today))
    if row.state == "declined":
        return say("declined by {who}", who=row.answered_by or debtor("owner"))
    if row.answer == "approved":
        return say("approved by {who}", who=row.answered_by or debtor("owner"))
    if row.estimate_minor is not None:
        money = desk.formats.money(Money(row.estimate_minor, desk.company.currency))
        if row.estimate_sent_on is None:
            return say("estimate of {money} not sent yet", money=money)
        sent = desk.formats.day(row.estimate_sent_on, near=desk.today)
        return say("estimate of {money} sent {day}, no answer yet", money=money, day=sent)
    waits = {
        "approval": say("waits for approval"),
        "part": say("waits for a part"),
        "weather": say("waits for the weather"),
        "other firm": say("waits for another firm"),
        "day": say("waits for a day"),
    }
    return waits.get(row.waits_for, row.waits_for)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewOwed:
    """Something owed at a site. `by_on` is the last day, `minutes` the time it takes there."""

    site_id: int
    what: str
    system_id: int | None = None
    unit_id: int | None = None
    visit_id: int | None = None
    workaround: str = ""
    needs: str = ""
    by_on: date | None = None
    debtor: str = "us"
    waits_for: str = ""
    minutes: int | None = None
    estimate_minor: int | None = None


def add_owed(desk: Desk, entry: NewOwed) -> Changed:
    """Write that something is owed from today on. Raises WrongEntry, Trouble without the site."""
    values = {name: getattr(entry, name) for name in EDITABLE}
    checking.refuse(_wrong(desk, values, entry.estimate_minor))
    with desk.store.read() as session:
        site = session.get(Site, entry.site_id)
        address = site.address if site else ""
    what = say("Owed at {address}: {what}", address=address, what=entry.what.strip())
    with desk.store.change(desk.who, what) as work:
        work.get(Site, entry.site_id)
        work.add(
            Owed(
                site_id=entry.site_id,
                system_id=entry.system_id,
                unit_id=entry.unit_id,
                visit_id=entry.visit_id,
                since_on=desk.today,
                estimate_minor=entry.estimate_minor,
                **_stripped(values),
            )
        )
    return work.changed


def edit_owed(desk: Desk, owed_id: int, values: Mapping[str, Any], *, seen: int) -> Changed:
    """Write the fields a form brought back (any of EDITABLE). Raises WrongEntry, StaleEdit."""
    checking.only_known(values, EDITABLE)
    checking.refuse(_wrong(desk, values, None))
    row = _row(desk, owed_id)
    what = say("Edited what is owed at {address}: {what}", address=row.address, what=row.what)
    with desk.store.change(desk.who, what) as work:
        owed = work.fresh(Owed, owed_id, seen=seen)
        for name, value in _stripped(values).items():
            setattr(owed, name, value)
    return work.changed


def _stripped(values: Mapping[str, Any]) -> dict[str, Any]:
    return {n: v.strip() if isinstance(v, str) else v for n, v in values.items()}


def _wrong(desk: Desk, values: Mapping[str, Any], estimate_minor: int | None) -> list[Wrong]:
    wrong = []
    if "what" in values and not values["what"].strip():
        wrong.append(Wrong("what", say("Write what is owed.")))
    if values.get("by_on") is not None and values["by_on"] < desk.today:
        wrong.append(Wrong("by_on", say("The last day has passed already.")))
    if values.get("minutes") is not None and values["minutes"] <= 0:
        wrong.append(Wrong("minutes", say("Minutes on site are more than none.")))
    if estimate_minor is not None and estimate_minor < 0:
        wrong.append(Wrong("estimate_minor", say("An estimate is not below zero.")))
    if values.get("debtor", "us") not in DEBTORS:
        raise ValueError(f"{values['debtor']!r} is none of {DEBTORS}")
    if values.get("waits_for", "") not in WAITS_FOR:
        raise ValueError(f"{values['waits_for']!r} is none of {WAITS_FOR}")
    return wrong


def settle(
    desk: Desk, owed_id: int, *, visit_id: int | None = None, seen: int | None = None
) -> Changed:
    """Write that it is done, at a visit or otherwise. Raises Trouble if it has ended already."""
    row = _row(desk, owed_id)
    what = say("Settled at {address}: {what}", address=row.address, what=row.what)
    with desk.store.change(desk.who, what) as work:
        owed = _open(work, owed_id, seen)
        owed.state = "settled"
        owed.settled_on = desk.today
        owed.settled_visit_id = visit_id
    return work.changed


def decline(
    desk: Desk, owed_id: int, *, by: str, how: str = "phone", seen: int | None = None
) -> Changed:
    """Write that the owner does not want it: an honest end that stays visible."""
    row = _row(desk, owed_id)
    checking.refuse(_nobody(by))
    what = say("Declined at {address}: {what}", address=row.address, what=row.what)
    with desk.store.change(desk.who, what) as work:
        owed = _open(work, owed_id, seen)
        owed.state = "declined"
        owed.answer = "declined"
        owed.answered_by = by.strip()
        owed.answered_how = how
        owed.settled_on = desk.today
    return work.changed


def approve(
    desk: Desk, owed_id: int, *, by: str, how: str = "phone", seen: int | None = None
) -> Changed:
    """Write that the owner agreed to the estimate: it then waits for a day.

    What was used already needs no day: with the owner's word it is settled. Raises Trouble where
    there is no estimate or it has ended already.
    """
    row = _row(desk, owed_id)
    checking.refuse(_nobody(by))
    what = say("Approved at {address}: {what}", address=row.address, what=row.what)
    with desk.store.change(desk.who, what) as work:
        owed = _open(work, owed_id, seen)
        if owed.estimate_minor is None:
            raise Trouble(
                say("There is no estimate to approve."),
                do=say("Write the amount and send it first."),
            )
        owed.answer = "approved"
        owed.answered_by = by.strip()
        owed.answered_how = how
        if owed.minutes == 0 and owed.debtor == "owner":
            owed.state, owed.waits_for, owed.settled_on = "settled", "", desk.today
        else:
            owed.waits_for = "day"
    return work.changed


def _nobody(by: str) -> list[Wrong]:
    return [] if by.strip() else [Wrong("by", say("Write who answered."))]


def _row(desk: Desk, owed_id: int) -> OwedRow:
    with desk.store.read() as session:
        row = owed_rows.owed_of(session, owed_id)
    if row is None:
        raise Trouble(
            say("That is not in the store any more."),
            do=say("Look under All changes; it can be done again there."),
            exit_code=3,
        )
    return row


def _open(work: Work, owed_id: int, seen: int | None) -> Owed:
    owed = work.fresh(Owed, owed_id, seen=seen)
    if owed.state != "open":
        raise Trouble(
            say("That has ended already."),
            do=say("Take that change back first, or add it anew."),
        )
    return owed
