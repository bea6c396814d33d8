"""What is asked first on the phone. The questions are usual caution: common practice, no source."""

import pytest

from servicedesk.trade.phone_dangers import CANNOT_TELL, dangers, first_said, stands, unsure
from servicedesk.trade.say_this_now import say_this_now


def test_people_come_before_sewage_and_sewage_before_lids():
    assert [one.id for one in dangers()] == ["somebody-down", "sewage-inside", "lid-open"]


def test_every_danger_has_sentences_to_be_read_aloud():
    ids = {one.id for one in say_this_now("911")}

    for one in dangers():
        assert one.says
        assert set(one.says) <= ids


@pytest.mark.parametrize("danger", [one.id for one in dangers()])
def test_only_a_yes_makes_a_danger_stand(danger):
    assert stands({danger: "yes"}, ()) == (danger,)
    assert stands({danger: "no"}, ()) == ()
    assert stands({danger: CANNOT_TELL}, ()) == ()
    assert unsure({danger: CANNOT_TELL}) == (danger,)


def test_a_lid_reported_as_symptom_is_a_danger_without_being_asked():
    assert stands({}, ["lid-hazard"]) == ("lid-open",)


def test_the_call_for_help_is_said_first_where_somebody_is_down():
    first = first_said({"somebody-down": "yes", "sewage-inside": "yes"}, ())

    assert first[0] == "somebody-down"
    assert "sewage-indoors" in first
    assert len(first) == len(set(first))


def test_a_caller_who_cannot_tell_hears_the_sentence_first_too():
    assert first_said({"lid-open": CANNOT_TELL}, ())[0] == "off-the-lids"
    assert first_said({"lid-open": "no"}, ()) == ()
