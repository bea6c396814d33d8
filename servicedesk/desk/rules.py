"""The service rules in force here: those that travel with the program, and the company's own.

An own rule is written as the shipped ones are. Until its writer says `seen: true`, which means that
its text was read in the `source` it names, none of its days is shown as a legal deadline.
"""

import json
import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

import yaml

from servicedesk.desk.office import Desk
from servicedesk.records import rule_rows as rows
from servicedesk.records.people import Authority
from servicedesk.records.sites import Site
from servicedesk.records.store import Changed
from servicedesk.trade.knowledge import (
    KnowledgeFault,
    parsed_yaml,
    shipped_files,
    shipped_yaml,
)
from servicedesk.trade.service_rules import ServiceRule, rule_from, rules_from, shipped_rules
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n
from servicedesk.words.knowledge_reasons import knowledge_fault

Rules = Mapping[str, tuple[ServiceRule, ...]]
_BETWEEN = re.compile(r"^---\s*$", re.MULTILINE)  # rules of one authority and the next


@dataclass(frozen=True, slots=True)
class OwnRule:
    """A rule as the company wrote it, under its authority. `n_systems` stand under it."""

    authority: str
    rule_id: str
    body: Mapping[str, Any]
    n_systems: int


def rules_of(desk: Desk) -> Rules:
    """Every rule by id, versions oldest first. One query: ask once, not for every row.

    Raises Trouble where an own rule that once was right cannot be read any more.
    """
    with desk.store.read() as session:
        return rules_in(session)


def rules_in(session: Any) -> Rules:
    """As `rules_of`, inside a piece of work."""
    found = rows.own_rules(session)
    return _with_own(json.dumps(found)) if found else shipped_rules()


@lru_cache(maxsize=4)
def _with_own(written: str) -> Rules:
    rules = dict(shipped_rules())
    try:
        for authority, bodies in json.loads(written):
            for body in bodies:
                versions = rule_from({"authority": authority, **_dated(body)}, file=authority)
                rules[versions[0].id] = versions
    except KnowledgeFault as fault:
        raise Trouble(
            _said(fault),
            means=say("Deadlines cannot be computed with it."),
            do=say("Mend the rule. See: servicedesk rules write"),
        ) from fault
    return rules


def own_rules(desk: Desk) -> tuple[OwnRule, ...]:
    """The company's own rules, by authority in the order in which they were written."""
    with desk.store.read() as session:
        found = rows.own_rules(session)
        ids = [str(body["id"]) for _, bodies in found for body in bodies]
        under = rows.systems_under(session, ids)
    return tuple(
        OwnRule(authority, str(body["id"]), body, under.get(str(body["id"]), 0))
        for authority, bodies in found
        for body in bodies
    )


def check_rules(path: Path) -> int:
    """How many rules a file has, all of them well. Raises Trouble naming what is wrong where."""
    return sum(len(bodies) for bodies in _read(path).values())


def read_rules(desk: Desk, path: Path) -> Changed:
    """Take a file of rules: those whose id stands are written anew, the others are added.

    Raises Trouble for a rule that cannot be meant, or whose id is taken by a shipped one or by an
    own one of another authority.
    """
    return write_own_rules(desk, _read(path))


def write_own_rules(desk: Desk, by_authority: Mapping[str, Iterable[Mapping[str, Any]]]) -> Changed:
    """Write rules in one change; an authority is made where nobody knew of it.

    Raises Trouble as `read_rules` does.
    """
    new = {name: [_plain(body) for body in bodies] for name, bodies in by_authority.items()}
    for authority, bodies in new.items():
        _refuse(authority, bodies)
        _refuse_taken(desk, authority, [str(body["id"]) for body in bodies])
    n = sum(len(bodies) for bodies in new.values())
    what = say_n("Wrote {n} own service rule", "Wrote {n} own service rules", n)
    with desk.store.change(desk.who, what) as work:
        known = {one.name: one for one in rows.authorities(work.session)}
        for authority, bodies in new.items():
            record = known.get(authority) or work.add(Authority(name=authority))
            standing = {str(body["id"]): body for body in record.own_rules or []}
            standing |= {str(body["id"]): body for body in bodies}
            record.own_rules = list(standing.values())
    return work.changed


def end_own_rule(desk: Desk, rule_id: str) -> Changed:
    """Take an own rule away. Raises Trouble where there is none or systems stand under it."""
    found = next((one for one in own_rules(desk) if one.rule_id == rule_id), None)
    if found is None:
        raise Trouble(
            say("The company has no own rule “{id}”.", id=rule_id),
            do=say("See: servicedesk rules list --own"),
        )
    if found.n_systems:
        raise Trouble(
            say_n("{n} system stands under “{id}”.", "{n} systems stand under “{id}”.",
                  found.n_systems, id=rule_id),
            means=say("Their deadlines come from it."),
            do=say("Put them under another rule first."),
        )  # fmt: skip
    with desk.store.change(desk.who, say("Took the own rule {id} away", id=rule_id)) as work:
        for record in rows.authorities(work.session):
            if record.name == found.authority:
                record.own_rules = [b for b in record.own_rules if b["id"] != rule_id]
    return work.changed


def put_under(
    desk: Desk, site_id: int, rule_id: str | None, system_ids: Collection[int] = ()
) -> Changed:
    """Put systems of a site (none named: all that stand there) under a rule; None: under none.

    Raises Trouble for a rule nobody knows, or a site without a system.
    """
    with desk.store.read() as session:
        standing = [one.id for one in rows.systems_of(session, site_id)]
    return put_each_under(
        desk, site_id, {key: rule_id for key in standing if key in system_ids or not system_ids}
    )


