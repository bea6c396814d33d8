"""Any order of write-ups, corrections, counts and undos leaves the balances that a sum expects."""

import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from servicedesk.desk import ledger
from servicedesk.desk.writeup import write_up
from servicedesk.desk.writeup_entry import first_entry, notes_of
from servicedesk.desk.writeup_form import visit_form
from servicedesk.desk.writeup_notes import PartNote
from servicedesk.desk.writeup_part_entry import PartEntry
from servicedesk.records.equipment import Unit
from servicedesk.records.undo import undo_change
from servicedesk.values.trouble import Trouble
from tests.desk.stocked import IN_A_YEAR, WithPump, copied, made_once
from tests.desk.written_visits import rows
from tests.records.snapshot import snapshot

LINE = st.tuples(st.sampled_from(["kit", "tablets"]), st.integers(1, 4), st.booleans())
STEP = st.one_of(
    st.tuples(st.just("write"), st.lists(LINE, max_size=3), st.booleans()),
    st.tuples(st.just("edit"), st.lists(LINE, max_size=2), st.booleans()),
    st.tuples(st.just("count"), st.integers(0, 12), st.booleans()),
    st.tuples(st.just("undo"), st.just(0), st.just(False)),
)


@pytest.fixture(scope="module")
def template(tmp_path_factory, empty_file):
    path = tmp_path_factory.mktemp("balances") / "one.store"
    return made_once(WithPump, empty_file, path, warranty_until=IN_A_YEAR), path


@settings(max_examples=8, deadline=None)
@given(steps=st.lists(STEP, min_size=2, max_size=6))
def test_balances_are_what_was_bought_less_what_the_lines_say(template, steps):
    """Against a reckoning beside it: per part and place what lay there less what is written.

    A count says what lies there by itself: from then on only what was not used before it counts.
    """
    with tempfile.TemporaryDirectory() as folder:
        here = copied(*template, Path(folder, "one.store"))
        try:
            _run(here, steps)
        finally:
            here.desk.store.close()


def _run(here, steps) -> None:
    desk = here.desk
    counted: set[tuple[int, int]] = set()  # by part and place: the visit's use changes it no more
    stack: list[tuple[int, object]] = []  # change, everything before it
    for what, first, flag in steps:
        before = snapshot(desk.store)
        match what:
            case "write":
                change = here.write(*_notes(here, first, unit=flag)).change_id
            case "edit":
                form = visit_form(desk, here.visit.id)
                change = write_up(desk, notes_of(desk, form, _edited(here, form, first, flag)))
                change = change.change_id
            case "count":
                place = here.truck if flag else here.shelf
                change = ledger.count(desk, here.kit, place, first).changed.change_id
                counted.add((here.kit, place))
            case _ if stack:
                _undo(here, *stack.pop(), counted=counted)
                continue
            case _:
                continue
        if change:
            stack.append((change, before))
        _agree(here, counted)


def _notes(here, lines, *, unit):
    notes = [
        PartNote(text="", part_id=getattr(here, name), quantity=n,
                 place_id=here.shelf if on_shelf else None)
        for name, n, on_shelf in lines
    ]  # fmt: skip
    return [*notes, here.note()] if unit and _replaceable(here) else notes


def _replaceable(here):
    """Only what is written anew replaces the old pump a second time."""
    return next(u for u in rows(here.desk, Unit) if u.id == here.old.id).state != "removed"


def _edited(here, form, lines, drop_first):
    """The form as it opens, times and outcome filled in, lines added, the first one dropped."""
    entry = first_entry(here.desk, form)
    jobs = tuple(replace(job, outcome="done") for job in entry.jobs)
    more = (
        PartEntry("", str(n), part_id=getattr(here, name),
                  place_id=here.shelf if on_shelf else None)
        for name, n, on_shelf in lines
    )  # fmt: skip
    parts = (*(entry.parts[1:] if drop_first else entry.parts), *more)
    return replace(entry, arrived="9:05", left="9:50", jobs=jobs, parts=parts)


def _undo(here, change, before, *, counted) -> None:
    try:
        undo_change(here.desk.store, change, who="Ines")
    except Trouble:
        assert counted  # nothing else stands in the way
        return
    assert snapshot(here.desk.store) == before


def _agree(here, counted) -> None:
    with_lines = visit_form(here.desk, here.visit.id).parts
    lies = ledger.balances(here.desk)
    for part in (here.kit, here.tablets, here.pump):
        for place, n in ((here.shelf, 20), (here.truck, 10)):
            if (part, place) in counted:
                continue
            used = sum(
                line.quantity
                for line in with_lines.lines
                if line.part_id == part and with_lines.taken_from[line.id] == place
            )
            assert lies.get((part, place), 0) == n - used
    units = rows(here.desk, Unit)
    fitted = [line for line in with_lines.lines if line.new_unit_id is not None]
    assert len(units) == 1 + len(fitted)
    assert (units[0].state == "removed") == bool(fitted)
    assert len(ledger.open_claims(here.desk)) == len(fitted)
