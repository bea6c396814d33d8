"""Who was watched for how long, and what counts as a failure or a call that came back."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from servicedesk.trouble.exposure import (
    AGE_EDGES,
    CallOn,
    Established,
    Failure,
    UnitWatched,
    by_age,
    callbacks_of,
    failures_of,
)

DAY = date(2022, 3, 1)


def on(days):
    return DAY + timedelta(days=days)


def calls(*days, symptom="high-water-alarm"):
    return [CallOn(i, on(day), (symptom,)) for i, day in enumerate(days)]


def a_unit(*, installed=DAY, from_on=DAY, until=date(2026, 3, 1), failures=(), failed=False):
    return UnitWatched(
        id=1, system_id=1, component="effluent-pump", model_id=1, model="E-12", place="",
        sealing="", installed_on=installed, from_on=from_on, until_on=until, failed=failed,
        is_there=not failed, failures=tuple(Failure(day, by_call=True) for day in failures),
    )  # fmt: skip


def days_of(found):
    return [(call.on - DAY).days for call in found]


def test_a_call_within_two_weeks_about_the_same_is_the_same_trouble():
    found = callbacks_of(calls(0, 14, 20, 100))

    assert days_of(found.counted) == [0, 100]  # 20 is six days after the return of day 14
    assert days_of(found.again) == [100]


def test_another_symptom_is_another_trouble():
    other = CallOn(9, on(5), ("breaker-trips",))
    both = CallOn(10, on(60), ("breaker-trips", "no-spray"))

    found = callbacks_of([*calls(0), other, both])

    assert days_of(found.counted) == [0, 5, 60]
    assert days_of(found.again) == [60]  # shares one of its symptoms with day 5


def test_what_did_not_come_back_for_two_years_is_new():
    assert days_of(callbacks_of(calls(0, 730)).again) == [730]
    assert days_of(callbacks_of(calls(0, 731)).again) == []


@given(st.lists(st.integers(0, 2000), max_size=12), st.randoms())
def test_the_order_of_calls_does_not_matter(days, random):
    one = calls(*days)
    other = list(one)
    random.shuffle(other)

    assert callbacks_of(other) == callbacks_of(one)


def test_a_unit_found_out_and_renewed_failed_once():
    callback = Established(on(10), patched=False)

    assert failures_of([callback], on(10)) == (Failure(on(10), by_call=True),)
    assert failures_of([callback], on(20)) == (Failure(on(10), by_call=True),)
    assert failures_of([], on(20)) == (Failure(on(20), by_call=False),)


def test_a_patch_and_the_lasting_fix_after_it_are_one_failure():
    patch = Established(on(10), patched=True)

    assert len(failures_of([patch], on(200))) == 1
    assert len(failures_of([Established(on(10), patched=False)], on(200))) == 2
    again = Established(on(100), patched=False)
    assert failures_of([patch, again], None) == (Failure(on(10), by_call=True),)
    assert len(failures_of([patch, again, Established(on(300), patched=False)], None)) == 2


def test_years_and_failures_fall_into_the_band_of_their_age():
    unit = a_unit(installed=on(-365 * 2), from_on=DAY, until=on(365 * 5), failures=[on(365 * 2)])
    first, second, third, last = by_age(unit)

    assert first.years == pytest.approx(1, abs=0.02)  # two to three years old
    assert second.years == pytest.approx(3, abs=0.02)
    assert third.years == pytest.approx(1, abs=0.02)
    assert last.years == 0
    assert [band.events for band in (first, second, third, last)] == [0, 1, 0, 0]
    assert by_age(a_unit(installed=None)) is None


@given(st.integers(-5000, 0), st.integers(0, 3000), st.integers(0, 3000))
def test_years_by_age_add_up_to_the_exposure(installed, a, b):
    unit = a_unit(installed=on(installed), from_on=on(min(a, b)), until=on(max(a, b)))

    assert sum(band.years for band in by_age(unit)) == pytest.approx(unit.years)
    assert len(by_age(unit)) == len(AGE_EDGES)


def test_a_unit_that_was_old_when_records_began_enters_late():
    life = a_unit(installed=on(-731), until=on(365), failed=True).life

    assert life.entered == pytest.approx(2, abs=0.01)
    assert life.left == pytest.approx(3, abs=0.01)
    assert life.failed
    assert a_unit(installed=None).life is None
