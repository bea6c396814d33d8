"""A fault that is away when somebody looks (faults.md section 12, weak spots b and c).

"Moisture faults vanish in fine weather: a right reading in dry conditions should count for less."
"""

import pytest

from servicedesk.trouble.causes import rank
from servicedesk.trouble.opinion import opinion
from tests.trouble.findings import KNOWN, case, visit

PASSING = "alarm-comes-and-goes"
AWAY = ("pump-tank-level=between", "lamp-against-water=agrees")


def told(ranking) -> dict[str, float]:
    return {one.cause: one.chance for one in ranking.causes} | {"unlisted": ranking.unlisted}


@pytest.mark.parametrize(
    "away",
    [
        AWAY,
        ("lamp-against-water=agrees", "alarm-state-on-arrival=off-now"),
        ("pump-tank-level=pumped-down", "alarm-state-on-arrival=off-now"),
    ],
)
def test_an_alarm_that_comes_and_goes_being_off_says_nothing_of_its_cause(away):
    assert told(rank(case(PASSING, *away), KNOWN)) == pytest.approx(
        told(rank(case(PASSING), KNOWN))
    )


@pytest.mark.parametrize(
    "there",
    [
        ("pump-tank-level=above-alarm", "lamp-against-water=agrees"),
        ("pump-tank-level=between", "lamp-against-water=on-without-high-water"),
    ],
)
def test_what_is_seen_while_it_is_there_still_speaks(there):
    """Water up with the lamp lit is not the alarm float's doing; a lamp over low water is not use."""
    of_water, of_alarm = "heavy-use-day", "alarm-float-damp-intermittent"
    before, after = told(rank(case(PASSING), KNOWN)), told(rank(case(PASSING, *there), KNOWN))
    was, now = before[of_water] / before[of_alarm], after[of_water] / after[of_alarm]
    assert now > 2 * was if "pump-tank-level=above-alarm" in there else now < was / 2


def test_with_a_steady_alarm_the_same_findings_do_speak():
    ranking = rank(case("high-water-alarm", *AWAY), KNOWN)
    assert told(ranking) != pytest.approx(told(rank(case("high-water-alarm"), KNOWN)))


def test_low_water_on_an_earlier_day_is_not_against_what_leaks_in_with_rain():
    found = ("ask-alarm-pattern=after-rain", "riser-joint-look=trickle-or-stain")
    dry_day = visit(150, "no fault found", "pump-tank-level=pumped-down")
    same_visit = visit(150, "no fault found")
    seen = rank(case("high-water-alarm", *found, earlier=(dry_day,)), KNOWN)
    unseen = rank(case("high-water-alarm", *found, earlier=(same_visit,)), KNOWN)
    firm = "pump-windings-open"
    assert seen.causes[0].cause == "riser-leaks"
    # a dead pump would have left the water high on the dry day too
    assert seen.chance(firm) / seen.chance("riser-leaks") < (
        0.5 * unseen.chance(firm) / unseen.chance("riser-leaks")
    )
    codes = {
        one.why.code
        for one in opinion(
            case("high-water-alarm", *found, earlier=(dry_day,)), KNOWN
        ).contradictions
    }
    assert "speaks_against_leading" not in codes


def test_a_soaked_run_leaks_and_a_cut_one_shorts():
    """With both ends parted the joint is not in the reading (faults.md section 2)."""
    for result in ("leakage", "short"):
        ranking = rank(
            case(PASSING, f"run-line-insulation={result}", "splice-look=dry-sealed"), KNOWN
        )
        assert ranking.causes[0].cause == "alarm-cable-shorted", result


@pytest.mark.parametrize("site_has", [None, frozenset({"tablet"})])
def test_a_full_tube_in_clear_water_without_residual_is_bypassed_or_of_the_wrong_kind(site_has):
    """Section 7: "tablet tube is full" does not prove chlorine in the water.

    A site with tablets has no bleach feed: nobody need say so (common practice, no source).
    """
    found = ("tablet-tube-look=tablets-wet-at-bottom", "effluent-clarity=clear")
    ranking = rank(case("no-chlorine", *found, site_has=site_has), KNOWN)
    assert [one.cause for one in ranking.causes[:2]] == ["tube-not-seated", "tablets-wrong-kind"]
    assert ranking.unlisted < ranking.causes[0].chance


def test_wash_evenings_again_with_the_timer_as_it_always_was():
    """Section 3: "heavy use" is accepted once, never for a repeat; the family may have grown."""
    found = ("ask-alarm-pattern=evenings-wash-days", "pump-tank-level=above-alarm",
             "run-in-hand=runs-level-falls", "drawdown-rate=as-recorded",
             "timer-look=as-recorded", "level-watch=still")  # fmt: skip
    ranking = rank(
        case("high-water-alarm", *found, earlier=tuple(visit(d, "reset only") for d in (300, 90))),
        KNOWN,
    )
    assert ranking.causes[0].cause == "timer-runs-too-little"


def test_an_output_live_with_every_float_hanging_is_not_a_float_held_up():
    ranking = rank(
        case("pump-runs-on", "pump-output-floats-down=live", "pump-float-ohms=right"), KNOWN
    )
    assert ranking.causes[0].cause == "relay-welded"
    assert ranking.chance("off-float-hung-up") < 0.15


def test_air_that_is_right_after_a_reset_says_nothing_against_what_had_tripped():
    """Section 7: "breaker holds today" does not prove insulation, joint, ground-fault device."""
    running = ("compressor-sense=normal", "bubbles-look=even")
    found = ("breaker-state=ground-fault-tripped", "breaker-reset-once=holds")
    again = tuple(visit(d, "reset only", symptom="air-alarm") for d in (60, 25))
    ranking = rank(case("air-alarm", *found, *running, earlier=again), KNOWN)
    assert ranking.causes[0].cause == "air-receptacle-bad"
    never_tripped = rank(case("air-alarm", *running, earlier=again), KNOWN)
    assert never_tripped.causes[0].cause == "low-air-switch-faulty"
    assert never_tripped.chance("air-receptacle-bad") < 0.02
