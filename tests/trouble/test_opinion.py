"""What follows from the causes: next checks, what was never tested, contradictions, being sure."""

import pytest

from servicedesk.trade.clashes import clashes
from servicedesk.trouble.bring import to_bring
from servicedesk.trouble.causes import rank
from servicedesk.trouble.opinion import opinion
from servicedesk.trouble.table import table
from servicedesk.trouble.untested import settles
from tests.trouble.findings import KNOWN, case, visit

RESET = "reset only"
# the story of issue B: the alarm sounds again and again, each visit resets it and sees the pump run
FIVE_TIMES = tuple(
    visit(days, RESET, "run-in-hand=runs-level-falls", "pump-tank-level=pumped-down")
    for days in (700, 520, 300, 140, 30)
)


def names(told) -> list[str]:
    return [one.check for one in told.next_checks]


def codes(told) -> set[str]:
    return {one.why.code for one in told.contradictions}


def test_after_five_resets_the_alarm_float_and_its_joint_are_what_was_never_tested():
    told = opinion(case("high-water-alarm", earlier=FIVE_TIMES), KNOWN)
    assert {c.cause for c in told.causes[:2]} == {
        "alarm-float-stuck-closed",
        "splice-shorted-alarm",
    }
    first = told.never_done[:6]
    assert {"alarm-float-ohms-hanging", "splice-look"} <= set(first)
    assert not {"run-in-hand", "pump-tank-level"} & set(told.never_done)
    assert not told.sure


def test_never_done_comes_in_the_order_of_what_a_minute_settles():
    told = case("high-water-alarm", earlier=FIVE_TIMES)
    order = list(opinion(told, KNOWN).never_done)
    # three quarters of an hour of watching and dyeing come behind six minutes with a meter
    assert order.index("alarm-float-ohms-hanging") < order.index("level-watch")
    assert order.index("alarm-float-ohms-hanging") < order.index("toilet-dye")


def test_a_check_older_than_the_change_of_its_part_was_never_done():
    looked = visit(200, "could not", "alarm-float-ohms-hanging=open", "splice-look=dry-sealed")
    changed = visit(100, "fixed", changed=("float-switch-signal",))
    before = opinion(case("high-water-alarm", earlier=(looked,)), KNOWN).never_done
    after = opinion(case("high-water-alarm", earlier=(looked, changed)), KNOWN).never_done
    assert "alarm-float-ohms-hanging" not in before
    assert "alarm-float-ohms-hanging" in after
    assert "splice-look" not in after


def test_a_check_of_more_than_a_year_ago_counts_as_not_done():
    """Fault knowledge, history rule old-results-fade."""
    old, fresh = (visit(days, RESET, "splice-look=dry-sealed") for days in (400, 200))
    assert "splice-look" in opinion(case("high-water-alarm", earlier=(old,)), KNOWN).never_done
    assert (
        "splice-look" not in opinion(case("high-water-alarm", earlier=(fresh,)), KNOWN).never_done
    )


def test_a_check_named_without_result_was_done():
    told = opinion(case("high-water-alarm", earlier=(visit(30, RESET, "splice-look"),)), KNOWN)
    assert "splice-look" not in told.never_done
    assert "splice-look" not in names(told)


def test_checks_without_the_equipment_are_not_proposed():
    told = opinion(case("high-water-alarm", site_has=frozenset({"spray"})), KNOWN)
    lacking = {c.id for c in KNOWN.checks.values() if set(c.needs) - {"spray"}}
    assert not lacking & set(names(told))
    assert not lacking & set(told.never_done)


def test_what_restates_the_symptom_is_not_proposed():
    told = opinion(case("no-chlorine"), KNOWN)
    assert "chlorine-residual" not in names(told)


def test_danger_comes_before_everything():
    """History rule danger-first: pool tablets before the diagnosis."""
    told = opinion(case("no-chlorine", site_has=frozenset({"tablet"})), KNOWN)
    assert names(told)[0] == "ask-disinfectant"
    assert names(opinion(case("odour-outside"), KNOWN))[0] == "lid-look"


