import pytest

from servicedesk.trade.symptoms import phone_keys, symptom_name, symptoms


def test_there_are_24_symptoms_each_with_words_and_an_urgency():
    assert len(symptoms()) == 24
    assert all(s.name and s.caller_says and s.urgency for s in symptoms().values())


def test_ten_keys_leave_no_symptom_without_a_key():
    keys = phone_keys()
    assert [k.key for k in keys] == [1, 2, 3, 4, 5, 6, 7, 8, 9, 0]
    assert {s for k in keys for s in k.symptoms} == set(symptoms())


def test_the_keys_stand_as_they_are_drawn():
    # the drawing of the call form: two rows of five
    assert [k.name for k in phone_keys()] == [
        "Alarm light or horn",
        "Water on the ground",
        "Bad smell",
        "Backs up indoors",
        "No spray",
        "Sprays at odd times",
        "Noise, hum, rattle",
        "Air pump silent",
        "Breaker trips",
        "Lid open or broken",
    ]


@pytest.mark.parametrize("key", phone_keys(), ids=lambda k: k.id)
def test_a_key_with_several_symptoms_asks_a_question_that_settles_which(key):
    assert len(set(key.symptoms)) == len(key.answers)
    assert (key.question is not None) == (len(key.answers) > 1)
    assert len({a.text for a in key.answers}) == len(key.answers)


def test_the_breaker_key_asks_nobody_to_reset_anything():
    (breaker,) = (k for k in phone_keys() if k.key == 9)
    assert "do not reset" in breaker.question.lower()


def test_an_unknown_symptom_keeps_its_own_word():
    assert symptom_name("high-water-alarm") == "High-water alarm"
    assert symptom_name("gurgles") == "gurgles"
