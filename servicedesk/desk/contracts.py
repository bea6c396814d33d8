"""A contract through its life: written, signed, ended, taken over, handed to another company."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.checking import Wrong, refuse
from servicedesk.desk.deadline_line import rule_on
from servicedesk.desk.office import Desk
from servicedesk.desk.rules import Rules, rules_of
from servicedesk.duties.deadlines import first_service_ends
from servicedesk.duties.months import add_months
from servicedesk.records import contract_life_rows as rows
from servicedesk.records import renewal_chain_rows as chain
from servicedesk.records.contract_life_rows import StandingSystem
from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.people import Firm
from servicedesk.records.report_rows import license_spans
from servicedesk.records.store import Changed
from servicedesk.records.work import Work
from servicedesk.values.money import Money
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

FIRST_POLICY_YEARS = 2  # 30 TAC 285.7(c), read on texreg.sos.state.tx.us; elsewhere our habit
PROVIDER = "maintenance provider"  # kind of firm: as 30 TAC 285.7(b) calls one
COUNTING = ("fixed", "rolling")


@dataclass(frozen=True, slots=True, kw_only=True)
class NewContract:
    """A contract as it is written down. `until_on` is excluded.

    `until_on` None: a year; of a first policy, two from the first use of the system. No
    `system_ids`: every system that stands there. `holder_id` None: the owner on the first day.
    `taken_from` names the company that looked after the system before. Not `signed`: a draft.
    """

    site_id: int
    from_on: date
    until_on: date | None = None
    system_ids: tuple[int, ...] = ()
    holder_id: int | None = None
    price_minor: int | None = None
    visits_a_year: int = 3
    counting: str = "fixed"
    tolerance_days: int = 14
    longest_gap_months: int | None = None
    response_hours: int | None = None
    approval_limit_minor: int | None = None
    own_number: str = ""
    is_first_policy: bool = False
    taken_from: str = ""
    note: str = ""
    signed: bool = True


_TAKEN = (
    "from_on", "price_minor", "visits_a_year", "counting", "tolerance_days",
    "longest_gap_months", "response_hours", "approval_limit_minor", "is_first_policy",
)  # fmt: skip


def new_contract(desk: Desk, entry: NewContract) -> Changed:
    """Write a contract, as a draft or signed already.

    Raises WrongEntry for an end before the beginning, a price of zero, numbers nobody can keep;
    Trouble where no system stands there, nobody would hold it, and, if signed, where another
    contract covers some of its days or the company's license has expired.
    """
    with desk.store.read() as session:
        address = rows.address_at(session, entry.site_id) or ""
        systems = _systems(rows.systems_at(session, entry.site_id), entry)
        owner = next(iter(rows.owners_on(session, entry.site_id, entry.from_on)), None)
    holder = entry.holder_id or (owner.customer_id if owner is not None else None)
    until_on = entry.until_on or usual_end(entry, systems, rules_of(desk))
    refuse(wrong_terms(desk, entry, until_on))
    if not systems:
        raise _no_system(address)
    if holder is None:
        raise _no_owner(desk, address, entry.from_on)
    what = (
        say("Wrote a contract for {address}", address=address)
        if entry.signed
        else say("Drafted a contract for {address}", address=address)
    )
    with desk.store.change(desk.who, what) as work:
        firm_id = firm_named(work, entry.taken_from) if entry.taken_from.strip() else None
        made = work.add(
            Contract(
                number=work.next_number("contract"),
                own_number=entry.own_number.strip() or None,
                holder_id=holder,
                until_on=until_on,
                stage="draft",
                taken_from_id=firm_id,
                note=entry.note.strip(),
                **{name: getattr(entry, name) for name in _TAKEN},
            )
        )
        work.add_all([ContractSystem(contract_id=made.id, system_id=one.id) for one in systems])
        if entry.signed:
            _sign(desk, work, made)
    return work.changed


def _no_system(address: str) -> Trouble:
    return Trouble(
        say("No system in service stands at {address}.", address=address),
        means=say("A contract covers systems; nothing was written."),
        do=say("Write the system in the site's file first."),
    )


def _no_owner(desk: Desk, address: str, on: date) -> Trouble:
    return Trouble(
        say("Nobody owns {address} on {day}.", address=address, day=desk.formats.day(on)),
        means=say("A contract is held by somebody; nothing was written."),
        do=say("Write the owner in the site's file first."),
    )


def sign_contract(desk: Desk, contract_id: int, *, seen: int | None = None) -> Changed:
    """Write that a draft was signed: from its first day on it runs.

    Raises Trouble for one that runs or has ended, a price that is missing, days that another
    contract covers, and a license of the company that has expired; StaleEdit.
    """
    with desk.store.change(desk.who, say("Signed a contract")) as work:
        contract = work.fresh(Contract, contract_id, seen=seen)
        if contract.stage != "draft":
            raise Trouble(
                say("Contract {n} is signed already.", n=contract.number),
                means=say("Nothing was changed."),
            )
        _refuse_ended(contract)
        _sign(desk, work, contract)
    return work.changed


def end_contract(
    desk: Desk, contract_id: int, *, on: date, why: str, seen: int | None = None
) -> Changed:
    """End a contract before its time: `on` is the first day that it no longer covers.

    Raises WrongEntry without a reason or for a day outside it, Trouble for one that has ended,
    StaleEdit.
    """
    with desk.store.change(desk.who, say("Ended a contract: {why}", why=why.strip())) as work:
        _end(desk, work.fresh(Contract, contract_id, seen=seen), on, why)
    return work.changed


def hand_over(
    desk: Desk, contract_id: int, *, on: date, to_firm: str, why: str = "", seen: int | None = None
) -> Changed:
    """End a contract because another company looks after the system from `on`.

    Raises as `end_contract` does, and WrongEntry without the company's name.
    """
    name = to_firm.strip()
    refuse([] if name else [Wrong("to_firm", say("Write which company takes it over."))])
    reason = why.strip() or say("handed over to {firm}", firm=name)
    with desk.store.change(desk.who, say("Handed a contract over to {firm}", firm=name)) as work:
        contract = work.fresh(Contract, contract_id, seen=seen)
        _end(desk, contract, on, reason)
        contract.handed_to_id = firm_named(work, name)
    return work.changed


def usual_end(entry: NewContract, systems: tuple[StandingSystem, ...], rules: Rules) -> date:
    """The day after the last one, where nobody said it: a year, of a first policy two years.

    A first policy counts from the first use of the system, as its rule says it.
    """
    if not entry.is_first_policy:
        return add_months(entry.from_on, 12)
    ends = []
    for one in systems:
        start = one.started_on or entry.from_on
        rule = rule_on(rules, one.rule_id, entry.from_on)
        by_rule = first_service_ends(rule, start) if rule is not None else None
        due_on = by_rule.due_on if by_rule is not None else None
        ends.append(due_on or add_months(start, 12 * FIRST_POLICY_YEARS))
    return max(ends, default=add_months(entry.from_on, 12 * FIRST_POLICY_YEARS))


def systems_named(desk: Desk, site_id: int, names: Iterable[str]) -> tuple[int, ...]:
    """The systems of a site by label or permit. Raises WrongEntry for a name none of them has."""
    with desk.store.read() as session:
        standing = rows.systems_at(session, site_id)
    found = []
    for name in names:
        wanted = name.strip().casefold()
        keys = [s.id for s in standing if wanted in (s.label.casefold(), s.permit.casefold())]
        if len(keys) != 1:
            known = ", ".join(s.label or s.permit for s in standing)
            says = say("“{name}” is not one of the systems there: {known}.", name=name, known=known)
            refuse([Wrong("systems", says)])
        found += keys
    return tuple(found)


def firm_named(work: Work, name: str) -> int:
    """Inside a change: the firm of this name, written down if it is new."""
    known = rows.firm_ids_named(work.session, name)
    if known:
        return known[0]
    return work.add(Firm(name=name.strip(), kinds=[PROVIDER])).id


def _systems(standing: list[StandingSystem], entry: NewContract) -> tuple[StandingSystem, ...]:
    wanted = set(entry.system_ids)
    return tuple(
        one
        for one in standing
        if (not wanted or one.id in wanted)
        and (one.ended_on is None or one.ended_on > entry.from_on)
    )


def wrong_terms(desk: Desk, entry: NewContract, until_on: date) -> list[Wrong]:
    """What is wrong with the terms of a contract, field by field."""
    wrong = []
    if until_on <= entry.from_on:
        says = say(
            "A contract from {first} cannot end on {last}.",
            first=desk.formats.day(entry.from_on),
            last=desk.formats.day(until_on - timedelta(days=1)),
        )
        wrong.append(Wrong("until_on", says))
    if entry.price_minor is not None and entry.price_minor <= 0:
        price = desk.formats.money(Money(entry.price_minor, desk.company.currency))
        wrong.append(Wrong("price_minor", say("A contract at {price} a year is no contract.",
                                              price=price)))  # fmt: skip
    elif entry.signed and entry.price_minor is None and not entry.is_first_policy:
        wrong.append(Wrong("price_minor", say("Write the price a year, or leave it a draft.")))
    if not 0 <= entry.visits_a_year <= 52:
        wrong.append(Wrong("visits_a_year", say("Visits a year are 0 to 52.")))
    if not 0 <= entry.tolerance_days <= 366:
        wrong.append(Wrong("tolerance_days", say("Days of tolerance are 0 to 366.")))
    if entry.longest_gap_months is not None and not 1 <= entry.longest_gap_months <= 60:
        wrong.append(Wrong("longest_gap_months", say("The longest gap is 1 to 60 months.")))
    if entry.response_hours is not None and entry.response_hours < 1:
        wrong.append(Wrong("response_hours", say("The hours to answer a complaint are 1 or more.")))
    if entry.approval_limit_minor is not None and entry.approval_limit_minor < 0:
        wrong.append(Wrong("approval_limit_minor", say("A limit is not below zero.")))
    if entry.counting not in COUNTING:
        raise ValueError(f"{entry.counting!r} is none of {COUNTING}")
    return wrong


def _sign(desk: Desk, work: Work, contract: Contract) -> None:
    if contract.price_minor is None and not contract.is_first_policy:
        raise Trouble(
            say("Contract {n} has no price yet.", n=contract.number),
            means=say("It stays a draft."),
            do=say("Write its price a year first."),
        )
    refuse_expired_license(desk, work)
    refuse_overlap(desk, work, contract)
    contract.stage = "running"


def refuse_expired_license(desk: Desk, work: Work) -> None:
    """Raise Trouble where the company's licenses are written down and none is valid today."""
    own = [one for one in license_spans(work.session) if one.technician_id is None and one.number]
    if not own or any(one.valid_on(desk.today) for one in own):
        return
    last = max(own, key=lambda one: one.valid_until or date.max)
    ended = last.valid_until - timedelta(days=1) if last.valid_until else None
    raise Trouble(
        say("The company's license {number} is not valid on {day}.", number=last.number,
            day=desk.formats.day(desk.today)),
        means=say("It ended {day}; a contract needs a licensed provider.",
                  day=desk.formats.day(ended)) if ended else "",
        do=say("Write the new license in Set up; until then it can be a draft."),
    )  # fmt: skip


