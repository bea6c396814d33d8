"""How pressing a call is, and by when it is answered."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from servicedesk.desk.office import Desk
from servicedesk.desk.rules import rules_in
from servicedesk.duties.response import Promises, promised_by
from servicedesk.duties.workdays import WorkCalendar
from servicedesk.records import call_rows, contract_rows, site_rows
from servicedesk.trade import phone_dangers
from servicedesk.trade.service_rules import rule_for
from servicedesk.values.reason import Reason

PRIORITIES = ("danger", "urgent", "normal")

# Symptoms that cannot wait, from the urgency of each symptom in the fault knowledge ("at once",
# "same day"); common practice, no source. A strong smell of chlorine may be fumes: same day.
AT_ONCE = frozenset({"slow-drains", "lid-hazard"})
SAME_DAY = frozenset(
    {
        "high-water-alarm",
        "alarm-not-identified",
        "water-high-no-alarm",
        "pump-runs-on",
        "breaker-trips",
        "dead-panel",
        "chlorine-strong",
    }
)


def priority_of(symptoms: Iterable[str], answers: Mapping[str, object] | None = None) -> str:
    """danger, urgent or normal: the most pressing of symptoms and answers about danger decides.

    `answers` of a call hold what was said of each danger (`trade.phone_dangers`) by its id; a
    danger of which the caller could not tell is urgent at least.
    """
    seen = set(symptoms)
    said = {name: str(value) for name, value in (answers or {}).items()}
    if seen & AT_ONCE or phone_dangers.stands(said, seen):
        return "danger"
    return "urgent" if seen & SAME_DAY or phone_dangers.unsure(said) else "normal"


@dataclass(frozen=True, slots=True)
class CallPromise:
    """The instant by which the call is answered, in how many hours, and who set it."""

    by_at: datetime
    hours: int
    why: tuple[Reason, ...]


def promise_for(desk: Desk, site_id: int | None, called_at: datetime) -> CallPromise:
    """By when a call of `called_at` from this site (None: a caller in no book) is answered.

    The running contract's hours hold, the service rule's where they are stricter, the company's
    own where both are silent.
    """
    day = desk.clock.day_of(called_at)
    contract_h, rule_h = None, None
    with desk.store.read() as session:
        on_call = call_rows.somebody_on_call(session, day)
        if site_id is not None:
            contract = contract_rows.running(session, [site_id], day).get(site_id)
            contract_h = contract.response_hours if contract else None
            rule_ids = [s.rule_id for s in site_rows.systems(session, [site_id]) if s.rule_id]
            known = rules_in(session)
            rules = [rule_for(known, one, on=day) for one in rule_ids]
            hours = [rule.response_h for rule in rules if rule and rule.response_h]
            rule_h = min(hours, default=None)
    promise = promised_by(
        day,
        desk.clock.minute_of(called_at),
        Promises(
            contract_h=contract_h,
            rule_h=rule_h,
            company_h=desk.company.response_hours,
            on_call=on_call,
        ),
        calendar_of(desk),
    )
    by_at = desk.clock.instant(promise.by_on, promise.by_minute)
    return CallPromise(by_at, promise.hours, promise.why)


def calendar_of(desk: Desk) -> WorkCalendar:
    """The company's working week, holidays and hours."""
    return WorkCalendar.of(
        desk.company.working_days,
        desk.company.holidays,
        from_min=desk.company.day_from_min,
        until_min=desk.company.day_until_min,
    )