def put_each_under(desk: Desk, site_id: int, chosen: Mapping[int, str | None]) -> Changed:
    """Put systems of a site, by key, under rules in one change. Raises Trouble as `put_under`."""
    known = rules_of(desk)
    unknown = next((one for one in chosen.values() if one is not None and one not in known), None)
    if unknown is not None:
        raise Trouble(
            say("No rule is called “{id}”.", id=unknown), do=say("See: servicedesk rules list")
        )
    with desk.store.read() as session:
        address = getattr(session.get(Site, site_id), "address", "")
    if not chosen:
        raise Trouble(say("No system stands at {address}.", address=address))
    what = say("Chose the service rule of {address}", address=address)
    with desk.store.change(desk.who, what) as work:
        for system in rows.systems_of(work.session, site_id):
            if system.id in chosen:
                system.rule_id = chosen[system.id]
    return work.changed


def rules_text(desk: Desk, *, like: str | None = None) -> str:
    """The own rules as YAML to work on; `like` begins with a copy of a shipped rule instead.

    Own rules of several authorities become one document each. Raises Trouble where there is none.
    """
    if like is not None:
        return _head() + _dumped(*_copied(like))
    by_authority: dict[str, list[Mapping[str, Any]]] = {}
    for one in own_rules(desk):
        by_authority.setdefault(one.authority, []).append(one.body)
    if not by_authority:
        raise Trouble(
            say("The company has no own service rules yet."),
            do=say("Begin with a copy: servicedesk rules write FILE --like example-three-a-year"),
        )
    return _head() + "---\n".join(_dumped(*one) for one in by_authority.items())


def _head() -> str:
    return "# " + say("Own service rules: change them and read the file back.") + "\n"


def _dumped(authority: str, bodies: Iterable[Mapping[str, Any]]) -> str:
    content = {"authority": authority, "rules": [_dated(body) for body in bodies]}
    return yaml.safe_dump(content, sort_keys=False, allow_unicode=True, width=100)


def _read(path: Path) -> dict[str, list[dict[str, Any]]]:
    """The rules of a file by authority, each well."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise Trouble(
            say("{path} cannot be read.", path=path), do=say("Give a YAML file in UTF-8.")
        ) from error
    found: dict[str, list[dict[str, Any]]] = {}
    try:
        for part in _BETWEEN.split(text):
            content = parsed_yaml(part, file=path.name)
            if content is None:
                continue  # nothing but remarks
            rules_from(content, file=path.name)
            bodies = found.setdefault(str(content["authority"]), [])
            bodies += [_plain(body) for body in content["rules"]]
    except KnowledgeFault as fault:
        raise Trouble(_said(fault), do=say("Mend the file and try again.")) from fault
    if not any(found.values()):
        raise Trouble(
            say("{path} has no rules.", path=path),
            do=say("Begin with a copy: servicedesk rules write FILE --like example-three-a-year"),
        )
    return found


def _copied(like: str) -> tuple[str, list[dict[str, Any]]]:
    """The latest wording of a shipped rule under an id of its own, not confirmed until read."""
    for name in shipped_files("service_rules"):
        content = shipped_yaml("service_rules", name)
        for body in content["rules"]:
            if body["id"] == like:
                latest = {**body["versions"][-1], "seen": False}
                copy = {**body, "id": f"{like}-ours", "versions": [latest]}
                return str(content["authority"]), [_plain(copy)]
    raise Trouble(
        say("No rule of the program is called “{id}”.", id=like),
        do=say("See: servicedesk rules list"),
    )


def _dated(body: Mapping[str, Any]) -> dict[str, Any]:
    """A rule as it was written: days as days."""
    versions = []
    for one in body.get("versions") or []:
        begins = one.get("valid_from") if isinstance(one, Mapping) else None
        as_day = {"valid_from": _day(begins)} if isinstance(begins, str) else {}
        versions.append({**one, **as_day} if isinstance(one, Mapping) else one)
    return {**body, "versions": versions}


def _day(text: str) -> date | str:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return text  # is refused where it is read


def _plain(body: Mapping[str, Any]) -> dict[str, Any]:
    """As the store keeps it: days as text."""
    kept: dict[str, Any] = json.loads(json.dumps(dict(body), default=str))
    return kept


def _refuse(authority: str, bodies: Iterable[Mapping[str, Any]]) -> None:
    try:
        rules_from({"authority": authority, "rules": [_dated(b) for b in bodies]}, file=authority)
    except KnowledgeFault as fault:
        raise Trouble(_said(fault), means=say("Nothing was written.")) from fault


def _refuse_taken(desk: Desk, authority: str, new: Iterable[str]) -> None:
    elsewhere = {o.rule_id: o.authority for o in own_rules(desk) if o.authority != authority}
    for rule_id in new:
        if rule_id in shipped_rules():
            raise Trouble(
                say("“{id}” is a rule of the program.", id=rule_id),
                means=say("Nothing was written."),
                do=say("Give your own another id, such as {id}-ours.", id=rule_id),
            )
        if rule_id in elsewhere:
            raise Trouble(
                say("“{id}” is a rule of {authority} already.", id=rule_id,
                    authority=elsewhere[rule_id]),
                means=say("Nothing was written."),
                do=say("Give this one another id."),
            )  # fmt: skip


def _said(fault: KnowledgeFault) -> str:
    return knowledge_fault(fault.file, fault.key, fault.reason)
