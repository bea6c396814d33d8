import copy

import pytest

from servicedesk.trade import faults
from servicedesk.trade.cautions import caution_texts
from servicedesk.trade.checks import cautions_for_checks, checks
from servicedesk.trade.components import components, equipment
from servicedesk.trade.faults import factors, history_rules, knowledge, part_kinds, sources
from servicedesk.trade.knowledge import KnowledgeFault, shipped_yaml

KNOWN = knowledge()


def test_everything_collected_is_there():
    counts = {
        "symptoms": len(KNOWN.symptoms),
        "checks": len(KNOWN.checks),
        "causes": len(KNOWN.causes),
        "components": len(components()),
        "equipment": len(equipment()),
        "factors": len(factors()),
        "part kinds": len(part_kinds()),
        "sources": len(sources()),
        "groups": len(KNOWN.groups),
        "history rules": len(history_rules()),
    }
    assert counts == {
        "symptoms": 24,
        "checks": 114,
        "causes": 123,
        "components": 33,
        "equipment": 14,
        "factors": 18,
        "part kinds": 60,
        "sources": 30,
        "groups": 11,
        "history rules": 7,
    }


def test_every_row_adds_up_to_one():
    for cause in KNOWN.causes:
        for check in KNOWN.checks:
            row = KNOWN.row(cause, check)
            assert sum(row.values()) == pytest.approx(1, abs=0.006)
            assert set(row) == {r.id for r in KNOWN.checks[check].results}


def test_every_symptom_has_causes_and_every_cause_a_symptom():
    assert set(KNOWN.causes_of) == set(KNOWN.symptoms)
    assert all(len(one.weights) >= 5 for one in KNOWN.causes_of.values())
    assert {c for one in KNOWN.causes_of.values() for c in one.weights} == set(KNOWN.causes)


def test_every_cause_can_be_told_from_each_of_its_rivals():
    for cause in KNOWN.causes.values():
        assert len(cause.evidence) >= 4, cause.id
        assert len(cause.rivals) >= 2, cause.id
        for rival in cause.rivals:
            apart = 0
            for check in KNOWN.checks:
                mine, theirs = KNOWN.row(cause.id, check), KNOWN.row(rival.cause, check)
                # half the sum of differences: the total variation between both rows
                apart += sum(abs(mine[r] - theirs[r]) for r in mine) / 2 >= 0.3
            assert apart >= 2, (cause.id, rival.cause)


def test_a_normally_open_float_is_open_hanging_and_low_lifted():
    # common practice, no source; the reverse for a normally closed one
    stuck = KNOWN.row("alarm-float-stuck-closed", "alarm-float-ohms-hanging")
    assert max(stuck, key=stuck.get) == "low"
    usual = {r.id: r.usual for r in checks()["alarm-float-ohms-hanging"].results}
    assert max(usual, key=usual.get) == "open"
    lifted = {r.id: r.usual for r in checks()["alarm-float-ohms-lifted"].results}
    assert max(lifted, key=lifted.get) == "low"


def test_what_can_hurt_has_its_caution_beside_it():
    for check in ("alarm-float-ohms-hanging", "splice-look", "winding-ohms", "pump-insulation"):
        assert "lockout" in checks()[check].cautions, check
    found = cautions_for_checks(["splice-look", "chlorine-residual"])
    assert caution_texts(["lockout"])[0] in found
    assert len(found) == len(set(found))


def test_texts_for_people_are_american():
    british = ("odour", "colour", "licence", "labelled", "litre", "programme", " van ")
    texts = [
        c.name + c.mechanism + c.permanent_fix + (c.why_missed or "") for c in KNOWN.causes.values()
    ]
    texts += [c.name + c.how + " ".join(r.text for r in c.results) for c in KNOWN.checks.values()]
    texts += [s.name + s.urgency + (s.note or "") for s in KNOWN.symptoms.values()]
    for text in texts:
        assert not any(word in text.lower() for word in british), text


def broken(monkeypatch, change):
    """The fault that reading the causes raises after `change` was made to the first file."""

    def altered(*parts):
        content = copy.deepcopy(shipped_yaml(*parts))
        if parts[1:] == ("causes", "alarm_float.yaml"):
            change(content[0])
        return content

    monkeypatch.setattr(faults, "shipped_yaml", altered)
    with pytest.raises(KnowledgeFault) as caught:
        knowledge.__wrapped__()
    return caught.value


@pytest.mark.parametrize(
    ("change", "key", "code"),
    [
        (lambda c: c.update(component="engine"), "component", "not_one_of"),
        (lambda c: c.update(parts=["engine"]), "parts", "not_known"),
        (lambda c: c.update(cautions=["be careful"]), "cautions", "not_known"),
        (lambda c: c.update(colour="red"), "colour", "unknown_key"),
        (lambda c: c.update(often_with=["nobody"]), "nearest_rivals", "not_known"),
        (lambda c: c["evidence"][0].update(check="guess"), "check", "not_known"),
        (lambda c: c["evidence"][0]["p"].pop("flooded"), "p", "not_the_results_of_the_check"),
        (lambda c: c["evidence"][0]["p"].update(flooded=0.3), "p", "row_does_not_add_up"),
        (lambda c: c["evidence"][0]["p"].update(flooded=0), "p", "not_a_share"),
        (lambda c: c["evidence"].append(c["evidence"][0]), "evidence", "twice"),
    ],
)
def test_a_name_that_leads_nowhere_or_a_row_that_does_not_add_up_is_refused(
    monkeypatch, change, key, code
):
    fault = broken(monkeypatch, change)
    assert fault.reason.code == code
    assert fault.key.endswith(key)
    assert fault.file.startswith("faults/causes")
