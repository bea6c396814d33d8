from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from servicedesk.trouble.case import Case, Found
from servicedesk.trouble.causes import rank
from servicedesk.trouble.table import table
from tests.trouble.findings import KNOWN

FLAGS = ("spray", "drip", "tablet", "bleach", "uv", "timer", "light-sensor", "zone-valve",
         "solenoid", "check-valve", "screen", "low-air-switch", "low-level-float",
         "splice-in-riser")  # fmt: skip
PARTS = ("effluent-pump", "float-switch-signal", "sealed-splice-kit", "compressor", "alarm-float")
OUTCOMES = ("no fault found", "reset only", "workaround", "fixed", "could not", "")


@st.composite
def findings(draw, most=6):
    checks = draw(st.lists(st.sampled_from(sorted(KNOWN.checks)), max_size=most, unique=True))
    return tuple(
        Found(check, draw(st.sampled_from([r.id for r in KNOWN.checks[check].results])))
        for check in checks
    )


@st.composite
def cases(draw):
    from servicedesk.trouble.case import Earlier

    symptoms = st.sampled_from(sorted(KNOWN.symptoms))
    earlier = tuple(
        Earlier(
            days_before=draw(st.integers(0, 900)),
            symptom=draw(symptoms),
            outcome=draw(st.sampled_from(OUTCOMES)),
            found=draw(findings(3)),
            changed=tuple(draw(st.lists(st.sampled_from(PARTS), max_size=2))),
        )
        for _ in range(draw(st.integers(0, 3)))
    )
    return Case(symptoms=(draw(symptoms),), found=draw(findings()), earlier=earlier)


def chances(case: Case) -> dict[str, float]:
    ranking = rank(case, KNOWN)
    return {"unlisted": ranking.unlisted} | {one.cause: one.chance for one in ranking.causes}


@settings(max_examples=150, deadline=None)
@given(cases())
def test_chances_add_to_one_and_none_is_zero(case):
    found = chances(case)
    assert sum(found.values()) == pytest.approx(1, abs=1e-9)
    assert all(0 < chance < 1 for chance in found.values())


@settings(max_examples=100, deadline=None)
@given(cases(), st.randoms())
def test_the_order_of_findings_and_visits_does_not_matter(case, rng):
    found, earlier = list(case.found), list(case.earlier)
    rng.shuffle(found)
    rng.shuffle(earlier)
    turned = replace(case, found=tuple(found), earlier=tuple(earlier))
    assert chances(turned) == pytest.approx(chances(case), abs=1e-9)


@settings(max_examples=100, deadline=None)
@given(cases())
def test_a_finding_written_twice_counts_once(case):
    assert chances(replace(case, found=case.found * 2)) == chances(case)


@settings(max_examples=100, deadline=None)
@given(cases(), st.sampled_from(sorted(KNOWN.checks)))
def test_what_was_not_looked_at_drops_out(case, check):
    told = replace(case, found=(*case.found, Found(check, None)))
    assert chances(told) == chances(case)


@settings(max_examples=100, deadline=None)
@given(cases(), st.frozensets(st.sampled_from(FLAGS)), st.sampled_from(FLAGS))
def test_dropping_equipment_never_raises_its_causes(case, has, flag):
    with_it = chances(replace(case, site_has=has | {flag}))
    without = chances(replace(case, site_has=has - {flag}))
    for cause in KNOWN.causes.values():
        if flag in cause.needs:
            assert without.get(cause.id, 0) <= with_it.get(cause.id, 0) + 1e-12


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_a_direct_proof_raises_its_cause(data):
    symptom = data.draw(st.sampled_from(sorted(KNOWN.symptoms)))
    cause = data.draw(st.sampled_from(sorted(KNOWN.causes_of[symptom].weights)))
    direct = table(KNOWN).direct[cause]
    check = data.draw(st.sampled_from(sorted(direct)))
    if check in KNOWN.symptoms[symptom].restates:
        return
    rivals = KNOWN.causes_of[symptom].weights
    result = data.draw(st.sampled_from(sorted(direct[check])))
    if any(KNOWN.row(r, check)[result] > KNOWN.row(cause, check)[result] for r in rivals):
        return  # it proves another cause still better
    others = tuple(f for f in data.draw(findings(4)) if f.check != check)
    before = Case(symptoms=(symptom,), found=others)
    after = replace(before, found=(*others, Found(check, result)))
    # at the least where nothing else of its group was looked at: those tell the same story
    groups = set(table(KNOWN).groups[check])
    if any(groups & set(table(KNOWN).groups[f.check]) for f in others):
        return
    told = chances(after)
    if cause not in told:  # the others were looked at where a site has another kind instead
        assert KNOWN.causes[cause].needs
        return
    assert told[cause] > chances(before).get(cause, 0)
