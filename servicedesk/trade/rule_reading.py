"""How a service rule is read from its file: one mapping in, checked values out."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from itertools import pairwise
from typing import Any

from servicedesk.trade.knowledge import Entry
from servicedesk.trade.rule_shapes import (
    AsPermit,
    Duty,
    DutyKind,
    EveryMonths,
    FirstYears,
    Form,
    Limit,
    MonthDay,
    PerYear,
    PlainVisits,
    RepairLadder,
    Visits,
    Within,
)

_HEAD = ("id", "authority", "invented", "jurisdiction", "applies_to", "kind", "versions")
_TEXTS = ("visit_text", "contract_text", "complaint_text", "owner_may_maintain", "notes")
_VERSION = (
    *_TEXTS,
    *("valid_from", "source", "seen", "visits", "duties", "sampling", "repair_ladder"),
    *("response_hours", "initial_years", "keep_records_years", "recorded_at_visit"),
    "from_memory_text",
)


def versions_from(entry: Entry, *, shared: dict[str, Any] | None = None) -> list[dict[str, Any]]:
    """The fields of every version of the rule in `entry`, oldest first, for `ServiceRule`."""
    entry.known_only(*_HEAD)
    head = {
        "id": entry.text("id"),
        "authority": entry.text("authority", (shared or {}).get("authority")),
        "invented": entry.flag("invented", default=bool((shared or {}).get("invented", False))),
        "jurisdiction": entry.text("jurisdiction"),
        "applies_to": entry.text("applies_to"),
        "kind": entry.text("kind"),
    }
    versions: list[dict[str, Any]] = [head | _version(one) for one in entry.entries("versions")]
    if not versions:
        raise entry.fault("versions", "none_given")
    starts: list[date | None] = [v["valid_from_on"] for v in versions]
    for earlier, later in pairwise(starts):
        if later is None or (earlier is not None and later <= earlier):
            raise entry.fault("versions", "not_in_date_order", earlier=earlier, later=later)
    return versions


def _version(entry: Entry) -> dict[str, Any]:
    entry.known_only(*_VERSION)
    fields: dict[str, Any] = {name: entry.maybe_text(name) for name in _TEXTS}
    ladder = entry.entry("repair_ladder") if entry.has("repair_ladder") else None
    return fields | {
        "valid_from_on": entry.maybe_day("valid_from"),
        "source": entry.text("source"),
        "seen": entry.flag("seen", default=False),
        "visits": visits_from(entry.entry("visits")) if entry.has("visits") else None,
        "visits_confirmed": _is_confirmed(entry),
        "duties": tuple(_duty(one) for one in entry.entries("duties")),
        "sampling": tuple(_sampling(entry)),
        "repair_ladder": None if ladder is None else _ladder(ladder),
        "response_h": entry.maybe_whole("response_hours", least=1),
        "initial_years": entry.maybe_whole("initial_years", least=1, most=50),
        "keep_records_years": entry.maybe_whole("keep_records_years", least=1, most=100),
        "recorded_at_visit": entry.texts("recorded_at_visit"),
        "from_memory_text": entry.maybe_text("from_memory_text"),
    }


def _is_confirmed(entry: Entry) -> bool:
    return not entry.has("visits") or entry.entry("visits").flag("confirmed", default=True)


def visits_from(entry: Entry) -> Visits:
    """One of the five shapes; exactly one of its leading keys must stand there."""
    if not entry.has("first_years"):
        return _plain_visits(entry)
    entry.known_only("first_years", "first", "after", "last_day_included", "confirmed")
    return FirstYears(
        years=entry.whole("first_years", least=1, most=50),
        first=_plain_visits(entry.entry("first")),
        after=_plain_visits(entry.entry("after")) if entry.has("after") else None,
        last_day_included=entry.flag("last_day_included", default=False),
    )


def _plain_visits(entry: Entry) -> PlainVisits:
    shapes = [k for k in ("every_months", "times_a_year", "as_permit") if entry.has(k)]
    if len(shapes) != 1:
        raise entry.fault("visits", "not_one_shape", found=tuple(shapes))
    if shapes == ["every_months"]:
        entry.known_only("every_months", "confirmed")
        return EveryMonths(entry.whole("every_months", least=1, most=120))
    if shapes == ["as_permit"]:
        entry.known_only("as_permit", "confirmed")
        return AsPermit()
    entry.known_only("times_a_year", "apart_months", "report_by", "counted_as_said", "confirmed")
    times = entry.whole("times_a_year", least=1, most=52)
    apart = entry.maybe_whole("apart_months", least=1, most=11)
    if apart is not None and (times - 1) * apart >= 12:
        raise entry.fault("apart_months", "does_not_fit_a_year", times=times, apart=apart)
    report_by = _month_day(entry, "report_by") if entry.has("report_by") else None
    if report_by is not None and times != 1:
        raise entry.fault("report_by", "only_with_one_visit", times=times)
    said = entry.flag("counted_as_said", default=True)
    return PerYear(times, apart, report_by, counted_as_said=said)


def _month_day(entry: Entry, key: str) -> MonthDay:
    text = entry.text(key)
    try:
        month, day = (int(part) for part in text.split("-"))
        return MonthDay(month, day)
    except ValueError:
        raise entry.fault(key, "not_a_month_and_day", value=text) from None


def _duty(entry: Entry) -> Duty:
    entry.known_only("kind", "within", "to", "confirmed", "text")
    return Duty(
        kind=DutyKind(entry.one_of("kind", [kind.value for kind in DutyKind])),
        within=_within(entry.entry("within")),
        to=entry.texts("to"),
        confirmed=entry.flag("confirmed", default=True),
        text=entry.maybe_text("text"),
    )


def _within(entry: Entry) -> Within:
    forms = [form for form in Form if entry.has(form.value)]
    entry.known_only("before", *(form.value for form in Form))
    if len(forms) != 1:
        raise entry.fault("within", "not_one_form", found=tuple(form.value for form in forms))
    form = forms[0]
    before = entry.flag("before", default=False)
    if form is Form.FIXED_DATE:
        return Within(form, on=_month_day(entry, form.value), before=before)
    if form is Form.DAY_OF_NEXT_MONTH:
        return Within(form, entry.whole(form.value, least=1, most=31), before=before)
    return Within(form, entry.whole(form.value, most=3660), before=before)


def _sampling(entry: Entry) -> Iterator[Limit]:
    limits = [_limit(one) for one in entry.entries("sampling")]
    named = {limit.what for limit in limits}
    for number, limit in enumerate(limits):
        if limit.or_else is not None and limit.or_else not in named:
            raise entry.fault(f"sampling.{number}.or_else", "no_such_test", value=limit.or_else)
        yield limit


def _limit(entry: Entry) -> Limit:
    entry.known_only("what", "every", "low", "high", "unit", "or_else", "only", "text")
    limit = Limit(
        what=entry.text("what"),
        every=entry.text("every"),
        low=_decimal(entry, "low"),
        high=_decimal(entry, "high"),
        unit=entry.maybe_text("unit"),
        or_else=entry.maybe_text("or_else"),
        only=entry.maybe_text("only"),
        text=entry.maybe_text("text"),
    )
    if limit.low is not None and limit.high is not None and limit.low > limit.high:
        raise entry.fault("low", "above_high", low=limit.low, high=limit.high)
    return limit


def _decimal(entry: Entry, key: str) -> Decimal | None:
    # through the text, so that 0.1 stays 0.1
    return Decimal(str(entry.number(key))) if entry.has(key) else None


def _ladder(entry: Entry) -> RepairLadder:
    entry.known_only("days", "within_months")
    days = entry.values.get("days")
    if not isinstance(days, list) or not days or not all(isinstance(n, int) for n in days):
        raise entry.fault("days", "not_whole_numbers", value=days)
    return RepairLadder(tuple(days), entry.whole("within_months", least=1, most=120))
