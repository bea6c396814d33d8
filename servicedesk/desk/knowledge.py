"""What the trade knows, with the company's own causes, checks and parts."""

import json
from collections.abc import Iterable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from servicedesk.desk.checking import Wrong, WrongEntry
from servicedesk.desk.office import Desk
from servicedesk.records.own_entries import OwnEntry as OwnRecord
from servicedesk.records.own_rows import OwnRow, own_entries
from servicedesk.records.store import Changed
from servicedesk.trade.faults import Knowledge
from servicedesk.trade.knowledge import KnowledgeFault
from servicedesk.trade.own import OwnEntry, entries_of_file, knowledge_with
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n
from servicedesk.words.knowledge_reasons import knowledge_fault

__all__ = ["OwnEntry", "OwnRow"]


class WrongOwn(WrongEntry):
    """An own entry that cannot be meant; `fault` has what is wrong apart from where it stands."""

    def __init__(self, fault: KnowledgeFault) -> None:
        self.fault = fault
        super().__init__([Wrong(fault.key, _said(fault))])


def knowledge_of(desk: Desk) -> Knowledge:
    """The program's knowledge with the company's own entries, kept until an entry changes.

    Raises Trouble where an entry that once was right is wrong by now: the program's knowledge
    has changed under it.
    """
    standing = _entries(own(desk))
    try:
        return _kept(json.dumps([(one.kind, dict(one.body)) for one in standing]))
    except KnowledgeFault as fault:
        raise Trouble(
            _said(fault),
            means=say("Causes and alerts cannot be computed with it."),
            do=say("Change that entry or end it. See: servicedesk knowledge list"),
        ) from fault


def cause_names(desk: Desk) -> Mapping[str, str]:
    """Names of all causes by id."""
    return {cause.id: cause.name for cause in knowledge_of(desk).causes.values()}


@lru_cache(maxsize=4)
def _kept(standing: str) -> Knowledge:
    return knowledge_with(OwnEntry(kind, body) for kind, body in json.loads(standing))


def own(desk: Desk, *, ended: bool = False) -> tuple[OwnRow, ...]:
    """The company's own entries (with `ended`: also those that ended)."""
    with desk.store.read() as session:
        return tuple(own_entries(session, ended=ended))


def add_own(desk: Desk, entries: Iterable[OwnEntry], *, note: str = "") -> Changed:
    """Write own entries in one change: a new cause needs its weights beside it.

    `note` says where they come from. Raises WrongEntry at the first that cannot be meant.
    """
    new = tuple(entries)
    _refuse_wrong((*_entries(own(desk)), *new))
    words = say_n(
        "Added {n} own entry of knowledge", "Added {n} own entries of knowledge", len(new)
    )
    with desk.store.change(desk.who, words) as work:
        for one in new:
            work.add(
                OwnRecord(kind_of=one.kind, entry_id=one.entry_id, body=_plain(one.body), note=note)
            )
    return work.changed


def write_own(desk: Desk, entries: Iterable[OwnEntry], *, note: str = "") -> Changed:
    """Write entries in one change: one whose kind and id stand already is written anew.

    Raises WrongEntry at the first that cannot be meant.
    """
    brought = {(one.kind, one.entry_id): one for one in entries}
    standing = {(row.kind_of, row.entry_id): row for row in own(desk)}
    kept = [OwnEntry(row.kind_of, row.body) for key, row in standing.items() if key not in brought]
    _refuse_wrong((*kept, *brought.values()))
    words = say_n(
        "Wrote {n} own entry of knowledge", "Wrote {n} own entries of knowledge", len(brought)
    )
    with desk.store.change(desk.who, words) as work:
        for key, one in brought.items():
            row = standing.get(key)
            if row is None:
                new = OwnRecord(kind_of=one.kind, entry_id=one.entry_id, body=_plain(one.body))
                new.note = note
                work.add(new)
                continue
            record = work.get(OwnRecord, row.id)
            record.body = _plain(one.body)
            record.note = note or record.note
    return work.changed


def change_own(
    desk: Desk, own_id: int, body: Mapping[str, Any], *, seen: int, note: str | None = None
) -> Changed:
    """Write an own entry anew. Raises WrongEntry for one that cannot be meant, StaleEdit.

    `note`: where it comes from by now; None leaves what was said.
    """
    standing = own(desk)
    entries = [OwnEntry(row.kind_of, body if row.id == own_id else row.body) for row in standing]
    _refuse_wrong(entries)
    with desk.store.change(desk.who, say("Changed an own entry of knowledge")) as work:
        record = work.fresh(OwnRecord, own_id, seen=seen)
        record.body = _plain(body)
        record.entry_id = OwnEntry(record.kind_of, body).entry_id
        record.note = record.note if note is None else note
    return work.changed


def end_own(desk: Desk, own_ids: Iterable[int]) -> Changed:
    """End own entries, together. Raises WrongEntry where another entry still names one of them."""
    ended = set(own_ids)
    _refuse_wrong(_entries(row for row in own(desk) if row.id not in ended))
    words = say_n(
        "Ended {n} own entry of knowledge", "Ended {n} own entries of knowledge", len(ended)
    )
    with desk.store.change(desk.who, words) as work:
        for own_id in sorted(ended):
            work.get(OwnRecord, own_id).ended_on = desk.today
    return work.changed


def entries_in(path: Path) -> tuple[OwnEntry, ...]:
    """The own entries of a file. Raises Trouble if it cannot be read or has another shape."""
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise Trouble(
            say("{path} cannot be read.", path=path), do=say("Give a YAML file in UTF-8.")
        ) from error
    try:
        return entries_of_file(text, file=path.name)
    except KnowledgeFault as fault:
        raise Trouble(_said(fault), do=say("Mend the file and try again.")) from fault


def refuse_wrong_entries(entries: Iterable[OwnEntry], desk: Desk | None = None) -> None:
    """Raise WrongEntry at the first that cannot be meant (`desk`: beside those of the store)."""
    standing = _entries(own(desk)) if desk is not None else ()
    _refuse_wrong((*standing, *entries))


def _refuse_wrong(entries: Iterable[OwnEntry]) -> None:
    try:
        knowledge_with(entries)
    except KnowledgeFault as fault:
        raise WrongOwn(fault) from fault


def _entries(rows: Iterable[OwnRow]) -> tuple[OwnEntry, ...]:
    return tuple(OwnEntry(row.kind_of, row.body) for row in rows)


def _plain(body: Mapping[str, Any]) -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads(json.dumps(dict(body)))
    return loaded


def _said(fault: KnowledgeFault) -> str:
    return knowledge_fault(fault.file, fault.key, fault.reason)
