"""`servicedesk rules`: the rules in force here listed, own ones written, systems put under one."""

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from servicedesk.desk import rules
from servicedesk.desk.contracts import systems_named
from servicedesk.desk.office import Desk
from servicedesk.desk.report_mail import write_file
from servicedesk.desk.second_opinion import site_named
from servicedesk.desk.verb_options import Tell, desk_of
from servicedesk.trade.service_rules import ServiceRule, rule_for
from servicedesk.words import say, say_n

DONE = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class RulesAnswer:
    """The whole answer of the list: the wording of each rule that holds today."""

    format: int
    today: date
    rules: tuple[ServiceRule, ...]


def rules_from_shell(
    chosen: argparse.Namespace, *, tell: Tell, print_json: Callable[[Any], None]
) -> int:
    """Do the verb. Exit code 0. Raises Trouble for what cannot be meant or written."""
    if chosen.rules_verb == "check":
        n = rules.check_rules(chosen.file)
        tell(say_n("{n} rule is well.", "{n} rules are well.", n))
        return DONE
    desk = desk_of(chosen)
    if chosen.rules_verb == "list":
        _list(desk, chosen, tell, print_json)
    elif chosen.rules_verb == "write":
        write_file(chosen.file, rules.rules_text(desk, like=chosen.like).encode())
        tell(say("Written: {file}", file=chosen.file))
    elif chosen.rules_verb == "read":
        rules.read_rules(desk, chosen.file)
        tell(*_lines(desk, own=True))
    elif chosen.rules_verb == "end":
        rules.end_own_rule(desk, chosen.rule)
        tell(say("The own rule {id} is taken away.", id=chosen.rule))
    else:
        _put(desk, chosen, tell)
    return DONE


def _list(
    desk: Desk, chosen: argparse.Namespace, tell: Tell, print_json: Callable[[Any], None]
) -> None:
    if chosen.json:
        print_json(RulesAnswer(format=1, today=desk.today, rules=_today(desk, own=chosen.own)))
        return
    found = _lines(desk, own=chosen.own)
    tell(*(found or [say("The company has no own service rules yet.")]))


def _today(desk: Desk, *, own: bool) -> tuple[ServiceRule, ...]:
    known = rules.rules_of(desk)
    found = (rule_for(known, rule_id, on=desk.today) for rule_id in known)
    return tuple(one for one in found if one is not None and (one.own or not own))


def _lines(desk: Desk, *, own: bool) -> list[str]:
    return [_line(one) for one in _today(desk, own=own)]


def _line(rule: ServiceRule) -> str:
    parts = (
        f"{rule.id}  {rule.authority}: {rule.applies_to}",
        rule.visit_text or "",
        say("own rule") if rule.own else "",
        "" if rule.confirmed else say("not confirmed: check with your permitting authority"),
        rule.source,
    )
    return " \u00b7 ".join(part for part in parts if part)


def _put(desk: Desk, chosen: argparse.Namespace, tell: Tell) -> None:
    site_id = site_named(desk, chosen.site)
    named = (chosen.system,) if chosen.system else ()
    rules.put_under(desk, site_id, chosen.rule, systems_named(desk, site_id, named))
    tell(say("{site} is under {rule}.", site=chosen.site, rule=chosen.rule))
