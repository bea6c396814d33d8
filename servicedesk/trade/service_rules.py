"""Service rules as data: how often a system is visited, what is owed to whom by when.

A rule has versions by date; `rule_for` gives the wording that held on a day. Nothing here is
legal advice: every rule says where it was read, and `check_reason` sends people to the
permitting authority.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from typing import Any

from servicedesk.trade.knowledge import Entry, shipped_files, shipped_yaml
from servicedesk.trade.rule_reading import versions_from
from servicedesk.trade.rule_shapes import Duty, DutyKind, Limit, RepairLadder, Visits
from servicedesk.values.reason import Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceRule:
    """One rule as it read from `valid_from_on` (None: since before anybody looked).

    `visits` is None where the rule is about papers only or its table could not be read.
    `visits_confirmed` and each duty's `confirmed` are false where the figure is from memory;
    `seen` is false where nothing of the rule was read. `response_h`: hours within which a
    complaint is answered. `invented` marks rules of places that do not exist.
    """

    id: str
    authority: str
    jurisdiction: str
    applies_to: str
    kind: str
    source: str
    seen: bool
    valid_from_on: date | None = None
    invented: bool = False
    own: bool = False
    visits: Visits | None = None
    visits_confirmed: bool = True
    visit_text: str | None = None
    duties: tuple[Duty, ...] = ()
    sampling: tuple[Limit, ...] = ()
    repair_ladder: RepairLadder | None = None
    response_h: int | None = None
    initial_years: int | None = None
    keep_records_years: int | None = None
    recorded_at_visit: tuple[str, ...] = ()
    contract_text: str | None = None
    complaint_text: str | None = None
    owner_may_maintain: str | None = None
    notes: str | None = None
    from_memory_text: str | None = None
    older_text_unknown: bool = False

    @property
    def confirmed(self) -> bool:
        """May its visit duty be shown as a fact?"""
        return self.seen and self.visits_confirmed and not self.older_text_unknown

    @property
    def check_reason(self) -> Reason:
        """Who is asked before anybody relies on the rule."""
        return Reason.of("check_with_authority", jurisdiction=self.jurisdiction, source=self.source)

    def duties_of(self, kind: DutyKind) -> tuple[Duty, ...]:
        """Its deadlines of one kind, one for each receiver group; empty where it has none."""
        return tuple(duty for duty in self.duties if duty.kind is kind)


def rule_from(mapping: Any, *, file: str, own: bool = True) -> tuple[ServiceRule, ...]:
    """All versions, oldest first, of one rule written as in ``resources/trade/service_rules``.

    `file` is what a fault names. Raises `KnowledgeFault` naming file, key and what is wrong.
    """
    entry = Entry.of(mapping, file=file, path="")
    return tuple(ServiceRule(own=own, **values) for values in versions_from(entry))


def rules_from(content: Any, *, file: str, own: bool = True) -> dict[str, tuple[ServiceRule, ...]]:
    """The rules of one file (``authority`` and a list ``rules``) by id."""
    entry = Entry.of(content, file=file, path="")
    entry.known_only("authority", "about", "invented", "rules")
    authority = entry.text("authority")
    invented = entry.flag("invented", default=False)
    found: dict[str, tuple[ServiceRule, ...]] = {}
    for one in entry.entries("rules"):
        shared = {"authority": authority, "invented": invented}
        versions = tuple(
            ServiceRule(own=own, **values) for values in versions_from(one, shared=shared)
        )
        rule_id = versions[0].id
        if rule_id in found:
            raise one.fault("id", "twice", value=rule_id)
        found[rule_id] = versions
    return found


@cache
def shipped_rules() -> Mapping[str, tuple[ServiceRule, ...]]:
    """Every rule that travels with the program, by id; versions oldest first."""
    rules: dict[str, tuple[ServiceRule, ...]] = {}
    for name in shipped_files("service_rules"):
        rules |= rules_from(shipped_yaml("service_rules", name), file=name, own=False)
    return rules


def rule_for(
    rules: Mapping[str, tuple[ServiceRule, ...]], rule_id: str, *, on: date
) -> ServiceRule | None:
    """The wording of a rule that held on a day, or None where no such rule is known.

    Before its first dated version the oldest one known is given, marked `older_text_unknown`
    and so not confirmed.
    """
    versions = rules.get(rule_id)
    if not versions:
        return None
    held = [v for v in versions if v.valid_from_on is None or v.valid_from_on <= on]
    return held[-1] if held else replace(versions[0], older_text_unknown=True)
