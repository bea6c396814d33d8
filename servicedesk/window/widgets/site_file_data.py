"""What a site's file page reads in one go, on the worker."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from servicedesk.desk.changes import RecordChange, record_changes
from servicedesk.desk.office import Desk, Person, technicians_at
from servicedesk.desk.sitefile import SiteFile, secrets_of, site_file
from servicedesk.desk.threads import TroubleThread, threads_of_site
from servicedesk.desk.trouble_view import TroubleView, trouble_view
from servicedesk.window.widgets.life_strip_axis import Life
from servicedesk.window.widgets.life_strip_data import life_of, thread_in_view, window_words
from servicedesk.window.widgets.site_forms import edit_fields
from servicedesk.window.widgets.site_history import Happened
from servicedesk.words import say
from servicedesk.words.formats import UNKNOWN
from servicedesk.words.reasons import reasons_text


@dataclass(frozen=True, slots=True)
class WindowLine:
    """One window of the contract year in words. `state` names its mark."""

    name: str
    span: str
    state_text: str
    why: str
    state: str


@dataclass(frozen=True, slots=True)
class SiteSeen:
    """A site's file with everything in words."""

    file: SiteFile
    life: Life
    windows: tuple[WindowLine, ...]
    history: tuple[Happened, ...]
    people: tuple[Person, ...]
    threads: tuple[TroubleThread, ...] = ()
    trouble_thread: TroubleThread | None = None
    trouble: TroubleView | None = None


def read_site(desk: Desk, site_id: int) -> SiteSeen:
    """On the worker. Raises Trouble if the site is not in the store."""
    file = site_file(desk, site_id)
    changes = list(record_changes(desk, "site", site_id))
    threads = threads_of_site(desk, site_id)
    in_view = thread_in_view(threads)
    for system in file.systems:
        changes += record_changes(desk, "system", system.id)
    return SiteSeen(
        file=file,
        life=life_of(desk, file, in_view),
        windows=tuple(_window_lines(desk, file)),
        history=tuple(_history(desk, file, changes)),
        people=technicians_at(desk, desk.today),
        threads=threads,
        trouble_thread=in_view,
        trouble=trouble_view(desk, in_view) if in_view is not None else None,
    )


@dataclass(frozen=True, slots=True)
class ThreadSeen:
    """Another trouble of a site that somebody chose: what is behind it, and the strip with it."""

    thread: TroubleThread
    view: TroubleView | None
    life: Life


def read_thread(desk: Desk, file: SiteFile, thread: TroubleThread) -> ThreadSeen:
    """On the worker."""
    return ThreadSeen(thread, trouble_view(desk, thread), life_of(desk, file, thread))


def read_secrets(desk: Desk, site_id: int) -> tuple[tuple[str, str], ...]:
    """Codes of a site, as (what, value)."""
    return tuple((what, value) for _, what, value in secrets_of(desk, site_id))


def _window_lines(desk: Desk, file: SiteFile) -> Iterable[WindowLine]:
    for one in file.windows:
        name, span, state = window_words(desk, one)
        why = reasons_text(one.window.why, desk.formats)
        yield WindowLine(name, span, state, why, one.window.state.value)


def _history(desk: Desk, file: SiteFile, changes: list[RecordChange]) -> list[Happened]:
    found = [
        Happened(
            kind=e.kind,
            row_id=e.row_id,
            on=e.on,
            day=desk.formats.day(e.on),
            title=e.title + (say(", after its window") if e.late else ""),
            who=e.who,
            lines=e.lines,
            color="plum" if e.kind == "call" else "clay" if e.late else "ink",
            is_kept=e.is_kept,
        )
        for e in file.history
    ]
    found += [
        Happened(
            kind="change",
            row_id=one.line.id,
            on=desk.clock.day_of(one.line.at),
            day=desk.formats.day(desk.clock.day_of(one.line.at)),
            title=one.line.what,
            who=one.line.who,
            lines=tuple(_differences(one)),
        )
        for one in changes
    ]
    return sorted(found, key=lambda e: (e.on, e.kind == "change"), reverse=True)


def _differences(change: RecordChange) -> Iterable[str]:
    """One line for each field of the form that became another."""
    if not change.before or not change.after:
        return
    labels = {spec.name: spec.label for spec in edit_fields(())}
    for name, label in labels.items():
        before, after = _value(change.before, name), _value(change.after, name)
        if name in change.after and before != after:
            yield say("{label}: {before} → {after}", label=label, before=before, after=after)


def _value(values: Mapping[str, Any], name: str) -> str:
    value = values.get(name)
    if value is None or value == "":
        return UNKNOWN
    if isinstance(value, bool):
        return say("yes") if value else say("no")
    return str(value)
