"""A storm night is drawn from its seed and nothing else."""

from datetime import UTC, datetime, timedelta

import pytest

from sample_db.storm import NIGHT_H, storm_night
from servicedesk.trade.phone_dangers import dangers
from servicedesk.trade.symptoms import symptoms

DUSK = datetime(2026, 10, 13, 23, tzinfo=UTC)


def night(seed=7, **more):
    return storm_night(range(1, 61), begins_at=DUSK, seed=seed, **more)


def test_forty_calls_of_forty_sites_come_within_the_night():
    calls = night()

    assert len(calls) == len({one.site_id for one in calls}) == 40
    times = [one.called_at for one in calls]
    assert times == sorted(times)
    assert times[0] >= DUSK
    assert times[-1] < DUSK + timedelta(hours=NIGHT_H)
    assert {one.symptom for one in calls} <= set(symptoms())


def test_the_same_seed_is_the_same_night_and_another_is_not():
    assert night() == night()
    assert night(seed=8) != night()


@pytest.mark.parametrize("seed", range(12))
def test_there_is_danger_in_every_night_and_never_in_most_calls(seed):
    said = [one.danger for one in night(seed) if one.danger]

    assert 1 <= len(said) < 20
    assert set(said) <= {one.id for one in dangers()}


def test_fewer_sites_than_calls_are_refused():
    with pytest.raises(ValueError, match="40 calls want 40 sites"):
        storm_night(range(10), begins_at=DUSK, seed=1)
