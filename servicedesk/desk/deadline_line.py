"""One row of the list of deadlines: what is due, to whom, by when, by which authority."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from servicedesk.desk.office import Desk
from servicedesk.desk.rules import Rules
from servicedesk.desk.usual import DEADLINE_KINDS
from servicedesk.duties.deadlines import Deadline
from servicedesk.duties.lateness import Lateness, lateness
from servicedesk.duties.workdays import WorkCalendar
from servicedesk.trade.service_rules import ServiceRule, rule_for
from servicedesk.words import say
from servicedesk.words.reasons import reason_text

KINDS = DEADLINE_KINDS
# With no rule that names a day a report goes out within two weeks: common practice, no source.
OWN_REPORT_DAYS = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class DeadlineLine:
    """One thing due.

    `kind` is one of KINDS, `duty` the finer kind; `to` says in words whom the rule names,
    `receivers` by the rule's own words. `due_on` is the last day; with `due_at` (aware
    UTC) it ends at that instant. `days_left` is negative after the last day. `ours` and
    `no_access` part the lateness. Without `confirmed` the day rests on a text nobody read, or on
    our own habit (`own`): it is no legal deadline. `place` and `ids` open the thing to do.
    """

    kind: str
    duty: str
    what: str
    due_on: date
    days_left: int
    to: tuple[str, ...] = ()
    receivers: tuple[str, ...] = ()
    due_at: datetime | None = None
    site_id: int | None = None
    address: str = ""
    locality: str = ""
    confirmed: bool = True
    own: bool = False
    source: str = ""
    why: tuple[str, ...] = ()
    ours: int = 0
    no_access: int = 0
    place: str = "sites"
    ids: tuple[int, ...] = ()
    visit_id: int | None = None
    job_id: int | None = None
    contract_id: int | None = None
    system_id: int | None = None
    call_id: int | None = None
    paper_id: int | None = None
    sample_id: int | None = None

    @property
    def is_late(self) -> bool:
        """Is its last day over?"""
        return self.days_left < 0 or self.ours + self.no_access > 0

    @property
    def is_legal(self) -> bool:
        """May its day be shown as one that a rule sets?"""
        return self.confirmed and not self.own


@dataclass(frozen=True, slots=True)
class Where:
    """The site a row is about."""

    site_id: int
    address: str
    locality: str


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """The records a row is about."""

    visit_id: int | None = None
    job_id: int | None = None
    contract_id: int | None = None
    system_id: int | None = None


NOTHING = About()


def calendar_of(desk: Desk) -> WorkCalendar:
    """The company's week, holidays and hours."""
    facts = desk.company
    return WorkCalendar.of(
        facts.working_days or range(5),
        facts.holidays,
        from_min=facts.day_from_min,
        until_min=facts.day_until_min,
    )


def rule_on(rules: Rules, rule_id: str | None, day: date) -> ServiceRule | None:
    """The wording of a rule on a day."""
    return None if rule_id is None else rule_for(rules, rule_id, on=day)


def to_kind(receiver: str) -> str:
    """What kind of receiver the words of a rule name: owner, maker, authority."""
    if receiver == "owner":
        return "owner"
    return "maker" if receiver.startswith("maker") else "authority"


def receiver_text(receiver: str) -> str:
    """A receiver as a rule names it, in the reader's words where it is a common one."""
    known = {
        "owner": say("owner"),
        "county": say("county"),
        "permitting authority": say("permitting authority"),
        "local health department": say("local health department"),
        "health officer": say("health officer"),
        "department": say("department"),
        "authority": say("authority"),
    }
    return known.get(receiver, receiver)


def source_text(rule: ServiceRule) -> str:
    """Where the rule was read, and whether the company wrote it itself."""
    return say("{source} (own rule)", source=rule.source) if rule.own else rule.source


def of_rule(
    desk: Desk,
    found: Deadline,
    rule: ServiceRule,
    *,
    kind: str,
    what: str,
    where: Where,
    to: Iterable[str] | None = None,
    about: About = NOTHING,
) -> DeadlineLine:
    """The row of a deadline that a rule sets; `to` leaves receivers out who have it already."""
    due_on = found.due_on
    if found.due_at is not None:
        due_on = desk.clock.day_of(found.due_at)
    if due_on is None:
        raise ValueError(f"{found.kind}: neither a day nor an instant")
    late = lateness_of(desk, due_on)
    named = tuple(found.to if to is None else to)
    return DeadlineLine(
        kind=kind,
        duty=found.kind,
        what=what,
        due_on=due_on,
        due_at=found.due_at,
        days_left=(due_on - desk.today).days,
        to=tuple(receiver_text(one) for one in named),
        receivers=named,
        site_id=where.site_id,
        address=where.address,
        locality=where.locality,
        confirmed=found.confirmed,
        source=source_text(rule),
        why=tuple(reason_text(one, desk.formats) for one in found.reasons),
        ours=late.ours,
        ids=(where.site_id,),
        visit_id=about.visit_id,
        job_id=about.job_id,
        contract_id=about.contract_id,
        system_id=about.system_id,
    )


def lateness_of(desk: Desk, due_on: date, *, refused_on: Iterable[date] = ()) -> Lateness:
    """How late it is today."""
    return lateness(due_on, until=desk.today, refused_on=refused_on)
