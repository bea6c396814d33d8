"""A night of storm: forty calls drawn from one seed for the sites of a store. All invented."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random

# what storm nights bring, by rough weight: lamps and dead panels above all (an invention)
_SYMPTOMS = (
    ("high-water-alarm", 22),
    ("dead-panel", 8),
    ("breaker-trips", 4),
    ("air-alarm", 3),
    ("slow-drains", 2),
    ("lid-hazard", 1),
)
_WORDS = ("", "", "", "red light since the thunder", "power was gone for an hour", "it beeps")
_DANGERS = ("sewage-inside", "lid-open", "somebody-down")
SHARE_OF_DANGER = 0.08
NIGHT_H = 10  # from dusk to dawn


@dataclass(frozen=True, slots=True, kw_only=True)
class StormCall:
    """One call of the night. `danger`: the danger said to be so, "" for none."""

    site_id: int
    called_at: datetime
    symptom: str
    own_words: str
    danger: str


def storm_night(
    site_ids: Sequence[int], *, begins_at: datetime, seed: int, n: int = 40
) -> tuple[StormCall, ...]:
    """`n` calls within ten hours from `begins_at` on, by time, each from another site.

    At least one of them is one of danger. Raises ValueError where there are fewer sites than calls.
    """
    if len(site_ids) < n:
        raise ValueError(f"{n} calls want {n} sites, there are {len(site_ids)}")
    rng = Random(seed)
    sites = rng.sample(sorted(site_ids), n)
    names, weights = zip(*_SYMPTOMS, strict=True)
    minutes = sorted(rng.randrange(NIGHT_H * 60) for _ in sites)
    surely = rng.randrange(n)
    calls = []
    for at, (site_id, minute) in enumerate(zip(sites, minutes, strict=True)):
        in_danger = at == surely or rng.random() < SHARE_OF_DANGER
        calls.append(
            StormCall(
                site_id=site_id,
                called_at=begins_at + timedelta(minutes=minute),
                symptom=rng.choices(names, weights)[0],
                own_words=rng.choice(_WORDS),
                danger=rng.choice(_DANGERS) if in_danger else "",
            )
        )
    return tuple(calls)
