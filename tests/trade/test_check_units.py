"""Which unit a check looks at, and which checks are measures."""

from servicedesk.trade.check_units import (
    component_of_check,
    components_of_checks,
    measures,
    number_of,
)
from servicedesk.trade.checks import checks
from servicedesk.trade.faults import knowledge
from servicedesk.trade.readings import catalogue

# common practice, no source: a level, a slope, clarity and what a caller says belong to no unit
NO_UNIT = {"pump-tank-level", "level-watch", "level-after-stop", "static-level", "levels-compare",
           "wet-spot-dye", "ground-slope-look", "effluent-clarity"}  # fmt: skip


def test_every_check_on_site_looks_at_a_unit_or_is_known_to_look_at_none():
    on_site = {check.id for check in checks().values() if check.where != "phone"}
    assert set(components_of_checks()) == on_site - NO_UNIT


def test_the_unit_of_a_check_is_one_whose_causes_it_tells():
    # a check looks at a kind of unit for which some cause has a row of it
    known = knowledge()
    told = {(check, cause.component) for cause in known.causes.values() for check in cause.evidence}
    odd = {
        c for c, kinds in components_of_checks().items() if not any((c, k) in told for k in kinds)
    }
    assert odd == set()


def test_the_first_kind_that_is_there_is_taken():
    assert component_of_check("chlorine-residual") == "tablet-chlorinator"
    assert (
        component_of_check("chlorine-residual", {"liquid-chlorinator": 1}) == "liquid-chlorinator"
    )
    assert component_of_check("splice-look", {"effluent-pump": 1}) is None
    assert component_of_check("pump-tank-level") is None


def test_every_number_whose_range_means_a_result_is_a_measure_of_that_check():
    for item in catalogue().items():
        for number in item.numbers:
            for results in number.all_results():
                for check, _ in results:
                    assert measures()[check].id == number.id


def test_the_names_of_measures_lead_back_to_them():
    for number in measures().values():
        assert number_of(number.id) == number
        assert number.units
