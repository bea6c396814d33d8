"""The company's own service rules in Set up: their rows, and the form of one."""

from typing import Any

from servicedesk.desk import rule_form
from servicedesk.desk.office import Desk
from servicedesk.desk.rules import OwnRule
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.window.widgets.setup_form import EntryForm
from servicedesk.words import say


def rule_lines(rule: OwnRule) -> tuple[str, str]:
    """The two lines of a row."""
    values = rule_form.rule_values(rule)
    confirmed = "" if values["seen"] else say("not confirmed")
    second = (rule.authority, confirmed, values["source"])
    return values["applies_to"], " · ".join(part for part in second if part)


class WriteRule:
    """Writes what the form brought; `shown` is the rule as it was shown, None for a new one."""

    def __init__(self, desk: Desk, shown: OwnRule | None) -> None:
        self._desk, self._shown = desk, shown

    def __call__(self, values: dict[str, Any], _seen: int | None) -> object:
        """On the worker."""
        return rule_form.write_rule(self._desk, values, before=self._shown)


def open_rule(form: EntryForm, desk: Desk, shown: OwnRule | None) -> None:
    """The form of a rule; empty but for the usual for a new one."""
    values = rule_form.new_rule() if shown is None else rule_form.rule_values(shown)
    form.open_form(
        say("Service rule of your own"),
        rule_fields(has_own_shape=values["how"] == rule_form.KEPT),
        values,
        WriteRule(desk, shown),
        button=say("Write it"),
        hint=say("A rule that was not read where it is written sets no legal deadline."),
    )


def rule_fields(*, has_own_shape: bool) -> tuple[FieldSpec, ...]:
    """What is asked of a rule. `has_own_shape`: its visits are written in a way of their own."""
    how = [
        (rule_form.EVERY, say("every so many months")),
        (rule_form.YEARLY, say("so many in a calendar year")),
        (rule_form.PERMIT, say("as the permit says")),
    ]
    if has_own_shape:
        how.append((rule_form.KEPT, say("as it is written in the file")))
    return (
        FieldSpec(name="authority", label=say("Authority"), heading=say("Whose rule it is")),
        FieldSpec(name="jurisdiction", label=say("Holds where"), hint=say("the authority's area")),
        FieldSpec(name="applies_to", label=say("Holds for"), hint=say("treatment with spray")),
        FieldSpec(name="source", label=say("Where it is written"), hint=say("order 14, section 3")),
        FieldSpec(name="seen", label=say("Read there"), kind="tick",
                  hint=say("I read it there: its days may be shown as legal deadlines")),
        FieldSpec(name="valid_from", label=say("In force since"), kind="day",
                  hint=say("always")),
        FieldSpec(name="how", label=say("Visits"), kind="choice", options=tuple(how),
                  heading=say("What it asks for")),
        FieldSpec(name="times", label=say("Months, or how many"), kind="number"),
        FieldSpec(name="apart_months", label=say("Months apart"), kind="number",
                  hint=say("not said")),
        FieldSpec(name="report_days", label=say("Report within (days)"), kind="number",
                  hint=say("not said")),
        FieldSpec(name="report_to", label=say("Report to"), kind="list",
                  hint=say("owner, permitting authority")),
        FieldSpec(name="copy_days", label=say("Contract copy, days before"), kind="number",
                  hint=say("not said")),
        FieldSpec(name="response_hours", label=say("Answer within (h)"), kind="number",
                  hint=say("not said")),
        FieldSpec(name="initial_years", label=say("First service (years)"), kind="number",
                  hint=say("not said")),
    )  # fmt: skip
