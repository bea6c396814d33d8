"""What a caller is told first. The sentences are usual caution: common practice, no source."""

import pytest

from servicedesk.trade.say_this_now import say_this_now


def text(caution_id, phone="911"):
    return {one.id: one.text for one in say_this_now(phone)}[caution_id]


@pytest.mark.parametrize(
    ("caution_id", "words"),
    [
        ("off-the-lids", ("everybody", "children", "off the tank lids", "out of the wet area")),
        ("little-water", ("as little water as possible", "backs up", "use none")),
        ("no-reset", ("Do not reset a breaker", "do not open the panel")),
        ("no-tablets", ("Do not touch the chlorine tablets",)),
        ("sewage-indoors", ("health risk", "out of it")),
        ("somebody-down", ("call 911 at once", "Never go in after them")),
    ],
)
def test_each_warning_is_said_in_full(caution_id, words):
    for part in words:
        assert part in text(caution_id)


def test_the_first_thing_said_keeps_people_off_the_lids_and_the_last_calls_for_help():
    ids = [one.id for one in say_this_now("911")]
    assert (ids[0], ids[-1]) == ("off-the-lids", "somebody-down")
    assert len(ids) == len(set(ids)) == 6


def test_the_company_s_own_number_is_named_and_none_is_refused():
    assert "call 112 at once" in text("somebody-down", " 112 ")
    assert not any("{" in one.text for one in say_this_now("112"))
    with pytest.raises(ValueError, match="phone number"):
        say_this_now(" ")
