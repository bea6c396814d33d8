"""Plan a visit from a site's file: the form, what it writes, and what one should know then."""

from typing import Any, Protocol

from PySide6.QtCore import QObject, Qt, Slot

from servicedesk.desk.office import Desk, Person
from servicedesk.desk.sitefile import SiteFile
from servicedesk.desk.usual import VISIT_KINDS
from servicedesk.desk.visits import NewVisit, PlannedVisit, plan_visit
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.notice import Notice
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.window.widgets.site_file_data import SiteSeen
from servicedesk.words import say
from servicedesk.words.jobs import kind_text


class Page(Protocol):
    """What is needed of the place."""

    @property
    def theme(self) -> Theme: ...
    @property
    def desk(self) -> Desk: ...
    @property
    def forms(self) -> Forms: ...


class SiteVisits(QObject):
    """`notice` tells what a plan left open; `show_seen` says which site is asked about."""

    def __init__(self, page: Page, parent: QObject) -> None:
        super().__init__(parent)
        self._page = page
        self._seen: SiteSeen | None = None
        self._written: WriteVisit | None = None
        self.notice = Notice(page.theme, "")
        self.notice.button.hide()

    def show_seen(self, seen: SiteSeen | None) -> None:
        """The site that is open now."""
        self._seen = seen
        if seen is None:
            self.notice.hide()

    def plan(self) -> None:
        """The form for one more visit."""
        if self._seen is None:
            return
        file, desk = self._seen.file, self._page.desk
        form = self._page.forms.form(desk)
        self._written = WriteVisit(desk, file.head.id)
        form.open_form(
            say("Plan a visit at {address}", address=file.head.address),
            visit_fields(file, self._seen.people),
            {"kind": _first_kind(file), "technician_id": None, "system_id": _first_system(file)},
            self._written,
            button=say("Plan the visit"),
            hint=say("Without a day it waits in No day yet, and the weeks ahead find one."),
            focus="on",
        )
        form.written.connect(self._tell, Qt.ConnectionType.UniqueConnection)

    @Slot(object)
    def _tell(self, _touched: object) -> None:
        planned = self._written.planned if self._written is not None else None
        self._written = None
        if planned is None:
            return
        notes = [say("It joins the stop that is planned there.")] if planned.joined else []
        notes += planned.notes
        if notes:
            self.notice.tell(say("The visit is planned."), " ".join(notes))


def visit_fields(file: SiteFile, people: tuple[Person, ...]) -> tuple[FieldSpec, ...]:
    """What is asked of a visit; which system only where several stand."""
    systems = [s for s in file.systems if s.ended_on is None]
    which: tuple[FieldSpec, ...] = ()
    if len(systems) > 1:
        options = tuple((s.id, s.label or s.permit or str(s.id)) for s in systems)
        both = ((None, say("all, for an inspection")), *options)
        which = (FieldSpec(name="system_id", label=say("Which"), kind="choice", options=both),)
    return (
        FieldSpec(name="on", label=say("Day"), kind="day", hint=say("none yet")),
        FieldSpec(name="kind", label=say("What to do"), kind="choice",
                  options=tuple((kind, kind_text(kind)) for kind in VISIT_KINDS)),
        *which,
        FieldSpec(name="technician_id", label=say("Who comes"), kind="choice",
                  heading=say("On a day it is held with them; without one it is a wish"),
                  options=((None, say("anybody")), *((p.id, p.name) for p in people))),
        FieldSpec(name="held_at_min", label=say("Begins at"), kind="time", hint=say("any time")),
        FieldSpec(name="note", label=say("Note"), kind="long", heading=say("For whoever comes")),
        FieldSpec(name="apart", label=say("Stop"), kind="tick",
                  hint=say("A stop of its own, not joined with others there")),
    )  # fmt: skip


def _first_kind(file: SiteFile) -> str:
    """An inspection while one is due that has no visit yet, otherwise a repair."""
    waits = any(w.window.is_due and w.planned_visit_id is None for w in file.windows)
    return "inspection" if waits else "repair"


def _first_system(file: SiteFile) -> int | None:
    systems = [s for s in file.systems if s.ended_on is None]
    return systems[0].id if len(systems) == 1 else None


class WriteVisit:
    """Plans what the form brought; `planned` is what came of it."""

    def __init__(self, desk: Desk, site_id: int) -> None:
        self._desk, self._site_id = desk, site_id
        self.planned: PlannedVisit | None = None

    def __call__(self, values: dict[str, Any], seen: int | None) -> object:
        """On the worker."""
        self.planned = plan_visit(self._desk, NewVisit(site_id=self._site_id, **values))
        return self.planned.changed
