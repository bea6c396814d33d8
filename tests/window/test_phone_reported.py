"""Ten keys narrow to the 24 symptoms, and a written call finds its keys again."""

import pytest

from servicedesk.trade.symptoms import phone_keys, symptoms
from servicedesk.window.widgets.call_reported import Reported, other_answers


def test_every_symptom_can_be_reached_by_a_key_and_a_letter():
    reached = set()
    for key in phone_keys():
        for at in range(len(key.answers)):
            reported = Reported()
            reported.press(key.key)
            reported.answer(key.key, at)
            reached.update(reported.symptoms)

    assert reached == set(symptoms())


def test_a_key_pressed_twice_is_taken_back():
    reported = Reported()

    assert reported.press(3)
    assert not reported.press(3)
    assert reported.symptoms == ()


def test_until_somebody_asks_the_likeliest_is_taken():
    reported = Reported()
    reported.press(1)

    assert reported.symptoms == ("high-water-alarm",)
    assert reported.answers == {}
    assert reported.asked is not None
    assert reported.asked.key == 1


def test_a_key_without_a_question_asks_nothing():
    reported = Reported()
    reported.press(0)

    assert reported.asked is None
    assert reported.symptoms == ("lid-hazard",)


def test_a_question_can_be_asked_again_before_the_others():
    reported = Reported({1: 2, 8: None})
    reported.reopen(1)

    assert reported.asked is not None
    assert reported.asked.key == 1


def test_the_same_symptom_of_two_keys_counts_once():
    reported = Reported({2: 1, 4: 1})

    assert reported.symptoms == ("water-high-no-alarm",)


@pytest.mark.parametrize("key", [key.key for key in phone_keys()])
def test_what_was_written_comes_back_to_the_same_symptoms(key):
    for at in range(len(next(k for k in phone_keys() if k.key == key).answers)):
        reported = Reported({key: at})
        again = Reported.of(reported.symptoms, reported.answers)
        assert again.symptoms == reported.symptoms
        if reported.answers:
            assert again.answers == reported.answers


def test_a_symptom_that_no_key_means_is_kept():
    again = Reported.of(["high-water-alarm", "an old word"], {})

    assert again.symptoms == ("high-water-alarm", "an old word")


def test_answers_of_others_stay_when_a_call_is_edited():
    kept = other_answers({"alarm": "it comes and goes", "answered how": "plug was out"})

    assert kept == {"answered how": "plug was out"}


def test_there_are_no_other_keys_and_answers():
    reported = Reported()
    with pytest.raises(KeyError):
        reported.press(11)
    with pytest.raises(KeyError):
        reported.answer(1, 0)
