"""Samples that a rule wants again and again, counted from the last one of the same test."""

from collections.abc import Iterator
from datetime import date, timedelta

from servicedesk.desk.deadline_line import (
    DeadlineLine,
    lateness_of,
    receiver_text,
    rule_on,
    source_text,
)
from servicedesk.desk.office import Desk
from servicedesk.desk.rules import Rules, rules_of
from servicedesk.desk.samples import lab_test_name
from servicedesk.duties.months import add_months
from servicedesk.records import deadline_rows, sample_rows
from servicedesk.records import planning_rows as rows
from servicedesk.trade.readings import catalogue
from servicedesk.trade.rule_limits import limit_for
from servicedesk.words import say

AHEAD_DAYS = 60  # a sample is no news before: common practice, no source
# how the texts of the rules say it; what goes with a visit has no day of its own
MONTHS = {"once a year": 12, "6 months": 6, "quarter": 3}
SAMPLE_AGAIN = "sample_again"


def sample_again_lines(desk: Desk) -> Iterator[DeadlineLine]:
    """The next sample of each laboratory test that a rule wants by the year or oftener.

    Of systems under a contract; without a sample it counts from the contract's first day.
    """
    rules = rules_of(desk)
    with desk.store.read() as session:
        covered = rows.covered_systems(session, day=desk.today)
        wanted = [one for one in covered if _tests(desk, one, rules)]
        taken = sample_rows.samples(session, system_ids={one.system_id for one in wanted})
        names = deadline_rows.site_names(session, (one.site_id for one in wanted))
    last: dict[tuple[int, str], date] = {}
    for row in taken:
        key = (row.system_id, row.item_id)
        last[key] = max(row.taken_on, last.get(key, row.taken_on))
    for one in wanted:
        rule = rule_on(rules, one.rule_id, desk.today)
        for item_id, months in _tests(desk, one, rules):
            before = last.get((one.system_id, item_id))
            due_on = add_months(before or one.from_on, months)
            if rule is None or due_on > desk.today + timedelta(days=AHEAD_DAYS):
                continue
            why = (
                say("the last one was taken {day}", day=desk.formats.day(before, near=desk.today))
                if before is not None
                else say("none is written down since the contract began")
            )
            yield DeadlineLine(
                kind="sample",
                duty=SAMPLE_AGAIN,
                what=say("Take a sample: {test}", test=lab_test_name(item_id)),
                due_on=due_on,
                days_left=(due_on - desk.today).days,
                to=(receiver_text("authority"),),
                receivers=("authority",),
                site_id=one.site_id,
                address=names[one.site_id].address,
                locality=names[one.site_id].locality,
                confirmed=rule.seen and not rule.older_text_unknown,
                source=source_text(rule),
                why=(why, say("check with your permitting authority")),
                ours=lateness_of(desk, due_on).ours,
                ids=(one.site_id,),
                contract_id=one.contract_id,
                system_id=one.system_id,
            )


def _tests(desk: Desk, one: rows.CoveredSystem, rules: Rules) -> list[tuple[str, int]]:
    """Laboratory tests that the rule of a system wants, each with its months."""
    rule = rule_on(rules, one.rule_id, desk.today)
    if rule is None:
        return []
    found = []
    for number in catalogue().samples:
        limit = limit_for(rule, number.id, single_family=one.single_family)
        if limit is not None and limit.every in MONTHS:
            found.append((number.id, MONTHS[limit.every]))
    return found
