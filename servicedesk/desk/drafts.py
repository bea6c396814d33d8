"""Half-written calls and visit notes, in one local file per person and machine.

A draft is kept here and not in the store: it is written while somebody types, also where the
connection is cut, and offered again after a crash. The change that writes the record removes it.
"""

import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from servicedesk.desk.intake import CallDraft
from servicedesk.desk.office import Desk
from servicedesk.desk.places_on_disk import data_folder
from servicedesk.records import call_rows
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

FORMAT = 1
KINDS = ("call", "visit")


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """Something half-written. `uid` tells drafts apart; `values` is plain JSON of its form."""

    uid: str
    kind: str
    title: str
    saved_at: datetime
    values: Mapping[str, Any]

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ValueError(f"{self.kind!r} is none of {KINDS}")


class Drafts:
    """The drafts of one person at one store, on this machine."""

    def __init__(self, folder: Path, *, who: str, place: str) -> None:
        name = hashlib.sha256(f"{who}\n{place}".encode()).hexdigest()[:16]
        self.path = folder / f"drafts-{name}.json"
        self._who = who

    def all(self, kind: str | None = None) -> tuple[Draft, ...]:
        """What is kept, latest first. A file that cannot be read is put aside, not lost."""
        found = [_from_json(one) for one in self._read()]
        wanted = [draft for draft in found if kind is None or draft.kind == kind]
        return tuple(sorted(wanted, key=lambda d: d.saved_at, reverse=True))

    def save(self, draft: Draft) -> None:
        """Keep a draft, in place of the one with the same `uid`. Whole or not at all.

        Raises Trouble if the file cannot be written.
        """
        kept = [one for one in self._read() if one["uid"] != draft.uid]
        self._write([*kept, _as_json(draft)])

    def remove(self, uid: str) -> None:
        """Forget a draft; one that is not there is no trouble."""
        before = self._read()
        kept = [one for one in before if one["uid"] != uid]
        if len(kept) != len(before):
            self._write(kept)

    def _read(self) -> list[dict[str, Any]]:
        try:
            drafts = _understood(self.path.read_text(encoding="utf-8"))
        except FileNotFoundError:
            return []
        except (ValueError, KeyError, TypeError):
            # somebody's words may be in it: put aside for a person to look at
            self.path.replace(self.path.with_suffix(".unreadable"))
            return []
        except OSError as error:
            raise self._trouble() from error
        return drafts

    def _write(self, drafts: list[dict[str, Any]]) -> None:
        part = self.path.with_suffix(f".{os.getpid()}.part")
        content = {"format": FORMAT, "who": self._who, "drafts": drafts}
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            with part.open("w", encoding="utf-8") as file:
                json.dump(content, file, ensure_ascii=False)
                file.flush()
                os.fsync(file.fileno())
            part.replace(self.path)
        except OSError as error:
            raise self._trouble() from error

    def _trouble(self) -> Trouble:
        return Trouble(
            say("What is being written cannot be kept at {path}.", path=self.path),
            means=say("It is on the screen only; if the program ends, it is gone."),
            do=say("Write it now, or free some space on that disk."),
            exit_code=3,
        )


def _understood(text: str) -> list[dict[str, Any]]:
    """The drafts of a file's text. Raises ValueError, KeyError or TypeError if it is none."""
    content = json.loads(text)
    if content["format"] != FORMAT:
        raise ValueError(f"format {content['format']}")
    drafts: list[dict[str, Any]] = content["drafts"]
    for one in drafts:
        _from_json(one)
    return drafts


def _as_json(draft: Draft) -> dict[str, Any]:
    return {**asdict(draft), "saved_at": draft.saved_at.isoformat()}


def _from_json(one: Mapping[str, Any]) -> Draft:
    saved_at = datetime.fromisoformat(one["saved_at"]).astimezone(UTC)
    values = dict(one["values"])
    return Draft(
        uid=one["uid"], kind=one["kind"], title=one["title"], saved_at=saved_at, values=values
    )


def drafts_of(desk: Desk, folder: Path | None = None) -> Drafts:
    """The drafts of whoever sits at the desk, in the platform's data folder or in `folder`."""
    return Drafts(folder or data_folder() / "drafts", who=desk.who, place=desk.store.place)


def offered(desk: Desk, drafts: Drafts) -> tuple[Draft, ...]:
    """What to offer at the start: drafts whose record was not written after all.

    A call that was written just before the program ended leaves its draft behind; such drafts
    are removed here.
    """
    found = drafts.all()
    with desk.store.read() as session:
        written = call_rows.known_uids(session, [d.uid for d in found if d.kind == "call"])
    for uid in written:
        drafts.remove(uid)
    return tuple(d for d in found if d.uid not in written)


def call_as_draft(desk: Desk, call: CallDraft, title: str) -> Draft:
    """A half-written call as a draft."""
    values = asdict(call)
    values["called_at"] = call.called_at.isoformat() if call.called_at else None
    return Draft(uid=call.uid, kind="call", title=title, saved_at=desk.clock.now(), values=values)


def call_of_draft(draft: Draft) -> CallDraft:
    """The half-written call that a draft holds. Fields it does not know are left as they begin."""
    known = {name: value for name, value in draft.values.items() if name in _CALL_FIELDS}
    if known.get("called_at"):
        known["called_at"] = datetime.fromisoformat(known["called_at"])
    known["symptoms"] = tuple(known.get("symptoms", ()))
    return CallDraft(**known)


_CALL_FIELDS = frozenset(CallDraft.__dataclass_fields__)
