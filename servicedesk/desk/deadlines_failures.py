"""Deadlines of failed systems that the authority wants to hear of."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

from servicedesk.desk.deadline_line import (
    About,
    DeadlineLine,
    Where,
    calendar_of,
    of_rule,
    rule_on,
)
from servicedesk.desk.office import Desk
from servicedesk.desk.report_parts import item_name
from servicedesk.desk.rules import rules_of
from servicedesk.duties.deadlines import instant_due
from servicedesk.records import failure_rows as rows
from servicedesk.trade.rule_shapes import DutyKind
from servicedesk.words import say

LOOK_BACK_DAYS = 60  # a failure nobody told of so long ago is no news: no source


def failure_lines(desk: Desk) -> Iterator[DeadlineLine]:
    """Inspections with items that failed, where a rule wants to hear of a failed system.

    Whether what was found is a failure in the words of the rule a licensed person says: the row
    is not confirmed and says so. A notice or the report about the visit settles it.
    """
    since = desk.clock.instant(desk.today - timedelta(days=LOOK_BACK_DAYS), 0)
    with desk.store.read() as session:
        found = rows.failed_inspections(session, since_at=since)
    calendar, rules = calendar_of(desk), rules_of(desk)
    for one in found:
        on = desk.clock.day_of(one.arrived_at)
        rule = rule_on(rules, one.rule_id, on)
        if rule is None:
            continue
        names = "; ".join(item_name(item) for item in one.item_ids)
        words = say("Tell of what failed: {items}", items=names)
        for due in instant_due(rule, DutyKind.FAILURE, one.arrived_at, on=on, calendar=calendar):
            line = of_rule(
                desk, due, rule, kind="notice", what=words,
                where=Where(one.site_id, one.address, one.locality),
                about=About(visit_id=one.visit_id, job_id=one.job_id, system_id=one.system_id),
            )  # fmt: skip
            asks = say("whether the rule calls this a failure is for a licensed person to say")
            yield replace(line, confirmed=False, why=(*line.why, asks))
