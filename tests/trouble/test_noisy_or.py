import random

import pytest

from servicedesk.trouble.noisy_or import MOST_CAUSES, Faults, Sign, by_found_signs


def random_faults(n_causes: int, n_signs: int, seed: int) -> Faults:
    rng = random.Random(seed)
    names = [f"cause {n}" for n in range(n_causes)]
    signs = {
        f"sign {n}": Sign(
            rng.uniform(0.01, 0.2), {c: rng.random() for c in names if rng.random() < 0.7}
        )
        for n in range(n_signs)
    }
    return Faults({c: rng.uniform(0.01, 0.4) for c in names}, signs)


@pytest.mark.parametrize("seed", range(20))
def test_both_sums_agree(seed):
    rng = random.Random(seed)
    faults = random_faults(rng.randint(2, 7), rng.randint(1, 5), seed)
    seen = {name: rng.random() < 0.6 for name in faults.signs if rng.random() < 0.8}
    assert by_found_signs(faults, seen) == pytest.approx(faults.chances(seen), abs=1e-9)


def test_many_causes_are_summed_over_the_signs_found():
    faults = random_faults(MOST_CAUSES + 30, 4, 1)
    chances = faults.chances({"sign 0": True, "sign 1": False})
    assert len(chances) == MOST_CAUSES + 30
    assert all(0 <= chance <= 1 for chance in chances.values())


def test_what_cannot_be_is_refused():
    faults = Faults({"a": 0.5}, {"seen": Sign(0.0, {})})
    for told in (faults.chances, lambda seen: by_found_signs(faults, seen)):
        with pytest.raises(ValueError, match="cannot be"):
            told({"seen": True})
