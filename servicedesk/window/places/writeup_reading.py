"""What the write-up reads on the worker, and how its drafts are kept and forgotten."""

from dataclasses import dataclass
from datetime import date
from typing import Protocol

from servicedesk.desk.drafts import Draft, Drafts, drafts_of
from servicedesk.desk.office import Desk
from servicedesk.desk.writeup_drafts import draft_uid
from servicedesk.desk.writeup_form import (
    RoundStop,
    VisitForm,
    stop_of_visit,
    stops_of_round,
    visit_form,
)
from servicedesk.desk.writeup_parts_find import made_ready


class HasDesk(Protocol):
    """What carries a desk: the office of the window."""

    desk: Desk


@dataclass(frozen=True, kw_only=True)
class StopsRead:
    """What the left side shows: all stops, and which visits have a draft."""

    desk: Desk
    stops: tuple[RoundStop, ...]
    set_aside: frozenset[int]


@dataclass(frozen=True, kw_only=True)
class Opened:
    """A form with what stood in the draft file of it."""

    desk: Desk
    form: VisitForm
    draft: Draft | None


def read_stops(office: HasDesk, drafts: Drafts | None, ids: tuple[object, ...]) -> StopsRead:
    """The stops of the round or visit that `ids` names. Runs on the store's worker."""
    desk = office.desk
    match ids:
        case ("round", int() as round_id, date() as day):
            stops = stops_of_round(desk, round_id, day)
        case ("visit", int() as visit_id):
            stops = stop_of_visit(desk, visit_id)
        case _:
            stops = ()
    kept = (drafts or drafts_of(desk)).all("visit")
    aside = frozenset(int(d.values["visit_id"]) for d in kept)
    return StopsRead(desk=desk, stops=stops, set_aside=aside)


def open_visit(office: HasDesk, drafts: Drafts | None, visit_id: int) -> Opened:
    """The form of a visit and its draft. Runs on the store's worker."""
    desk = office.desk
    form = visit_form(desk, visit_id)
    made_ready(form.parts)
    uid = draft_uid(form)
    kept = (drafts or drafts_of(desk)).all("visit")
    return Opened(desk=desk, form=form, draft=next((d for d in kept if d.uid == uid), None))


class Keep:
    """Keeps a draft, on another thread."""

    def __init__(self, drafts: Drafts, draft: Draft) -> None:
        self._drafts, self._draft = drafts, draft

    def __call__(self) -> None:
        self._drafts.save(self._draft)


class Remove:
    """Forgets a draft, on another thread."""

    def __init__(self, drafts: Drafts, uid: str) -> None:
        self._drafts, self._uid = drafts, uid

    def __call__(self) -> None:
        self._drafts.remove(self._uid)


def nothing_open() -> None:
    """Nothing is open any more."""
