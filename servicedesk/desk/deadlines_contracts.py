"""Deadlines of contract papers: copies to the authority, contracts after a sale, notices."""

from collections.abc import Iterable, Iterator
from datetime import date, timedelta

from servicedesk.desk.deadline_line import About, DeadlineLine, Where, calendar_of, of_rule, rule_on
from servicedesk.desk.office import Desk
from servicedesk.desk.paper_kinds import CONTRACT_COPY, NOTICE
from servicedesk.desk.rules import rules_of
from servicedesk.duties.deadlines import Deadline, contract_copy_due, duty_due
from servicedesk.duties.workdays import WorkCalendar
from servicedesk.records import deadline_rows as rows
from servicedesk.records.deadline_rows import ContractDue
from servicedesk.trade.rule_shapes import DutyKind
from servicedesk.trade.service_rules import ServiceRule
from servicedesk.words import say

AHEAD_DAYS = 60  # a paper is no news before: common practice, no source
OVER_DAYS = 365  # notices about a contract that is over longer serve nobody: no source


def contract_lines(desk: Desk) -> Iterator[DeadlineLine]:
    """Copies due, notices due, and contracts due after a sale; each once for a contract and day."""
    since = desk.today - timedelta(days=OVER_DAYS)
    with desk.store.read() as session:
        contracts = rows.contracts_due(session, over_since=since)
        sold = rows.sales(session, since=since)
    seen: set[tuple[object, ...]] = set()
    for line in (*_of_contracts(desk, contracts), *_of_sales(desk, sold, contracts)):
        key = (line.contract_id or line.site_id, line.duty, line.due_on, line.to)
        if key not in seen:
            seen.add(key)
            yield line


def _of_contracts(desk: Desk, contracts: Iterable[ContractDue]) -> Iterator[DeadlineLine]:
    calendar = calendar_of(desk)
    latest = desk.today + timedelta(days=AHEAD_DAYS)
    rules = rules_of(desk)
    for one in contracts:
        rule = rule_on(rules, one.rule_id, desk.today)
        if rule is None:
            continue
        for kind, found, what in _due(desk, one, rule, calendar):
            if found.due_on is not None and found.due_on <= latest:
                yield of_rule(
                    desk, found, rule, kind=kind, what=what,
                    where=Where(one.site_id, one.address, one.locality),
                    about=About(contract_id=_paper_about(one, found), system_id=one.system_id),
                )  # fmt: skip


def _paper_about(one: ContractDue, found: Deadline) -> int | None:
    """The contract that the paper is about: a copy before the end is that of the next one."""
    if found.kind == DutyKind.CONTRACT_AFTER_STOP:
        return None
    if found.kind != DutyKind.CONTRACT_COPY:
        return one.contract_id
    return None if one.next is None else one.next.contract_id


def _due(
    desk: Desk, one: ContractDue, rule: ServiceRule, calendar: WorkCalendar
) -> Iterator[tuple[str, Deadline, str]]:
    """Kind, deadline and words of what a contract asks for."""
    last_on = one.until_on - timedelta(days=1)
    is_over = one.until_on <= desk.today
    if one.ended_on is not None:
        if one.next is None and NOTICE not in one.papers:
            words = say(
                "Notice that service ends {day}, contract {n}",
                day=desk.formats.day(one.ended_on, near=desk.today),
                n=one.number,
            )
            for found in duty_due(rule, DutyKind.STOP_NOTICE, one.ended_on, calendar):
                yield "notice", found, words
        yield from _after_stop(desk, one, rule, calendar)
        return
    if not is_over and _copy_missing(one.next):
        words = _copy_words(desk, one)
        for found in contract_copy_due(rule, last_on, calendar):
            yield "contract", found, words
    if one.from_on <= desk.today and not is_over and _copy_missing(one):
        for found in duty_due(rule, DutyKind.CONTRACT_ISSUED, one.from_on, calendar):
            yield "contract", found, say("Copy of contract {n}", n=one.number)
    if is_over and one.next is None and NOTICE not in one.papers:
        words = say(
            "Notice that contract {n} was not renewed after {day}",
            n=one.number,
            day=desk.formats.day(last_on, near=desk.today),
        )
        for found in duty_due(rule, DutyKind.NOT_RENEWED, last_on, calendar):
            yield "notice", found, words


def _after_stop(
    desk: Desk, one: ContractDue, rule: ServiceRule, calendar: WorkCalendar
) -> Iterator[tuple[str, Deadline, str]]:
    """A new contract after service stopped, where the rule asks for one; not once handed over."""
    if one.ended_on is None or one.next is not None or one.handed_to_id is not None:
        return
    words = say(
        "New contract after service ended {day}, contract {n}",
        day=desk.formats.day(one.ended_on, near=desk.today),
        n=one.number,
    )
    for found in duty_due(rule, DutyKind.CONTRACT_AFTER_STOP, one.ended_on, calendar):
        yield "contract", found, words


def _copy_missing(one: ContractDue | None) -> bool:
    """Has the authority no copy (where there is no contract yet it has none)?"""
    return one is None or (one.copy_sent_on is None and CONTRACT_COPY not in one.papers)


def _copy_words(desk: Desk, one: ContractDue) -> str:
    day = desk.formats.day(one.until_on - timedelta(days=1), near=desk.today)
    if one.next is None:
        return say(
            "Copy of the next contract: none yet, contract {n} ends {day}", n=one.number, day=day
        )
    return say(
        "Copy of contract {next}, which follows contract {n} ({day})",
        next=one.next.number,
        n=one.number,
        day=day,
    )


def _of_sales(
    desk: Desk, sold: Iterable[rows.Sale], contracts: Iterable[ContractDue]
) -> Iterator[DeadlineLine]:
    """A house sold needs a contract with the new owner, where the rule says so."""
    held = {(one.system_id, one.holder_id) for one in contracts if _stands(one, desk.today)}
    calendar, rules = calendar_of(desk), rules_of(desk)
    for sale in sold:
        rule = rule_on(rules, sale.rule_id, sale.on)
        if rule is None or (sale.system_id, sale.owner_id) in held:
            continue
        words = say(
            "Contract with the new owner {name}, there since {day}",
            name=sale.owner,
            day=desk.formats.day(sale.on, near=desk.today),
        )
        for found in duty_due(rule, DutyKind.CONTRACT_AFTER_SALE, sale.on, calendar):
            yield of_rule(
                desk, found, rule, kind="contract", what=words,
                where=Where(sale.site_id, sale.address, sale.locality),
                about=About(system_id=sale.system_id),
            )  # fmt: skip


def _stands(one: ContractDue, today: date) -> bool:
    return one.until_on > today and (one.ended_on is None or one.ended_on > today)