def refuse_overlap(desk: Desk, work: Work, contract: Contract) -> None:
    """Raise Trouble where another running contract covers one of its systems on one of its days."""
    day = desk.formats.day
    systems = [row.system_id for row in chain.systems_under(work.session, contract.id)]
    for other in chain.running_over(work.session, systems):
        if other.id == contract.id:
            continue
        if other.from_on < contract.until_on and contract.from_on < other.until_on:
            last = min(contract.until_on, other.until_on) - timedelta(days=1)
            raise Trouble(
                say(
                    "Contract {number} covers {first} to {last} already.",
                    number=other.number,
                    first=day(max(contract.from_on, other.from_on)),
                    last=day(last),
                ),
                means=say("A system has one contract at a time."),
                do=say("Begin on {day}, or end the other one.", day=day(other.until_on)),
            )


def _end(desk: Desk, contract: Contract, on: date, why: str) -> None:
    _refuse_ended(contract)
    wrong = []
    if not why.strip():
        wrong.append(Wrong("why", say("Write why the contract ends: it is asked for later.")))
    if not contract.from_on <= on <= contract.until_on:
        says = say(
            "Contract {n} runs from {first} to {last}: it can end only within that.",
            n=contract.number,
            first=desk.formats.day(contract.from_on),
            last=desk.formats.day(contract.until_on - timedelta(days=1)),
        )
        wrong.append(Wrong("on", says))
    refuse(wrong)
    contract.ended_on, contract.ended_why = on, why.strip()


def _refuse_ended(contract: Contract) -> None:
    if contract.ended_on is not None:
        raise Trouble(
            say("Contract {n} is written as ending already.", n=contract.number),
            means=say("Nothing was changed."),
            do=say("Take that back first, under All changes."),
        )
