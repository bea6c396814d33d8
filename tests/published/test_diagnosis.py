"""Published and recomputed values of diagnosis run through the program's own arithmetic.

The values stand in tests/data/diagnosis_values.json, each with its source and whether the printed
figure was seen (dx-06 from memory; dx-07 to dx-09 follow from the definition).
"""

import json
from itertools import product
from math import prod
from pathlib import Path

import pytest

from servicedesk.trouble.bayes import entropy_bits, expected_bits, posterior, settling_order
from servicedesk.trouble.noisy_or import Faults, Sign, by_found_signs

FILE = Path(__file__).parents[1] / "data" / "diagnosis_values.json"
VALUES = {one["id"]: one for one in json.loads(FILE.read_text(encoding="utf-8"))["checks"]}
CLOSE = 1e-6


def inputs(check: str) -> dict:
    return VALUES[check]["inputs"]


def expected(check: str) -> dict:
    return VALUES[check]["expected"]


def test_noisy_or_table_dx_01():
    names = inputs("dx-01")["causes"]
    sign = Sign(0.0, dict(zip(names, inputs("dx-01")["chance_each_causes_effect"], strict=True)))
    table = expected("dx-01")["effect_given_ABC"]
    assert len(table) == 8
    for bits, chance in table.items():
        present = [name for name, bit in zip(names, bits, strict=True) if bit == "1"]
        assert 1 - sign.absent(present) == pytest.approx(chance, abs=1e-9)


def test_noisy_or_with_leak_dx_02():
    first, second = inputs("dx-02")["chance"]
    sign = Sign(inputs("dx-02")["leak"], {"first": first, "second": second})
    for key, present in {
        "none": [],
        "first": ["first"],
        "second": ["second"],
        "both": ["first", "second"],
    }.items():
        assert 1 - sign.absent(present) == pytest.approx(expected("dx-02")[key], abs=1e-9)


def bernoulli(p: float, value: int) -> float:
    return p if value else 1 - p


def test_chest_clinic_dx_03():
    t = inputs("dx-03")["tables"]
    states = list(product((0, 1), repeat=5))  # visit, smoker, tuberculosis, lung cancer, bronchitis
    priors = [
        bernoulli(t["p_visit"], v)
        * bernoulli(t["p_smoker"], s)
        * bernoulli(t["p_tub_given_visit_no_yes"][v], tub)
        * bernoulli(t["p_lung_given_smoker_no_yes"][s], lung)
        * bernoulli(t["p_bronc_given_smoker_no_yes"][s], bronc)
        for v, s, tub, lung, bronc in states
    ]
    short = t["p_dysp_given_either_bronc_00_01_10_11"]
    x_ray = [t["p_xray_given_either_no_yes"][tub or lung] for _, _, tub, lung, _ in states]
    breath = [short[2 * (tub or lung) + bronc] for _, _, tub, lung, bronc in states]
    visit = [float(v) for v, *_ in states]
    smoker = [float(s) for _, s, *_ in states]
    known = {
        "prior": [],
        "visit_and_dyspnoea": [visit, breath],
        "visit_dyspnoea_clear_xray": [visit, breath, [1 - p for p in x_ray]],
        "dyspnoea_nonsmoker_no_visit": [breath, [1 - s for s in smoker], [1 - v for v in visit]],
    }
    ask = {
        "tuberculosis": [float(state[2]) for state in states],
        "lung cancer": [float(state[3]) for state in states],
        "bronchitis": [float(state[4]) for state in states],
        "either": [float(state[2] or state[3]) for state in states],
        "smoker": smoker,
        "x-ray": x_ray,
        "dyspnoea": breath,
    }
    for which, findings in known.items():
        chances = posterior(priors, *findings)
        for name, value in expected("dx-03")[which].items():
            told = sum(p * q for p, q in zip(chances, ask[name], strict=True))
            assert told == pytest.approx(value, abs=CLOSE), (which, name)