def test_a_free_look_goes_before_a_measurement_that_tells_a_little_more():
    told = opinion(case("breaker-trips"), KNOWN)
    free = KNOWN.checks[names(told)[0]]
    assert free.minutes <= 2


def test_no_power_on_a_load_that_tripped_before_its_insulation_is_measured():
    """Caution single-reset: reset once, after looking for the reason."""
    before = names(opinion(case("breaker-trips"), KNOWN))
    for check in ("breaker-reset-once", "run-in-hand", "pump-amps"):
        assert before.index("pump-insulation") < before.index(check)
    tripped = names(opinion(case("no-spray", "breaker-state=pump-tripped"), KNOWN))
    assert tripped.index("pump-insulation") < tripped.index("pump-amps")
    after = names(opinion(case("breaker-trips", "pump-insulation=good"), KNOWN))
    assert after.index("pump-amps") < 4


def test_nothing_is_reset_that_did_not_trip():
    humming = case("high-water-alarm", "pump-tank-level=above-alarm", "run-in-hand=hums-only")
    told = opinion(humming, KNOWN)
    assert "breaker-reset-once" not in names(told)
    assert "breaker-reset-once" not in told.never_done
    assert "breaker-reset-once" in names(opinion(case("breaker-trips"), KNOWN))


def test_nobody_is_asked_about_an_alarm_where_none_sounds():
    about = {"ask-alarm-pattern", "ask-which-alarm"}
    assert about <= set(names(opinion(case("high-water-alarm"), KNOWN)))
    assert not about & set(names(opinion(case("weak-spray"), KNOWN)))


def test_the_first_looks_at_an_alarm_ask_whether_the_water_is_high():
    """faults.md section 1: the first look after the lid is off."""
    first = names(opinion(case("high-water-alarm"), KNOWN))[:4]
    assert {"pump-tank-level", "lamp-against-water"} <= set(first)


def test_the_proof_of_what_leads_comes_soon():
    told = opinion(
        case("high-water-alarm", "pump-tank-level=above-alarm", "run-in-hand=hums-only",
             "pump-amps=high"),
        KNOWN,
    )  # fmt: skip
    assert told.causes[0].cause == "pump-jammed"
    assert "capacitor-test" in names(told)[:4] or "impeller-free" in names(told)[:4]


def test_bits_are_no_more_than_the_question_is_open():
    for symptom in KNOWN.symptoms:
        told = opinion(case(symptom), KNOWN)
        assert all(0 <= one.bits < 6 for one in told.next_checks)
        assert len(set(names(told))) == len(told.next_checks)


SURE = case("high-water-alarm", "pump-tank-level=pumped-down", "alarm-float-ohms-hanging=low",
            "alarm-float-lift=stays-on", "splice-look=dry-sealed", "run-line-insulation=clear")  # fmt: skip


def test_sure_where_a_direct_check_found_it_and_nothing_speaks_against_it():
    told = opinion(SURE, KNOWN)
    assert told.causes[0].cause == "alarm-float-stuck-closed"
    assert told.sure
    assert told.why_not_sure == ()


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ("alarm-leads-lifted=alarm-stays", "two_faults_together"),
        ("lid-look=broken", "danger_first"),
        ("alarm-float-ohms-at-panel=open", "cannot_both_be"),
    ],
)
def test_not_sure_where_a_finding_speaks_against_it(more, code):
    from dataclasses import replace

    from tests.trouble.findings import found

    told = opinion(replace(SURE, found=(*SURE.found, *found(more))), KNOWN)
    assert not told.sure
    assert code in {one.code for one in told.why_not_sure} | codes(told)


def test_not_sure_without_a_direct_check():
    told = opinion(
        case("high-water-alarm", "lamp-against-water=on-without-high-water",
             "alarm-state-on-arrival=sounding", site_has=frozenset({"spray"})),
        KNOWN,
    )  # fmt: skip
    assert "not_proved" in {one.code for one in told.why_not_sure}


