"""How the ranking does on cases told by the trade: the aim of issue B is 92 of 100 first."""

from servicedesk.trouble.opinion import opinion
from tests.trouble.findings import KNOWN, case, visit
from tests.trouble.trade_cases import CASES


def answers():
    for symptom, findings, visits, accepted in CASES:
        earlier = tuple(
            visit(d, o, *f.split(), symptom=symptom, changed=c) for d, o, f, c in visits
        )
        told = opinion(case(symptom, *findings.split(), earlier=earlier), KNOWN)
        chances = [*((one.chance, one.cause) for one in told.causes), (told.unlisted, "unlisted")]
        order = [cause for _, cause in sorted(chances, reverse=True)]
        yield symptom, findings, accepted.split(), order, told


def test_an_accepted_cause_comes_first_in_92_of_100_and_among_three_in_98():
    told = list(answers())
    first = [order[0] in accepted for _, _, accepted, order, _ in told]
    in_three = [bool(set(order[:3]) & set(accepted)) for _, _, accepted, order, _ in told]
    assert len(told) > 80
    assert sum(first) / len(told) >= 0.92
    assert sum(in_three) / len(told) >= 0.98


def test_nobody_is_sure_and_wrong():
    sure = [
        (findings, accepted, order[0])
        for _, findings, accepted, order, told in answers()
        if told.sure
    ]
    assert len(sure) > 20
    assert not [one for one in sure if one[2] not in one[1]]