def test_two_witnesses_dx_04():
    i = inputs("dx-04")
    states = list(product((1, 0), repeat=3))  # burglary, earthquake, alarm
    rings = dict(
        zip([(1, 1), (1, 0), (0, 1), (0, 0)], i["p_alarm_given_b_e_11_10_01_00"], strict=True)
    )
    priors = [
        bernoulli(i["p_b"], b) * bernoulli(i["p_e"], e) * bernoulli(rings[b, e], a)
        for b, e, a in states
    ]
    first = [i["p_first_caller_given_alarm_yes_no"][1 - a] for _, _, a in states]
    second = [i["p_second_caller_given_alarm_yes_no"][1 - a] for _, _, a in states]
    chances = posterior(priors, first, second)
    burglary = sum(p for p, (b, _, _) in zip(chances, states, strict=True) if b)
    assert burglary == pytest.approx(expected("dx-04")["p_b"], abs=CLOSE)


def play_rows(at: int) -> tuple[list[float], list[list[float]]]:
    """Chances of play yes/no, and per value of a column its chance under each."""
    rows = inputs("dx-05")["rows"]
    yes, no = ([r for r in rows if r[4] == play] for play in (1, 0))
    values = sorted({row[at] for row in rows})
    return (
        [len(yes) / len(rows), len(no) / len(rows)],
        [[sum(r[at] == v for r in half) / len(half) for half in (yes, no)] for v in values],
    )


def test_information_gain_dx_05():
    chances, _ = play_rows(0)
    assert entropy_bits(chances) == pytest.approx(expected("dx-05")["entropy"], abs=CLOSE)
    for at, name in enumerate(inputs("dx-05")["columns"][:4]):
        gain = expected_bits(*play_rows(at))
        assert gain == pytest.approx(expected("dx-05")["gain"][name], abs=CLOSE), name


def test_naive_bayes_dx_06():
    rows = inputs("dx-05")["rows"]
    yes, no = ([r for r in rows if r[4] == play] for play in (1, 0))
    findings = [
        [sum(r[at] == value for r in half) / len(half) for half in (yes, no)]
        for at, value in enumerate(inputs("dx-06")["case"])
    ]
    priors = [len(yes) / len(rows), len(no) / len(rows)]
    weights = [prior * prod(f[at] for f in findings) for at, prior in enumerate(priors)]
    assert weights[0] == pytest.approx(expected("dx-06")["unnormalised_yes"], abs=CLOSE)
    assert posterior(priors, *findings)[1] == pytest.approx(expected("dx-06")["p_no"], abs=CLOSE)


def test_order_of_checks_dx_07():
    chances, minutes = inputs("dx-07")["probability"], inputs("dx-07")["cost_minutes"]

    def cost(order: list[int]) -> float:
        return sum(chances[one] * sum(minutes[k] for k in order[: at + 1])
                   for at, one in enumerate(order))  # fmt: skip

    order = settling_order(chances, minutes)
    assert order == expected("dx-07")["order"]
    assert cost(order) == pytest.approx(expected("dx-07")["expected_cost"], abs=1e-9)


def network() -> Faults:
    i = inputs("dx-08")
    return Faults(i["prior"], {n: Sign(f["leak"], f["w"]) for n, f in i["findings"].items()})


@pytest.mark.parametrize("at", range(4))
def test_several_faults_at_once_dx_08(at):
    seen = {name: bool(there) for name, there in inputs("dx-08")["evidence_sets"][at].items()}
    faults = network()
    for told in (faults.chances(seen), by_found_signs(faults, seen)):
        assert told == pytest.approx(expected("dx-08")["posterior"][at], abs=CLOSE)


def test_what_the_next_look_tells_dx_09():
    faults, seen = network(), {"high_water": True}
    assert faults.open_bits(seen) == pytest.approx(expected("dx-09")["entropy_bits"], abs=CLOSE)
    gains = {name: faults.bits(seen, name) for name in inputs("dx-09")["candidates"]}
    assert gains == pytest.approx(expected("dx-09")["gain_bits"], abs=CLOSE)
    assert max(gains, key=lambda name: gains[name]) == expected("dx-09")["best"]
