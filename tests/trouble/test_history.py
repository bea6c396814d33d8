"""What earlier visits say: directions from the history rules of the fault knowledge, and its notes."""

from dataclasses import replace

import pytest

from servicedesk.trouble.case import Installed
from servicedesk.trouble.causes import rank
from servicedesk.trouble.history import comes_and_goes, related
from servicedesk.trouble.table import table
from tests.trouble.findings import KNOWN, case, visit

ALARM = "high-water-alarm"


def odds(told, cause: str, against: str) -> float:
    """How many times likelier one cause is than another: what third ones do drops out."""
    ranking = rank(told, KNOWN)
    return ranking.chance(cause) / ranking.chance(against)


def test_a_cause_named_and_fixed_that_is_back_falls_and_a_patched_one_rises():
    def of(outcome: str) -> float:
        told = visit(20, outcome, cause="splice-shorted-alarm")
        return odds(case(ALARM, earlier=(told,)), "splice-shorted-alarm", "leaking-fixture")

    assert of("fixed") < of("could not") < of("workaround")


def test_what_an_earlier_visit_found_wrong_and_fixed_counts_less_than_what_it_left():
    def of(outcome: str) -> float:
        told = visit(20, outcome, "splice-look=wet-or-green")
        return odds(case(ALARM, earlier=(told,)), "splice-shorted-alarm", "leaking-fixture")

    assert of("fixed") < of("could not")


def test_a_check_without_result_at_a_visit_that_found_nothing_was_usual():
    """Weaker than a result that was written down."""

    def of(finding: str, outcome: str) -> float:
        told = visit(20, outcome, finding)
        return odds(
            case(ALARM, earlier=(told,)), "splice-shorted-alarm", "alarm-float-damp-intermittent"
        )

    written = of("splice-look=dry-sealed", "no fault found")
    assert written < of("splice-look", "no fault found") < of("run-in-hand", "no fault found")
    assert of("splice-look", "could not") == pytest.approx(of("run-in-hand", "could not"))


def test_a_new_part_of_another_trouble_lowers_its_causes_less():
    def of(symptom: str) -> float:
        told = visit(20, "fixed", symptom=symptom, changed=("float-switch-signal",))
        return odds(case(ALARM, earlier=(told,)), "alarm-float-stuck-closed", "leaking-fixture")

    none = odds(case(ALARM), "alarm-float-stuck-closed", "leaking-fixture")
    assert of(ALARM) < of("no-chlorine") < none


def test_what_wipes_did_a_new_pump_does_not_take_away():
    told = visit(20, "fixed", changed=("effluent-pump",))
    before = odds(case(ALARM), "pump-jammed", "pump-windings-open")
    assert odds(case(ALARM, earlier=(told,)), "pump-jammed", "pump-windings-open") > before


def test_a_renewal_of_long_ago_is_forgotten():
    def of(days: int) -> float:
        told = visit(days, "fixed", changed=("effluent-pump",))
        return odds(case(ALARM, earlier=(told,)), "pump-windings-open", "leaking-fixture")

    none = odds(case(ALARM), "pump-windings-open", "leaking-fixture")
    assert of(20) < of(500) < of(1100) == pytest.approx(none)


def test_rivals_of_what_was_renewed_rise():
    told = visit(20, "fixed", changed=("float-switch-signal",))
    against = "discharge-parted"
    before = odds(case(ALARM), "splice-shorted-alarm", against)
    assert odds(case(ALARM, earlier=(told,)), "splice-shorted-alarm", against) > before


def test_renewing_the_float_makes_its_height_old_too():
    assert "alarm-float-height" in table(KNOWN).made_old_by("float-switch-signal")
    assert "pump-tank-level" not in table(KNOWN).made_old_by("float-switch-signal")
    assert "selector-position" not in table(KNOWN).made_old_by("relay-contactor")


def test_a_right_reading_on_the_day_of_the_change_proves_the_new_part():
    changed = visit(20, "fixed", "alarm-float-lift=right", changed=("float-switch-signal",))
    wrong = visit(20, "fixed", "alarm-float-lift=stays-on", changed=("float-switch-signal",))
    assert [one.check for one in rank(case(ALARM, earlier=(changed,)), KNOWN).counted] == [
        "alarm-float-lift"
    ]
    assert not rank(case(ALARM, earlier=(wrong,)), KNOWN).counted


def test_the_newest_result_of_a_check_counts():
    old = visit(200, "could not", "splice-look=wet-or-green")
    new = visit(20, "could not", "splice-look=dry-sealed")
    for earlier in ((old, new), (new, old)):
        (one,) = rank(case(ALARM, earlier=earlier), KNOWN).counted
        assert one.result == "dry-sealed"
    (today,) = rank(case(ALARM, "splice-look=parted", earlier=(old, new)), KNOWN).counted
    assert (today.result, today.weight) == ("parted", 1)


def test_visits_for_something_else_say_nothing_about_this():
    nothing = tuple(visit(d, "no fault found", symptom="no-chlorine") for d in (20, 60))
    assert rank(case(ALARM, earlier=nothing), KNOWN).causes == rank(case(ALARM), KNOWN).causes
    assert related((ALARM,), "alarm-comes-and-goes", table(KNOWN))
    assert not related((ALARM,), "no-chlorine", table(KNOWN))
    assert not related((ALARM,), "", table(KNOWN))


def test_black_water_outlasts_the_repair_of_the_air():
    """Cause air-stopped-septic: smell and black liquor outlast the repair by days to weeks."""

    def of(days: int) -> float:
        told = visit(days, "fixed", symptom="odour-outside", changed=("compressor",))
        return odds(
            case("odour-outside", earlier=(told,)), "air-stopped-septic", "overload-organic"
        )

    assert of(3) > 2 * of(200)


@pytest.mark.parametrize(("age", "way"), [(0.2, -1), (4, 0), (12, 1), (None, 0)])
def test_wear_takes_years(age, way):
    pump = Installed(component="effluent-pump", age_years=age)
    told = case(ALARM, installed=(pump,))
    change = odds(told, "pump-windings-open", "leaking-fixture") - odds(
        replace(told, installed=()), "pump-windings-open", "leaking-fixture"
    )
    assert (change > 1e-9) - (change < -1e-9) == way


def test_which_faults_come_and_go():
    assert comes_and_goes(KNOWN.causes["alarm-float-damp-intermittent"])
    assert comes_and_goes(KNOWN.causes["terminal-loose"])
    assert not comes_and_goes(KNOWN.causes["pump-windings-open"])
