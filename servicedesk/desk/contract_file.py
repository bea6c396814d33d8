"""The contracts of a site as the screen and the shell tell them: state, what was done, gaps."""

from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.contract_periods import Period, SystemYears, years_of
from servicedesk.desk.office import Desk
from servicedesk.records import contract_life_rows as rows
from servicedesk.records.contract_life_rows import ContractLifeRow
from servicedesk.values.money import Money
from servicedesk.values.span import Span
from servicedesk.words import say, say_n
from servicedesk.words.jobs import could_not_text
from servicedesk.words.reasons import reason_text

ENDING_DAYS = 60  # from here on a contract is said to be ending: common practice, no source

DRAFT, TO_BEGIN, RUNNING, ENDING = "draft", "to begin", "running", "ending"
RENEWED, ENDED, HANDED_OVER = "renewed", "ended", "handed over"


@dataclass(frozen=True, slots=True, kw_only=True)
class ContractLife:
    """A contract with its state and the words for it; `periods` has one for each system here.

    `facts` say what it promises, `counts` what was owed and done, `apart` what counts for
    nothing: attempts, inspections too early or too many; `apart_of` the same for each period.
    """

    row: ContractLifeRow
    state: str
    state_text: str
    span_text: str
    facts: tuple[str, ...]
    counts: tuple[str, ...]
    apart: tuple[str, ...]
    periods: tuple[Period, ...]
    apart_of: tuple[tuple[str, ...], ...] = ()

    @property
    def is_signed(self) -> bool:
        """Does it cover days?"""
        return self.row.stage != DRAFT and self.row.effective_until_on > self.row.from_on


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemLine:
    """One system's contracts for the picture; `label` "" where a site has one system."""

    label: str
    years: SystemYears


@dataclass(frozen=True, slots=True, kw_only=True)
class ContractFile:
    """Everything about the contracts of a site, the latest first; gaps in words.

    `standing` names the systems in service where there are several.
    """

    site_id: int
    address: str
    today: date
    lives: tuple[ContractLife, ...]
    systems: tuple[SystemLine, ...]
    gaps: tuple[str, ...]
    outside: tuple[str, ...]
    standing: tuple[str, ...] = ()

    def label_of(self, system_id: int) -> str:
        """What a system is called here, "" where a site has one."""
        return next((s.label for s in self.systems if s.years.system_id == system_id), "")

    def life(self, contract_id: int) -> ContractLife | None:
        """The contract with this key."""
        return next((one for one in self.lives if one.row.id == contract_id), None)


def contract_file(desk: Desk, site_id: int) -> ContractFile:
    """The contracts of a site. Raises nothing for a site without any."""
    years = years_of(desk, site_id)
    with desk.store.read() as session:
        contracts = rows.contracts_at(session, site_id)
        systems = rows.systems_at(session, site_id)
        address = rows.address_at(session, site_id) or ""
    several = len(systems) > 1
    labels = {one.id: _label(one, several=several) for one in systems}
    followed = {
        one.follows_id
        for one in contracts
        if one.stage == "running" and one.effective_until_on > one.from_on
    }
    lives = [
        _life(desk, one, years, labels, is_followed=one.id in followed)
        for one in sorted(contracts, key=lambda c: (c.from_on, c.id), reverse=True)
    ]
    return ContractFile(
        site_id=site_id,
        address=address,
        today=desk.today,
        lives=tuple(lives),
        systems=tuple(SystemLine(label=labels[one.system_id], years=one) for one in years),
        gaps=tuple(
            _gap(desk, labels[one.system_id], gap) for one in years for gap in one.gaps
        ),
        outside=tuple(
            _outside(desk, labels[one.system_id], extra.on)
            for one in years
            for extra in one.outside
        ),
        standing=tuple(
            labels[one.id]
            for one in systems
            if several and (one.ended_on is None or one.ended_on > desk.today)
        ),
    )  # fmt: skip


def _label(one: rows.StandingSystem, *, several: bool) -> str:
    if not several:
        return ""
    return one.label or one.permit or say("system {n}", n=one.id)


def _with(label: str, text: str) -> str:
    return say("{system}: {text}", system=label, text=text) if label else text


def _life(
    desk: Desk,
    one: ContractLifeRow,
    years: tuple[SystemYears, ...],
    labels: dict[int, str],
    *,
    is_followed: bool,
) -> ContractLife:
    periods = tuple(p for y in years for p in y.periods if p.contract_id == one.id)
    state = state_of(one, desk.today, is_followed=is_followed)
    last = one.effective_until_on - timedelta(days=1)
    span = say("{first} to {last}", first=desk.formats.day(one.from_on),
               last=desk.formats.day(max(last, one.from_on)))  # fmt: skip
    return ContractLife(
        row=one,
        state=state,
        state_text=_state_text(desk, one, state),
        span_text=span,
        facts=tuple(_facts(desk, one, labels)),
        counts=tuple(_with(labels[p.system_id], count_text(p)) for p in periods),
        apart_of=tuple(tuple(_apart(desk, p)) for p in periods),
        apart=tuple(_with(labels[p.system_id], text) for p in periods for text in _apart(desk, p)),
        periods=periods,
    )


