"""Equal size, seed and day give equal rows."""

from datetime import date

from sample_db.make import make
from sample_db.osm import osm_lines
from tests.sample_db.made import DAY, sixty


def test_equal_seed_and_day_give_equal_rows_uids_and_truth_included():
    rows, truth, world = sixty()
    again, truth_again, world_again = make("sixty", 1, DAY)
    assert rows == again
    assert truth.to_json() == truth_again.to_json()
    assert list(osm_lines(world)) == list(osm_lines(world_again))


def test_another_seed_gives_other_people_and_other_uids():
    rows, other = sixty()[0], make("sixty", 2, DAY)[0]
    assert [c["name"] for c in rows["customer"]] != [c["name"] for c in other["customer"]]
    assert not {v["uid"] for v in rows["visit"]} & {v["uid"] for v in other["visit"]}


def test_another_day_moves_the_history_along():
    later = make("sixty", 1, date(2027, 3, 1))[0]
    last = max(v["planned_on"] for v in later["visit"] if v["state"] == "done")
    assert date(2027, 2, 1) < last < date(2027, 3, 1)


def test_every_uid_is_there_once():
    rows = sixty()[0]
    for table, some in rows.items():
        if "uid" in some[0]:
            uids = [row["uid"] for row in some]
            assert len(set(uids)) == len(uids), table
            assert all(len(uid) == 32 for uid in uids), table
