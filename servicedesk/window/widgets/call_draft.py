"""Keeps what is being written: within half a second of each keystroke, one write at a time."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from threading import Lock
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from servicedesk.desk.drafts import Draft, Drafts, call_as_draft, call_of_draft, drafts_of
from servicedesk.desk.intake import CallDraft
from servicedesk.desk.office import Desk
from servicedesk.window.shell import Shell

KEEP_MS = 350  # after the first keystroke that is not kept yet
EDIT = "edit-"  # a draft of changes to a written call is no draft of that call


class DraftKeeper(QObject):
    """`touch` after each change; what `made` gives is kept soon, `forget` removes it.

    Writing waits for a disk and runs apart; the next write begins when the last one has ended.
    """

    kept = Signal()  # the disk holds what was said

    def __init__(self, shell: Shell, made: Callable[[], Draft | None], parent: QObject) -> None:
        super().__init__(parent)
        self._shell, self._made = shell, made
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(KEEP_MS)
        self._timer.timeout.connect(self.keep_now)
        self._waiting: dict[str, tuple[Desk, Draft | None]] = {}
        self._writing = False

    @property
    def is_kept(self) -> bool:
        """Whether everything said so far is on the disk."""
        return not self._timer.isActive() and not self._waiting and not self._writing

    def touch(self) -> None:
        """Something was typed."""
        if not self._timer.isActive():
            self._timer.start()

    @Slot()
    def keep_now(self) -> None:
        """Keep it without waiting."""
        self._timer.stop()
        draft = self._made()
        if draft is not None:
            self._put(draft.uid, draft)

    def forget(self, uid: str) -> None:
        """It was written, or there is nothing in it."""
        self._timer.stop()
        self._put(uid, None)

    def _put(self, uid: str, draft: Draft | None) -> None:
        desk: Desk = self._shell.office.desk  # type: ignore[attr-defined]
        self._waiting[uid] = (desk, draft)
        self._next()

    def _next(self) -> None:
        if self._writing or not self._waiting:
            return
        uid = next(iter(self._waiting))
        desk, draft = self._waiting.pop(uid)
        self._writing = True
        job = self._shell.work.start_apart(_write, desk, uid, draft)
        job.failed.connect(self._shell.show_trouble)
        job.ended.connect(self._ended)

    @Slot()
    def _ended(self) -> None:
        self._writing = False
        self._next()
        if not self._writing:
            self.kept.emit()


@contextmanager
def drafts_here(desk: Desk) -> Iterator[Drafts]:
    """The drafts of this seat, for one piece of work at a time: it is one file, read and written
    whole, and the store's worker looks at it while another keeps what is typed.
    """
    with _ONE_AT_A_TIME:
        yield drafts_of(desk)


_ONE_AT_A_TIME = Lock()


def _write(desk: Desk, uid: str, draft: Draft | None) -> None:
    with drafts_here(desk) as drafts:
        if draft is None:
            drafts.remove(uid)
        else:
            drafts.save(draft)


def as_draft(
    desk: Desk,
    call: CallDraft,
    *,
    title: str,
    seen: int | None = None,
    promised_by_at: datetime | None = None,
) -> Draft:
    """A half-written call, or half-made changes to a written one, with what belongs to it."""
    draft = call_as_draft(desk, call, title)
    values: dict[str, Any] = dict(draft.values)
    values["seen"] = seen
    values["promised_by_at"] = promised_by_at.isoformat() if promised_by_at else None
    return replace(draft, uid=draft_uid(call), values=values)


def from_draft(draft: Draft) -> tuple[CallDraft, int | None, datetime | None]:
    """The call, the revision it was shown at, and the promise set by hand."""
    promised = draft.values.get("promised_by_at")
    seen = draft.values.get("seen")
    return (
        call_of_draft(draft),
        int(seen) if seen is not None else None,
        datetime.fromisoformat(str(promised)) if promised else None,
    )


def draft_uid(call: CallDraft) -> str:
    """Under which name its draft is kept."""
    return call.uid if call.call_id is None else EDIT + call.uid
