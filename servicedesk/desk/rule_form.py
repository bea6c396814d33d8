"""An own service rule as a form asks for it: the usual parts; what else it says is kept."""

import re
import unicodedata
from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from servicedesk.desk.checking import Wrong, refuse
from servicedesk.desk.office import Desk
from servicedesk.desk.rules import OwnRule, own_rules, rules_of, write_own_rules
from servicedesk.records.store import Changed
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

EVERY, YEARLY, PERMIT, KEPT = "every_months", "times_a_year", "as_permit", "kept"
RECEIVERS = ("owner", "permitting authority")
_NEEDED = ("authority", "applies_to", "source")


def new_rule() -> dict[str, Any]:
    """What a form of a new rule begins with: three visits a year, as common practice has it."""
    return {"how": EVERY, "times": 4, "report_to": RECEIVERS, "seen": False}


def rule_values(rule: OwnRule) -> dict[str, Any]:
    """The latest wording of an own rule as the form shows it."""
    latest = _latest(rule.body)
    visits = latest.get("visits") or {}
    how = next((shape for shape in (EVERY, YEARLY, PERMIT) if shape in visits), KEPT)
    report = _duty(latest, "report", "days") or {}
    copy = _duty(latest, "contract_copy", "days") or {}
    begins = latest.get("valid_from")
    return {
        "authority": rule.authority,
        "jurisdiction": rule.body.get("jurisdiction", ""),
        "applies_to": rule.body.get("applies_to", ""),
        "source": latest.get("source", ""),
        "seen": bool(latest.get("seen", False)),
        "valid_from": date.fromisoformat(begins) if begins else None,
        "how": how,
        "times": visits.get(how) if how in (EVERY, YEARLY) else None,
        "apart_months": visits.get("apart_months"),
        "report_days": report.get("within", {}).get("days"),
        "report_to": tuple(report.get("to", RECEIVERS)),
        "copy_days": copy.get("within", {}).get("days"),
        "response_hours": latest.get("response_hours"),
        "initial_years": latest.get("initial_years"),
    }


def write_rule(desk: Desk, values: Mapping[str, Any], *, before: OwnRule | None = None) -> Changed:
    """Write a new rule, or the latest wording of the own rule `before`, as it was shown, anew.

    Raises WrongEntry for what cannot be meant; Trouble as `write_own_rules` does, and where
    somebody else wrote the rule meanwhile.
    """
    refuse(_wrong(values))
    if before is not None and all(one.body != before.body for one in own_rules(desk)):
        raise Trouble(
            say("Somebody else wrote this rule meanwhile."),
            means=say("Nothing was written."),
            do=say("Open it again and look at it as it stands now."),
        )
    body: dict[str, Any] = dict(before.body) if before is not None else {"kind": "service"}
    body["id"] = before.rule_id if before is not None else _new_id(values, rules_of(desk))
    body["applies_to"] = values["applies_to"].strip()
    body["jurisdiction"] = (values.get("jurisdiction") or "").strip() or values["authority"].strip()
    older = list(body.get("versions") or [])[:-1]
    body["versions"] = [*older, _version(_latest(body), values)]
    authority = before.authority if before is not None else values["authority"].strip()
    return write_own_rules(desk, {authority: [body]})


def _latest(body: Mapping[str, Any]) -> dict[str, Any]:
    versions = body.get("versions") or [{}]
    return dict(versions[-1])


def _duty(version: Mapping[str, Any], kind: str, form: str) -> Mapping[str, Any] | None:
    """The first duty of a kind that is counted in this form."""
    duties: Iterable[Mapping[str, Any]] = version.get("duties") or ()
    return next((d for d in duties if d["kind"] == kind and form in d["within"]), None)


def _version(latest: dict[str, Any], values: Mapping[str, Any]) -> dict[str, Any]:
    version = {**latest, "source": values["source"].strip(), "seen": bool(values["seen"])}
    for name in ("response_hours", "initial_years", "valid_from"):
        version[name] = values.get(name)
    if values["how"] == PERMIT:
        version["visits"] = {PERMIT: True}
    elif values["how"] != KEPT:
        version["visits"] = {values["how"]: values["times"]}
        if values["how"] == YEARLY and values.get("apart_months"):
            version["visits"]["apart_months"] = values["apart_months"]
    to = list(values.get("report_to") or RECEIVERS)
    report = {"kind": "report", "within": {"days": values.get("report_days")}, "to": to}
    within = {"days": values.get("copy_days"), "before": True}
    copy = {"kind": "contract_copy", "within": within, "to": [RECEIVERS[1]]}
    replaced = [_duty(latest, "report", "days"), _duty(latest, "contract_copy", "days")]
    kept = [one for one in latest.get("duties") or [] if one not in replaced]
    stated = [one for one in (report, copy) if one["within"]["days"] is not None]  # type: ignore[index]
    version["duties"] = [*stated, *kept]
    return {name: value for name, value in version.items() if value is not None}


def _wrong(values: Mapping[str, Any]) -> list[Wrong]:
    wrong = [
        Wrong(name, say("This is needed: a deadline says where it comes from."))
        for name in _NEEDED
        if not (values.get(name) or "").strip()
    ]
    most = {EVERY: 120, YEARLY: 52}.get(values["how"])
    times, apart = values.get("times"), values.get("apart_months")
    if most is not None and (times is None or not 1 <= times <= most):
        says = say("A whole number from {low} to {high} is meant.", low=1, high=most)
        wrong.append(Wrong("times", says))
    elif apart is not None and not (1 <= apart <= 11 and ((times or 1) - 1) * apart < 12):
        wrong.append(Wrong("apart_months", say("So many visits so far apart fit no year.")))
    ranges = {"report_days": 365, "copy_days": 365, "response_hours": 1000, "initial_years": 50}
    for name, high in ranges.items():
        number = values.get(name)
        if number is not None and not 1 <= number <= high:
            says = say("A whole number from {low} to {high} is meant.", low=1, high=high)
            wrong.append(Wrong(name, says))
    return wrong


def _new_id(values: Mapping[str, Any], taken: Iterable[str]) -> str:
    """A short name of its own, in plain letters."""
    text = f"{values['authority']} {values['applies_to']}"
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    stem = "-".join(re.findall(r"[a-z0-9]+", plain))[:40].strip("-") or "own-rule"
    names = [stem, *(f"{stem}-{n}" for n in range(2, 1000))]
    return next(name for name in names if name not in set(taken))
