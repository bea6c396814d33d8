"""Why a unit came out: the name of the cause, not its id."""

from servicedesk.words.removed import removed_text

NAMES = {"pump-worn": "Pump worn"}


def test_a_failure_by_a_known_cause_has_its_name():
    assert removed_text("failed: pump-worn", NAMES) == "failed: Pump worn"


def test_what_a_person_wrote_stays():
    for why in ("failed", "failed: by hand", "pump-worn", "site left", ""):
        assert removed_text(why, NAMES) == why
