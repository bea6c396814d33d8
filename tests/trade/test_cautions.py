import pytest

from servicedesk.trade.cautions import (
    caution_texts,
    cautions,
    cautions_for_jobs,
    job_cautions,
    standing_cautions,
)

JOBS = [
    "inspection",
    "callback",
    "owed",
    "repair",
    "installation",
    "start-up",
    "pump-out",
    "sale",
    "estimate",
]


def text(caution_id):
    return cautions()[caution_id].text


def test_nobody_enters_a_tank_stands_on_every_sheet():
    assert any("Never put your body into a tank" in one for one in standing_cautions())
    for caution_id in ("no-entry", "open-riser-fall", "lockout", "licensed-work", "pathogens"):
        assert text(caution_id) in standing_cautions()


def test_cautions_are_given_whole():
    for kind in JOBS:
        assert set(cautions_for_jobs([kind])) <= {c.text for c in cautions().values()}


@pytest.mark.parametrize("kind", JOBS)
def test_every_kind_of_job_has_its_cautions(kind):
    assert cautions_for_jobs([kind])
    assert kind in job_cautions()


def test_work_of_any_kind_gets_all_cautions_there_are():
    everything = set(standing_cautions()) | set(cautions_for_jobs(["owed"]))
    assert everything == {c.text for c in cautions().values()}


def test_two_jobs_at_a_stop_share_a_list_without_doubles():
    both = cautions_for_jobs(["inspection", "callback"])
    assert len(both) == len(set(both))
    assert set(both) == set(cautions_for_jobs(["inspection"])) | set(
        cautions_for_jobs(["callback"])
    )


def test_a_kind_of_job_nobody_knows_gets_the_fullest_list():
    assert cautions_for_jobs(["something new"]) == cautions_for_jobs(["repair"])


def test_chlorine_names_what_must_never_meet():
    chlorine = text("chlorine-handling")
    assert "Never mix" in chlorine
    assert "pool tablets" in chlorine


def test_texts_come_in_the_order_of_the_file():
    ids = list(cautions())
    assert caution_texts([ids[3], ids[0]]) == (text(ids[0]), text(ids[3]))


def test_what_stands_on_every_sheet_is_not_repeated_at_the_job():
    assert not set(standing_cautions()) & set(cautions_for_jobs(["repair", "inspection"]))
