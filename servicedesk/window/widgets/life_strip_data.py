"""From a site's file to what its life strip shows, in words."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from servicedesk.desk.knowledge import cause_names
from servicedesk.desk.office import Desk
from servicedesk.desk.sitefile import ComponentLife, SiteFile, UnitLife
from servicedesk.desk.sitehistory import HistoryEntry
from servicedesk.desk.thread_causes import components_behind
from servicedesk.desk.threads import TroubleThread
from servicedesk.desk.windows import SiteWindow
from servicedesk.duties.terms import WindowState
from servicedesk.window.widgets.life_strip_axis import (
    Life,
    LifePoint,
    LifeRow,
    LifeThread,
    LifeUnit,
    LifeWindow,
)
from servicedesk.window.widgets.site_words import symptom_icon
from servicedesk.words import say
from servicedesk.words.jobs import job_title
from servicedesk.words.removed import removed_text
from servicedesk.words.threads import length_text

_POINTS_AT = 0.05

_ICONS = {
    "air-compressor": "air_pump",
    "air-line": "air",
    "diffuser": "air",
    "alarm-float": "float",
    "pump-floats": "float",
    "float-tree": "float",
    "effluent-pump": "pump",
    "splices-box": "splice",
    "field-wiring": "splice",
    "control-panel": "panel",
    "timer": "clock",
    "alarm-circuit": "bell",
    "breakers-gfci": "bolt",
    "tablet-chlorinator": "chlorinator",
    "liquid-chlorinator": "chlorinator",
    "uv-unit": "look",
    "spray-heads": "spray",
    "spray-field": "spray",
    "tank-riser-lid": "lid",
    "drip-field": "drop",
    "drip-filter": "drop",
    "drip-valves": "drop",
}
WINDOW_COLORS = {
    WindowState.NOT_YET: "ink3",
    WindowState.OPEN: "water",
    WindowState.CLOSING: "ochre",
    WindowState.LATE: "clay",
    WindowState.MISSED: "clay",
    WindowState.DONE: "moss",
    WindowState.DONE_LATE: "clay",
}


def life_of(desk: Desk, file: SiteFile, thread: TroubleThread | None) -> Life:
    """All that stands on the strip of a site; `thread`: the trouble in view."""
    many = len({component.system_id for component in file.components}) > 1
    labels = {s.id: s.label or say("system {n}", n=n) for n, s in enumerate(file.systems, start=1)}
    owed = {one.unit_id: (one.since_on, one.what) for one in file.owed if one.unit_id}
    pointed, causes = pointed_to(desk, thread), cause_names(desk)
    rows = [
        replace(
            _row(
                desk,
                component,
                chain,
                owed,
                labels[component.system_id] if many else "",
                causes,
            ),
            unlooked=_unlooked(desk, component, chain, thread, pointed),
        )
        for component in file.components
        for chain in component.chains
    ]
    return Life(
        today=desk.today,
        rows=tuple(rows),
        calls=tuple(_call(desk, e, thread) for e in file.history if e.kind == "call"),
        visits=tuple(_visit(desk, e) for e in file.history if e.kind == "visit"),
        windows=tuple(_window(desk, window) for window in file.windows),
        thread=_band(thread) if thread is not None else None,
    )


def thread_in_view(threads: Iterable[TroubleThread]) -> TroubleThread | None:
    """The trouble that came back and has not ended, of several the one that called last."""
    return next((one for one in threads if one.thread.n > 1 and one.thread.is_open), None)


def pointed_to(desk: Desk, thread: TroubleThread | None) -> frozenset[str]:
    """Components in which the trouble sits with a chance of one in twenty or more."""
    if thread is None:
        return frozenset()
    behind = components_behind(desk, thread)
    return frozenset(component for component, chance in behind.items() if chance >= _POINTS_AT)


def _unlooked(
    desk: Desk,
    component: ComponentLife,
    chain: Sequence[UnitLife],
    thread: TroubleThread | None,
    pointed: frozenset[str],
) -> str:
    """Since when nobody looked at the unit that is there now, "" if that says nothing."""
    now = _in_service(chain)
    if thread is None or now is None or component.component not in pointed:
        return ""
    if thread.system_id not in (None, component.system_id):
        return ""
    began, looked, fitted = thread.thread.started_on, now.last_looked_on, now.unit.installed_on
    if any(day is not None and day >= began for day in (looked, fitted)):
        return ""  # looked at, or renewed, since it began
    if looked is not None:
        return say("not opened in {span}", span=length_text((desk.today - looked).days))
    since = fitted or began
    return say("never opened in {span}", span=length_text((desk.today - since).days))


def _band(one: TroubleThread) -> LifeThread:
    told = (say("same trouble: {name}", name=one.name), one.span, one.quiet, one.chance)
    return LifeThread(
        from_on=one.thread.started_on,
        until_on=one.thread.last_on,
        words=say("same trouble: {calls}", calls=one.span),
        told=", ".join(part for part in told if part),
    )


def _in_service(chain: Iterable[UnitLife]) -> UnitLife | None:
    """The unit of a chain that is there now."""
    there = (u for u in chain if u.unit.removed_on is None and u.unit.state != "removed")
    return next(there, None)


def _row(
    desk: Desk,
    component: ComponentLife,
    chain: Iterable[UnitLife],
    owed: dict[int, tuple[date, str]],
    system: str,
    causes: Mapping[str, str],
) -> LifeRow:
    lives = list(chain)
    now = _in_service(lives)
    looked = now.last_looked_on if now is not None else None
    second = [now.unit.model if now is not None else say("taken out"), system]
    return LifeRow(
        name=component.name,
        second=" · ".join(part for part in second if part),
        icon=_ICONS.get(component.component, "tank"),
        units=tuple(_unit(desk, component, life, owed, causes) for life in lives),
        looked=desk.formats.month(looked) if looked else (say("never") if now else ""),
        found=now.last_result.lower() if now is not None else "",
        is_never=now is not None and looked is None,
    )


def _unit(
    desk: Desk,
    component: ComponentLife,
    life: UnitLife,
    owed: dict[int, tuple[date, str]],
    causes: Mapping[str, str],
) -> LifeUnit:
    came_out = removed_text(life.unit.removed_why, causes)
    unit = life.unit
    patch = owed.get(unit.id)
    since = desk.formats.month(unit.installed_on) if unit.installed_on else say("day not known")
    parts = [component.name, unit.model, say("in since {month}", month=since)]
    if unit.removed_on is not None:
        why = came_out or say("no reason noted")
        day = desk.formats.day(unit.removed_on)
        parts.append(say("out {day}: {why}", day=day, why=why))
    elif unit.state != "in service":
        parts.append(unit.state)
    if life.last_looked_on is not None:
        day = desk.formats.day(life.last_looked_on)
        parts.append(say("last looked at {day}: {found}", day=day, found=life.last_result))
    else:
        parts.append(say("never looked at"))
    if patch:
        parts.append(say("owed: {what}", what=patch[1]))
    return LifeUnit(
        from_on=unit.installed_on,
        until_on=unit.removed_on,
        since=since,
        why=came_out[:1].lower() + came_out[1:],
        words=", ".join(part for part in parts if part),
        looked_on=life.last_looked_on,
        owed_on=patch[0] if patch else None,
        owed=say("owed since {day}", day=desk.formats.month(patch[0])) if patch else "",
    )


def _call(desk: Desk, entry: HistoryEntry, thread: TroubleThread | None) -> LifePoint:
    icon = symptom_icon(entry.symptoms[0]) if entry.symptoms else "phone"
    key = (entry.kind, entry.row_id)
    is_one = thread is not None and thread.thread.has(entry.row_id)
    return LifePoint("call", entry.on, _words(desk, entry), key, icon, is_one)


def _visit(desk: Desk, entry: HistoryEntry) -> LifePoint:
    is_inspection = job_title("inspection").casefold() in entry.title.casefold()
    kind = "late" if entry.late else "inspection" if is_inspection else "visit"
    if entry.outcome != "done":
        kind = "visit"
    return LifePoint(kind, entry.on, _words(desk, entry), (entry.kind, entry.row_id))


def _words(desk: Desk, entry: HistoryEntry) -> str:
    late = say("done late") if entry.late else ""
    parts = (entry.title, desk.formats.day(entry.on), late, *entry.lines[:3], entry.who)
    return ", ".join(part for part in parts if part)


def window_words(desk: Desk, one: SiteWindow) -> tuple[str, str, str]:
    """Name, span and state of a window in words."""
    window, formats = one.window, desk.formats
    name = job_title("inspection", window.ordinal)
    near = desk.today
    span = say(
        "{opens} to {closes}",
        opens=formats.day(window.opens_on, near=near),
        closes=formats.day(window.closes_on, near=near),
    )
    done = formats.day(window.done_on, near=near)
    states = {
        WindowState.NOT_YET: say("not open yet"),
        WindowState.OPEN: say("open, {days} left", days=formats.days(window.days_left(near))),
        WindowState.CLOSING: say("closing, {days} left", days=formats.days(window.days_left(near))),
        WindowState.LATE: say("late by {days}", days=formats.days(window.days_late)),
        WindowState.DONE: say("done {day}", day=done),
        WindowState.DONE_LATE: say(
            "done {day}, late by {days}", day=done, days=formats.days(window.days_late)
        ),
        WindowState.MISSED: say("missed"),
    }
    state = states[window.state]
    if one.planned_on is not None and not window.is_filled:
        state += say(", planned for {day}", day=formats.weekday(one.planned_on))
    return name[:1].upper() + name[1:], span, state


def _window(desk: Desk, one: SiteWindow) -> LifeWindow:
    return LifeWindow(
        one.window.opens_on,
        one.window.closes_on,
        WINDOW_COLORS[one.window.state],
        ", ".join(window_words(desk, one)),
        one.planned_on if not one.window.is_filled else None,
    )
