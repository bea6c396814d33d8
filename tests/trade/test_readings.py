import json
from decimal import Decimal

import pytest

from servicedesk.trade import readings
from servicedesk.trade.cautions import cautions
from servicedesk.trade.checks import checks
from servicedesk.trade.faults import sources
from servicedesk.trade.knowledge import KnowledgeFault
from servicedesk.trade.reading_shapes import Grade, Place, Usual
from servicedesk.trade.readings import Part, answer_for, catalogue, checks_of, place_of

ITEMS = catalogue().items()


def test_the_catalogue_holds_the_whole_visit():
    sizes = {part: len(catalogue().parts[part]) for part in Part}
    # forms 6-2 and 7-2 of the national onsite institutes' consortium and 30 TAC 285.90(3)
    assert sizes == {Part.AS_FOUND: 11, Part.WORK: 21, Part.AS_LEFT: 6, Part.LEAVING: 13}


@pytest.mark.parametrize("item", ITEMS, ids=lambda i: i.id)
def test_every_item_maps_to_checks_or_says_why_not(item):
    if item.why_no_check is None:
        assert checks_of(item)
    else:
        assert checks_of(item) == ()
        assert len(item.why_no_check) > 10


@pytest.mark.parametrize("item", ITEMS, ids=lambda i: i.id)
def test_every_result_named_is_a_result_of_that_check(item):
    said = [a.results for a in item.answers] + [r for n in item.numbers for r in n.all_results()]
    for check, result in (pair for results in said for pair in results):
        assert result in {r.id for r in checks()[check].results}, (check, result)


@pytest.mark.parametrize("item", [i for i in ITEMS if i.answers], ids=lambda i: i.id)
def test_a_graded_item_can_be_good_and_can_have_failed(item):
    assert answer_for(item, Grade.GOOD) is not None
    assert answer_for(item, Grade.FAILED) is not None
    assert len({a.text for a in item.answers}) == len(item.answers)


@pytest.mark.parametrize("item", ITEMS, ids=lambda i: i.id)
def test_sources_and_cautions_of_items_are_known(item):
    assert set(item.sources) <= set(sources())
    assert set(item.cautions) <= set(cautions())


def test_every_number_has_a_range_a_band_or_a_reason():
    numbers = [n for item in ITEMS for n in item.numbers] + list(catalogue().samples)
    assert len({n.id for n in numbers}) == len(numbers)
    for number in numbers:
        assert number.all_results() or number.why_no_check, number.id
        for usual in [number.usual] if number.usual else []:
            assert usual.source


@pytest.mark.parametrize(
    ("value", "place", "grade", "result"),
    [
        # Figure 30 TAC 285.91(4), Table IV: 0.1 mg/L or more
        ("0.1", Place.WITHIN, Grade.GOOD, "in-range"),
        ("0.09", Place.BELOW, Grade.FAILED, "none"),
    ],
)
def test_the_residual_is_placed_at_the_published_limit(value, place, grade, result):
    found = place_of(catalogue().number("total-chlorine"), Decimal(value))
    assert (found.place, found.grade) == (place, grade)
    assert found.results == (("chlorine-residual", result),)


@pytest.mark.parametrize(
    ("value", "result"),
    [("9", "thin"), ("10", "normal"), ("59", "normal"), ("60", "heavy")],
)
def test_settled_solids_are_banded(value, result):
    # 60 %: common practice, no source; 30 to 50 % satisfactory in one maker's manual
    number = catalogue().number("settled-30-min")
    assert place_of(number, Decimal(value)).results == (("settling-test", result),)
    assert place_of(number, Decimal(40)).place is Place.WITHIN
    assert place_of(number, Decimal(55)).place is Place.ABOVE


def test_the_plate_of_this_system_goes_before_the_usual_range():
    amps = catalogue().number("pump-amps")
    plate = Usual(source="plate", sure="practice", low=Decimal(6), high=Decimal(9))
    assert place_of(amps, Decimal(12)).place is Place.NO_RANGE
    assert place_of(amps, Decimal(12)).results == ()
    assert place_of(amps, Decimal(12), own=plate).results == (("pump-amps", "high"),)
    assert place_of(amps, Decimal(9), own=plate).results == (("pump-amps", "normal"),)
    assert place_of(amps, Decimal(5), own=plate).results == (("pump-amps", "low"),)


def test_an_unanswered_item_names_the_checks_that_were_not_looked_at():
    item = catalogue().item("splices-look")
    assert checks_of(item) == ("splice-look", "box-look")
    assert catalogue().item("no-such-item") is None
    assert catalogue().number("no-such-number") is None


def test_lids_are_the_last_thing_before_leaving_that_nobody_forgets():
    lids = catalogue().item("leave-lids-screwed")
    assert "every screw in" in lids.name


@pytest.mark.parametrize(
    ("item", "code"),
    [
        ({"id": "a", "name": "A"}, "no_mapping"),
        ({"id": "a", "name": "A", "maps_to": "none"}, "not_a_text"),
        ({"id": "a", "name": "A", "maps_to": "none", "reason": "so", "answer": []}, "unknown_key"),
        ({"id": "a", "name": "A", "answers": [{"grade": "good", "text": "x"}]}, "no_mapping"),
        ({"id": "a", "name": "A", "answers": [{"grade": "fine", "text": "x"}]}, "no_mapping"),
        (
            {"id": "a", "name": "A", "numbers": [{"id": "n", "name": "N", "units": ["V"]}]},
            "no_mapping",
        ),
        ({"id": "a", "name": "A", "numbers": [{"id": "n", "name": "N"}]}, "none_given"),
        (
            {
                "id": "a",
                "name": "A",
                "numbers": [
                    {
                        "id": "n",
                        "name": "N",
                        "units": ["V"],
                        "places": {"below": {"supply-voltage": "low"}, "within": {}, "above": {}},
                    }
                ],
            },
            "no_mapping",
        ),
    ],
)
def test_an_item_without_a_mapping_is_refused(monkeypatch, item, code):
    monkeypatch.setattr(
        readings, "shipped_yaml", lambda *_: json.loads(json.dumps({"work": [item]}))
    )
    with pytest.raises(KnowledgeFault) as caught:
        catalogue.__wrapped__()
    assert caught.value.reason.code == code