def test_not_sure_by_a_proof_older_than_the_change_of_the_part():
    proof = visit(60, "could not", "alarm-float-ohms-hanging=low", "alarm-float-lift=stays-on")
    changed = visit(50, "fixed", changed=("alarm-float",))
    assert not opinion(case("high-water-alarm", earlier=(proof, changed)), KNOWN).sure


def test_a_level_and_a_lamp_that_do_not_go_together_are_reported():
    told = opinion(
        case("high-water-alarm", "pump-tank-level=above-alarm",
             "lamp-against-water=on-without-high-water"),
        KNOWN,
    )  # fmt: skip
    assert "cannot_both_be" in codes(told)


def test_one_check_found_in_two_ways_is_reported():
    told = opinion(case("no-spray", "pump-amps=low", "pump-amps=high"), KNOWN)
    assert "found_both" in codes(told)


def test_two_faults_together_are_named():
    """faults.md section 12 a: a second fault beside the first (noisy-OR over the findings)."""
    from dataclasses import replace

    from tests.trouble.findings import found

    told = opinion(
        replace(SURE, found=(*SURE.found, *found("alarm-leads-lifted=alarm-stays"))), KNOWN
    )
    (two,) = [one.why for one in told.contradictions if one.why.code == "two_faults_together"]
    assert (two["cause"], two["second"]) == ("alarm-float-stuck-closed", "alarm-board-stays-on")


def test_every_clash_names_two_checks_that_no_single_state_can_show():
    pairs = {
        (c.check, r, c.other, o) for c in clashes() for r in c.results for o in c.other_results
    }
    assert len(pairs) > 40
    for check, result, other, other_result in pairs:
        assert check != other
        told = opinion(
            case("high-water-alarm", f"{check}={result}", f"{other}={other_result}"), KNOWN
        )
        assert "cannot_both_be" in codes(told)


def test_parts_are_the_sum_over_the_causes():
    ranking = rank(case("high-water-alarm"), KNOWN)
    bring = dict(to_bring(ranking, KNOWN))
    expected = sum(
        c.chance for c in ranking.causes if "effluent-pump" in KNOWN.causes[c.cause].parts
    )
    assert bring["effluent-pump"] == pytest.approx(expected)
    chances = list(bring.values())
    assert chances == sorted(chances, reverse=True)


def test_two_rare_results_of_one_group_that_no_cause_explains_are_reported():
    told = opinion(case("no-chlorine", "settling-test=rises", "clarifier-look=solids-over",
                        "liquor-look-smell=white-foam"), KNOWN)  # fmt: skip
    assert "no_one_cause" in codes(told)


def test_what_often_goes_with_the_leading_cause_is_looked_at():
    told = opinion(case("no-chlorine", "tablet-tube-look=tablets-wet-at-bottom",
                        "tube-seat-look=seated", "effluent-clarity=cloudy"), KNOWN)  # fmt: skip
    leading = KNOWN.causes[told.causes[0].cause]
    assert leading.id == "chlorine-demand-high"
    assert "line-pressure" in names(told), "a clogged diffuser often goes with it"


def test_direct_checks_of_leading_causes_are_owed_though_the_symptom_does_not_list_them():
    owed = KNOWN.symptoms["high-water-alarm"].before_no_fault_found
    told = opinion(
        case("high-water-alarm", "pump-tank-level=above-alarm", "run-in-hand=silent"), KNOWN
    )
    assert "winding-ohms" not in owed
    assert "winding-ohms" in told.never_done


