"""What teaches: confirmed causes alone, each trouble once, until it is forgotten."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from servicedesk.desk.learned import confirmed_cases, forget_learned, learned
from servicedesk.records.calls import Event, ThreadMark
from servicedesk.records.undo import undo_change
from servicedesk.trouble.learning import NOTHING_LEARNED
from tests.builders import a_site
from tests.conftest import NOW
from tests.desk.test_cases import a_callback, write

APRIL = date(2026, 4, 6)
LONG_AGO = date(2023, 4, 5)
PROVED = {"cause_id": "pump-jammed", "cause_known_by": "a direct check", "fix": "fixed"}
GUESSED = {**PROVED, "cause_known_by": "presumed"}


@pytest.fixture
def site(file_desk):
    return a_site(file_desk)


def test_a_proved_cause_teaches_with_what_was_found(file_desk, site):
    assert learned(file_desk) == NOTHING_LEARNED

    a_callback(file_desk, site, APRIL, job=PROVED,
               findings=[("impeller-free", "jammed", None), ("run-in-hand", None, None)])  # fmt: skip

    now = learned(file_desk)
    assert now.causes == {"high-water-alarm": {"pump-jammed": 1}}
    assert now.results == {"pump-jammed": {"impeller-free": {"jammed": 1}}}


def test_a_direct_check_proves_a_cause_whatever_word_was_chosen(file_desk, site):
    a_callback(file_desk, site, APRIL, job=GUESSED, findings=[("impeller-free", "jammed", None)])

    assert learned(file_desk).n_cases("high-water-alarm") == 1


@pytest.mark.parametrize(
    "job",
    [
        GUESSED,  # half a year of quiet is not enough for a guess
        {**PROVED, "fix": "reset only"},
        {**PROVED, "fix": ""},
        {**PROVED, "no_fault_found": True},
        {**PROVED, "cause_id": "a word of ours"},
        {**PROVED, "cause_id": None},
    ],
)
def test_what_is_not_confirmed_teaches_nothing(file_desk, site, job):
    a_callback(file_desk, site, file_desk.today - timedelta(days=60), job=job)

    assert learned(file_desk) == NOTHING_LEARNED


def test_a_guess_teaches_once_its_fix_has_held_its_quiet_time(file_desk, site):
    a_callback(file_desk, site, LONG_AGO, job=GUESSED)

    assert learned(file_desk).causes == {"high-water-alarm": {"pump-jammed": 1}}

    # called again before it was believed: that guess was none
    other = a_site(file_desk, "2 Other Lane")
    a_callback(file_desk, other, LONG_AGO, job=GUESSED)
    a_callback(file_desk, other, LONG_AGO + timedelta(days=40))
    assert learned(file_desk).causes == {"high-water-alarm": {"pump-jammed": 1}}


def test_a_reset_that_held_teaches_nothing(file_desk, site):
    a_callback(file_desk, site, LONG_AGO, job={**GUESSED, "fix": "reset only"})

    assert learned(file_desk) == NOTHING_LEARNED


def test_calls_of_an_event_teach_nothing(file_desk, site):
    event = write(file_desk, Event(what="storm", from_at=NOW))
    a_callback(file_desk, site, APRIL, job=PROVED, event_id=event.id)

    assert learned(file_desk) == NOTHING_LEARNED


def test_one_trouble_counts_once_and_two_troubles_twice(file_desk, site):
    first, _ = a_callback(file_desk, site, APRIL, job={**PROVED, "fix": "patched"})
    second, _ = a_callback(file_desk, site, APRIL + timedelta(days=30), job=PROVED)
    assert learned(file_desk).n_cases("high-water-alarm") == 1

    write(file_desk, ThreadMark(call_id=second.id, other_call_id=first.id, joined=False))

    assert learned(file_desk).n_cases("high-water-alarm") == 2


def test_forgotten_is_what_came_before_until_it_is_taken_back(file_desk, site):
    a_callback(file_desk, site, APRIL, job=PROVED)

    changed = forget_learned(file_desk)

    assert learned(file_desk) == NOTHING_LEARNED
    tomorrow = on_day(file_desk, file_desk.today + timedelta(days=1))
    a_callback(file_desk, a_site(file_desk, "2 Lane"), tomorrow.today, job=PROVED)
    assert learned(tomorrow).n_cases("high-water-alarm") == 1
    undo_change(file_desk.store, changed.change_id, who="Ines")
    assert learned(tomorrow).n_cases("high-water-alarm") == 2


def test_nothing_teaches_before_its_day(file_desk, site):
    a_callback(file_desk, site, APRIL, job=PROVED)
    a_callback(file_desk, a_site(file_desk, "2 Lane"), APRIL + timedelta(days=30), job=PROVED)
    learned(file_desk)  # what is kept of the sites must not speak for another day

    before = on_day(file_desk, APRIL - timedelta(days=1))
    between = on_day(file_desk, APRIL + timedelta(days=29))

    assert learned(before) == NOTHING_LEARNED
    assert learned(between).n_cases("high-water-alarm") == 1
    assert learned(file_desk).n_cases("high-water-alarm") == 2


def on_day(desk, day):
    """The same store as it is looked at on another day."""
    return replace(desk, clock=replace(desk.clock, fixed_day=day))


def test_what_is_kept_is_what_would_be_computed(desk):
    site = a_site(desk)
    a_callback(desk, site, APRIL, job=PROVED)
    other = a_site(desk, "2 Lane")
    a_callback(desk, other, APRIL)
    kept = learned(desk)
    a_callback(desk, other, APRIL + timedelta(days=100), job=PROVED)
    assert learned(desk).n_cases("high-water-alarm") == kept.n_cases("high-water-alarm") + 1
    kept = learned(desk)

    desk.store.conclusions.clear()

    assert learned(desk) == kept
    assert len(confirmed_cases(desk)) == 2
