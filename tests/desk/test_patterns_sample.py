"""On invented companies of several seeds: the seeded bad model and practice stand out clearly.

What else is named is true of the sample too: each component there has a life of its own that
wears out, so old units and the shorter-lived kinds of disinfection fail more often.
"""

import pytest

from servicedesk.desk.office import open_desk
from servicedesk.desk.patterns import owe_pattern, patterns
from servicedesk.desk.sample import make_sample_at
from servicedesk.trade.components import components
from tests.sample_db.made import DAY

SEEDS = (1, 4)  # of 1 to 6 all were looked at once: both seeded patterns clearly above in each


@pytest.fixture(scope="module", params=SEEDS)
def seen(request, tmp_path_factory):
    path = tmp_path_factory.mktemp("sample") / f"{request.param}.store"
    make_sample_at(path, size="small", seed=request.param, day=DAY)
    desk = open_desk(path, today=DAY)
    yield desk, patterns(desk)
    desk.store.close()


def clear(page):
    return {p.title: p for p in page.patterns if p.row.flag == "clearly above"}


def test_the_seeded_model_and_practice_are_clearly_above(seen):
    _, page = seen
    found = clear(page)

    model = found["Air pump: M-40 diaphragm"]
    assert model.row.times.low > 1.4
    assert model.at_equal_age.times.low > 1.5  # not because its units are older
    joints = found["Wire joints: In the tank riser, only taped or in dry connectors"]
    assert joints.row.times.low > 1.8
    assert joints.at_equal_age.times.low > 1.5


def test_nothing_is_named_that_is_not_so_in_the_sample(seen):
    """Models alike by construction, installers and fields are not named."""
    _, page = seen
    true_kinds = {"age", "feed", "place"}  # place: most taped joints are in the tank
    others = [p for p in clear(page).values() if p.kind not in true_kinds]

    assert {p.title for p in others} == {
        "Air pump: M-40 diaphragm",
        "Wire joints: In the tank riser, only taped or in dry connectors",
    }
    ages = [p for p in clear(page).values() if p.kind == "age"]
    assert all(p.group_id in {"2", "3"} for p in ages)  # the old ones, never the young


def test_the_bad_model_lasts_shorter_than_its_peers(seen):
    _, page = seen
    curves = {c.title: c for c in page.curves}
    bad, peer = curves["Air pump: M-40 diaphragm"], curves["Air pump: M-60 diaphragm"]

    assert bad.curve.half_by < peer.curve.half_by
    assert bad.fit.wears_out
    # 8.25 and 16.5 years in the truth of the sample, shape 2.2
    assert bad.fit.scale == pytest.approx(8.25, rel=0.2)
    assert peer.fit.scale == pytest.approx(16.5, rel=0.25)
    assert bad.fit.shape.low < 2.2 < bad.fit.shape.high + 0.5
    assert bad.in_service == tuple(sorted(set(bad.in_service)))


def test_the_pictured_site_is_among_the_first_where_doing_something_pays(seen):
    _, page = seen
    joints = clear(page)["Wire joints: In the tank riser, only taped or in dry connectors"]
    star = [one for one in joints.exposed if one.address == "118 Dry Hollow Lane"]

    assert star
    assert joints.exposed.index(star[0]) < len(joints.exposed) / 10
    assert star[0].never_looked
    assert star[0].saving_minor > 0
    savings = [one.saving_minor for one in joints.exposed]
    assert savings == sorted(savings, reverse=True)


def test_the_page_adds_up(seen):
    _, page = seen

    assert 380 < page.n_systems < 480
    assert page.n_compared == sum(
        row.best is not None for factor in page.factors for row in factor.rows
    )
    for factor in page.factors:
        assert factor.component in {"", *components()}
        years = sum(row.years for row in factor.rows)
        events = sum(row.events for row in factor.rows)
        assert factor.reference == pytest.approx(100 * events / years)
    last = page.mean_calls[-1]
    assert 10 < len(page.mean_calls) <= 60
    assert last.low < last.mean < last.high


def test_it_becomes_owed_work_in_one_change(seen):
    desk, page = seen
    joints = clear(page)["Wire joints: In the tank riser, only taped or in dry connectors"]
    chosen = [one.system_id for one in joints.exposed[:29]]

    changed = owe_pattern(desk, joints, chosen)

    assert len(changed.rows["owed"]) == 29