def test_free_and_safe_looks_that_tell_enough_go_before_everything_else():
    matters = 0
    for symptom in KNOWN.symptoms:
        told = opinion(case(symptom), KNOWN)
        if told.causes[0].chance >= 0.5:
            continue  # there the proof of what leads is worth more
        best = max(one.bits for one in told.next_checks)
        dangers = {"lid-look", "ask-disinfectant", "ask-house-drains"}
        rest = [one for one in told.next_checks if one.check not in dangers]
        free = [
            one.minutes <= 2
            and set(KNOWN.checks[one.check].cautions) <= {"backup-sewage", "chlorine-handling"}
            and one.bits >= 0.3 * best
            for one in rest
        ]
        assert free == sorted(free, reverse=True), symptom
        rates = [one.bits / one.minutes for one in rest]
        n_free = sum(free)
        matters += n_free > 0 and max(rates[n_free:]) > min(rates[:n_free])
    assert matters >= 2, "else information per minute alone would give the same order"


def test_a_direct_check_of_what_leads_unproved_comes_before_one_that_tells_more_of_others():
    told = opinion(case("no-chlorine", "tablet-tube-look=tablets-wet-at-bottom",
                        "tube-seat-look=seated", "effluent-clarity=cloudy",
                        site_has=frozenset({"tablet", "bleach"})), KNOWN)  # fmt: skip
    order, bits = names(told), {one.check: one.bits for one in told.next_checks}
    place = order.index("liquor-look-smell")
    behind = [one.bits / one.minutes for one in told.next_checks[place + 1 :]]
    assert max(behind) > bits["liquor-look-smell"] / KNOWN.checks["liquor-look-smell"].minutes


def test_checks_that_the_symptom_asks_for_are_believed_whole():
    """The level and the lamp split the causes of a high-water alarm in halves."""
    bits = {one.check: one.bits for one in opinion(case("high-water-alarm"), KNOWN).next_checks}
    assert bits["lamp-against-water"] > 0.4
    assert bits["pump-tank-level"] > 0.4


def test_what_was_never_done_falls_in_chance_settled_per_minute():
    told = case("high-water-alarm", earlier=FIVE_TIMES)
    ranking, known = rank(told, KNOWN), table(KNOWN)
    order = opinion(told, KNOWN).never_done
    rates = [settles(check, ranking, known) / KNOWN.checks[check].minutes for check in order]
    assert rates == sorted(rates, reverse=True)
    listed = KNOWN.symptoms["high-water-alarm"].before_no_fault_found
    assert [check for check in listed if check in order] != [c for c in order if c in listed]


def test_not_sure_of_a_cause_that_was_found_and_is_not_likely_enough():
    told = opinion(case("breaker-trips", "pump-insulation=low"), KNOWN)
    assert told.causes[0].chance < 0.8
    assert {one.code for one in told.why_not_sure} == {"not_likely_enough"}


def test_where_nothing_listed_fits_that_is_what_is_said():
    told = opinion(case("uv-fault", "uv-lamp-lit=lit", "uv-feed=live", "uv-sleeve-look=clear",
                        "effluent-clarity=clear"), KNOWN)  # fmt: skip
    assert told.unlisted > told.causes[0].chance
    assert {one.code for one in told.why_not_sure} == {"nothing_listed_fits"}


def test_once_sure_what_is_next_confirms_and_does_not_wander():
    """Every check left is one at which the cause shows, what often goes with it, or a danger."""
    told = opinion(SURE, KNOWN)
    assert told.sure
    leading, usual = told.causes[0].cause, table(KNOWN).usual
    beside = {c for other in KNOWN.causes[leading].often_with for c in table(KNOWN).direct[other]}
    rows = {check: row.p for check, row in KNOWN.causes[leading].evidence.items()}
    shows = {check for check, row in rows.items() if max(row, key=row.get) != usual[check]}
    assert set(names(told)) <= shows | beside | {"lid-look"}
    first_beside = [check in beside - shows for check in names(told)]
    assert first_beside == sorted(first_beside)  # first what proves it again

    unsure = opinion(case("high-water-alarm", "alarm-float-lift=stays-on"), KNOWN)
    assert not unsure.sure
    assert not set(names(unsure)) <= shows | beside