def state_of(one: ContractLifeRow, today: date, *, is_followed: bool) -> str:
    """Which of the states of this file a contract is in."""
    if one.stage == "draft":
        return ENDED if one.ended_on is not None else DRAFT
    over = one.effective_until_on <= max(today, one.from_on)
    if one.handed_to and over:
        return HANDED_OVER
    if is_followed and one.ended_on is None:
        return RENEWED
    if over:
        return ENDED
    if today < one.from_on:
        return TO_BEGIN
    soon = (one.effective_until_on - today).days <= ENDING_DAYS
    return ENDING if soon or one.ended_on is not None else RUNNING


def _state_text(desk: Desk, one: ContractLifeRow, state: str) -> str:
    day = desk.formats.day
    last = day(one.effective_until_on - timedelta(days=1))
    why = f" ({one.ended_why})" if one.ended_why else ""
    match state:
        case "draft":
            return say("draft, not signed")
        case "to begin":
            return say("signed, begins {day}", day=day(one.from_on))
        case "ending" if one.handed_to:
            return say("ends {day}, then with {firm}", day=last, firm=one.handed_to)
        case "ending":
            return say("ends {day}", day=last) + why
        case "renewed":
            return say("renewed")
        case "handed over":
            return say("handed over to {firm} after {day}", firm=one.handed_to, day=last)
        case "ended" if one.stage == "draft":
            return say("draft that came to nothing") + why
        case "ended" if one.effective_until_on <= one.from_on:
            return say("ended before it began") + why
        case "ended":
            return say("ended {day}", day=last) + why
    return say("running")


def _facts(desk: Desk, one: ContractLifeRow, labels: dict[int, str]) -> list[str]:
    currency = desk.company.currency
    facts = [say("held by {name}", name=one.holder)]
    if any(labels.values()):
        names = ", ".join(labels[key] for key in one.system_ids)
        facts.append(say("covers {systems}", systems=names))
    if one.elsewhere:
        facts.append(say("covers other places as well"))
    facts.append(
        say_n("{n} inspection a year", "{n} inspections a year", one.visits_a_year)
        if one.visits_a_year
        else say("no inspections promised")
    )
    if one.price_minor is not None:
        money = desk.formats.money(Money(one.price_minor, currency))
        facts.append(say("{price} a year", price=money))
    elif not one.is_first_policy:
        facts.append(say("no price yet"))
    if one.is_first_policy:
        facts.append(say("initial service policy of a new system"))
    if one.taken_from:
        facts.append(say("taken over from {firm}", firm=one.taken_from))
    if one.response_hours is not None:
        facts.append(say("complaints answered within {n} h", n=one.response_hours))
    if one.stage != "draft" and one.copy_sent_on is not None:
        facts.append(say("copy at the authority {day}", day=desk.formats.day(one.copy_sent_on)))
    return facts


def count_text(one: Period) -> str:
    """As "3 owed, 2 done (1 of them late), 1 missed"."""
    if not one.n_owed:
        return say("no inspections owed")
    late = say(" ({n} of them late)", n=one.n_done_late) if one.n_done_late else ""
    parts = [
        say("{n} owed", n=one.n_owed),
        say("{n} done", n=one.n_done) + late,
        say("{n} late, still to do", n=one.n_late) if one.n_late else "",
        say("{n} missed", n=one.n_missed) if one.n_missed else "",
    ]
    return ", ".join(part for part in parts if part)


def _apart(desk: Desk, one: Period) -> list[str]:
    day = desk.formats.day
    texts = [
        say("tried {day}, could not: {why}", day=day(tried.on),
            why=could_not_text(tried.could_not) if tried.could_not else say("no reason given"))
        for tried in one.tried
    ]  # fmt: skip
    return texts + [reason_text(extra.why, desk.formats) for extra in one.extra]


def _gap(desk: Desk, label: str, gap: Span) -> str:
    day = desk.formats.day
    days = (gap.until_on - gap.from_on).days if gap.until_on is not None else 0
    last = day(gap.last_on) if gap.last_on is not None else ""
    text = say("No contract from {first} to {last} ({days})", first=day(gap.from_on), last=last,
               days=desk.formats.days(days))  # fmt: skip
    return _with(label, text)


def _outside(desk: Desk, label: str, on: date) -> str:
    day = desk.formats.day(on)
    return _with(label, say("The inspection of {day} fell on a day without contract", day=day))
