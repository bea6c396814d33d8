"""Who was told what; a day told is a promise."""

from datetime import date

import pytest

from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.told import About, tell, told_about
from servicedesk.records.errors import StaleEdit
from servicedesk.records.visits import Job, Visit
from servicedesk.values.trouble import Trouble
from tests.builders import (
    TODAY,
    a_call,
    a_done_visit,
    a_round,
    a_site,
    a_technician,
    a_visit,
    something_owed,
)

FRIDAY = date(2026, 10, 16)


def visit_now(desk, visit_id):
    with desk.store.read() as session:
        return session.get(Visit, visit_id)


def test_a_day_told_is_written_at_the_visit_in_the_same_change(desk):
    site = a_site(desk)
    visit = a_visit(desk, site, planned_on=None)

    changed = tell(
        desk,
        About(visit_id=visit.id),
        whom="Ruth Quillan",
        what="We come Friday before noon",
        promised_on=FRIDAY,
        between_min=(8 * 60, 12 * 60),
        seen=visit.revision,
    )

    assert set(changed.rows) == {"visit", "told"}
    now = visit_now(desk, visit.id)
    assert (now.planned_on, now.told) == (FRIDAY, True)
    assert (now.promise_from_min, now.promise_until_min) == (480, 720)
    (told,) = told_about(desk, visit_ids=[visit.id])
    assert (told.whom, told.by_whom, told.how) == ("Ruth Quillan", "Ines", "phone")
    assert (told.site_id, told.promised_on) == (site.id, FRIDAY)
    assert told.told_at == desk.clock.now()


def test_words_without_a_day_promise_nothing(desk):
    visit = a_visit(desk, a_site(desk))

    tell(desk, About(visit_id=visit.id), whom="Ruth", what="Tank looks fine", how="text")

    assert not visit_now(desk, visit.id).told


def test_a_caller_who_is_told_a_day_gets_a_visit_on_it(desk):
    site = a_site(desk)
    call = a_call(desk, site)

    tell(desk, About(call_id=call.id), whom="Ruth", what="Friday", promised_on=FRIDAY)

    with desk.store.read() as session:
        visit = session.query(Visit).one()
        assert session.query(Job).one().call_id == call.id
    assert (visit.planned_on, visit.told) == (FRIDAY, True)
    (told,) = told_about(desk, call_ids=[call.id])
    assert (told.visit_id, told.site_id) == (visit.id, site.id)


def test_a_caller_in_no_book_cannot_be_promised_a_day(desk):
    call = a_call(desk, where_said="chapel")

    with pytest.raises(Trouble, match="in no book yet"):
        tell(desk, About(call_id=call.id), whom="Pell", what="Friday", promised_on=FRIDAY)
    tell(desk, About(call_id=call.id), whom="Pell", what="We look for the place")
    assert len(told_about(desk, call_ids=[call.id])) == 1


def test_what_is_owed_can_be_told_too(desk):
    owed = something_owed(desk, a_site(desk))

    changed = tell(desk, About(owed_id=owed.id), whom="Ruth", what="The part is ordered")

    assert set(changed.rows) == {"told"}


def test_a_visit_on_a_round_is_moved_before_another_day_is_promised(desk):
    site = a_site(desk)
    round_ = a_round(desk, a_technician(desk), TODAY)
    visit = a_visit(desk, site, round_id=round_.id)

    with pytest.raises(Trouble, match="round of Oct 14"):
        tell(desk, About(visit_id=visit.id), whom="Ruth", what="Friday", promised_on=FRIDAY)
    tell(desk, About(visit_id=visit.id), whom="Ruth", what="Today", promised_on=TODAY)
    assert visit_now(desk, visit.id).told


def test_a_stale_visit_and_a_visit_that_is_over_are_refused(desk):
    site = a_site(desk)
    visit = a_visit(desk, site)
    done = a_done_visit(desk, site, TODAY)
    tell(desk, About(visit_id=visit.id), whom="Ruth", what="Today", promised_on=TODAY)

    with pytest.raises(StaleEdit):
        tell(desk, About(visit_id=visit.id), whom="R", what="x", seen=visit.revision)
    with pytest.raises(Trouble, match="is over"):
        tell(desk, About(visit_id=done.id), whom="R", what="x", promised_on=FRIDAY)


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"whom": " "}, "whom"),
        ({"what": ""}, "what"),
        ({"promised_on": date(2026, 10, 13)}, "promised_on"),
        ({"between_min": (480, 720)}, "between_min"),
        ({"promised_on": FRIDAY, "between_min": (720, 480)}, "between_min"),
    ],
)
def test_what_cannot_be_meant_is_said_at_its_field(desk, values, field):
    visit = a_visit(desk, a_site(desk))

    with pytest.raises(WrongEntry) as caught:
        tell(desk, About(visit_id=visit.id), **{"whom": "Ruth", "what": "Friday", **values})

    assert [w.field for w in caught.value.wrong] == [field]


def test_a_day_needs_a_visit_or_a_call(desk):
    site = a_site(desk)

    with pytest.raises(WrongEntry, match="visit or a call"):
        tell(desk, About(site_id=site.id), whom="Ruth", what="Friday", promised_on=FRIDAY)
    with pytest.raises(ValueError, match="pigeon"):
        tell(desk, About(site_id=site.id), whom="Ruth", what="Hello", how="pigeon")
