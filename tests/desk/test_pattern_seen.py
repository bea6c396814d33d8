"""Patterns as a page shows them: told in sentences, what is owed, what was tried, and on paper."""

from dataclasses import replace
from datetime import date, timedelta
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pytest
from openpyxl import load_workbook

from servicedesk.desk.changes import undo
from servicedesk.desk.pattern_money import write_pattern_costs
from servicedesk.desk.pattern_papers import (
    wall_paper,
    write_pattern_sheet,
    write_pattern_wall,
)
from servicedesk.desk.pattern_seen import (
    Tried,
    chosen_at_first,
    key_of,
    owing_of,
    patterns_seen,
    tried_in_vain,
)
from servicedesk.desk.pattern_shown import (
    age_section,
    ids_of,
    plots_of,
    row_key,
    sections_of,
    times_of,
)
from servicedesk.desk.pattern_told import about, told, told_row
from servicedesk.desk.patterns import owe_pattern, patterns
from servicedesk.papers.fonts import width_of
from servicedesk.records.equipment import Unit
from servicedesk.records.sites import Site
from servicedesk.values.money import Money
from servicedesk.values.shapes import TextBox
from servicedesk.words.formats import Formats
from tests.builders import TODAY
from tests.desk.test_patterns import a_callback, a_fleet
from tests.papers.test_pattern_figures import overlapping


def a_fleet_with_joints(desk):
    """Every taped joint in a tank failed once; one site called four times more."""
    a_fleet(desk)
    with desk.store.read() as session:
        sites = {s.address: s for s in session.query(Site)}
    for i in range(12):
        a_callback(desk, sites[f"{i + 1} Test Lane"], date(2021, 2, 1) + timedelta(days=50 * i),
                   cause_id="splice-shorted-alarm")  # fmt: skip
    for days in (500, 350, 200, 60):
        a_callback(desk, sites["7 Test Lane"], TODAY - timedelta(days=days), cause_id=None,
                   no_fault_found=True, fix="reset only")  # fmt: skip
    write_pattern_costs(desk, hour=Money(6000, "USD"), call=Money(10000, "USD"), years=3)


def the_pattern(seen, kind="model"):
    return next(one for one in seen.page.patterns if one.kind == kind)


def test_a_pattern_waits_until_its_work_is_owed_and_waits_again_after_undo(desk):
    a_fleet(desk)
    seen = patterns_seen(desk)
    waiting = seen.n_waiting
    pattern = the_pattern(seen)

    owe_pattern(desk, pattern, [pattern.exposed[0].system_id])
    after = replace(seen, owing=owing_of(desk, seen.page))
    undo(desk)
    back = replace(seen, owing=owing_of(desk, seen.page))

    assert waiting >= 1
    assert after.n_waiting == waiting - 1
    assert after.owing[key_of(pattern)] == {pattern.exposed[0].system_id}
    assert back.n_waiting == waiting


def test_chosen_at_first_is_what_pays_and_does_not_owe_it(desk):
    a_fleet(desk)
    pattern = the_pattern(patterns_seen(desk))
    one, two, three = (e.system_id for e in pattern.exposed[:3])
    exposed = tuple(
        replace(e, saving_minor=sum_)
        for e, sum_ in zip(pattern.exposed[:3], (900, 90, 3), strict=True)
    )
    pattern = replace(pattern, exposed=exposed, saving_minor=990, do_minor=100)

    # 5 % of what the work costs is the least worth it: 3 of 100 is not
    assert chosen_at_first(pattern, frozenset()) == {one, two}
    assert chosen_at_first(pattern, frozenset({one})) == {two}
    called = replace(pattern, saving_minor=None, exposed=(
        replace(exposed[0], n_calls=1), replace(exposed[1], n_calls=2), exposed[2]
    ))  # fmt: skip
    assert two in chosen_at_first(called, frozenset())
    assert one not in chosen_at_first(called, frozenset())
    assert three is not None


def test_a_swap_of_something_else_followed_by_a_call_was_in_vain(desk):
    """Floats changed three times at the site that called 500, 350, 200 and 60 days ago.

    1,200 days ago: the next call came much later. 520: a call within half a year. 40: none since.
    """
    a_fleet_with_joints(desk)
    pattern = the_pattern(patterns_seen(desk), "practice")
    one = pattern.exposed[0]
    before = tried_in_vain(desk)[key_of(pattern)]
    days = [TODAY - timedelta(days=n) for n in (1500, 1200, 520, 40)]
    with desk.store.change(desk.who, "Wrote swaps") as work:
        common = {"system_id": one.system_id, "component": "alarm-float"}
        for begin, end in pairwise([*days, None]):
            work.add(Unit(installed_on=begin, removed_on=end, **common))

    tried = tried_in_vain(desk)[key_of(pattern)]

    assert one.address == "7 Test Lane"
    assert dict(tried.by_component)["alarm-float"] == 3
    assert tried.n == before.n + 3
    assert tried.n_vain == before.n_vain + 1


def test_the_four_sentences_say_how_much_how_sure_what_was_tried_and_what_it_costs(desk):
    a_fleet_with_joints(desk)
    seen = patterns_seen(desk)
    pattern = the_pattern(seen, "practice")
    said = told(desk, seen.page, pattern, Tried((("alarm-float", 3), ("control-panel", 1)), 2))

    f = desk.formats
    assert f.number(round(pattern.row.times.best, 1)) in said.much
    assert "times as often as all others" in said.much
    assert "about one such flag in ten is chance" in said.sure
    assert "that one causes the other is not shown" in said.sure
    assert "changed there 4 times (alarm float 3, control panel 1)" in said.tried
    assert "after 2 of these the next call came within half a year" in said.tried
    assert f"it pays at {pattern.n_worth} system" in said.worth
    assert about(desk, pattern.saving_minor) in said.worth
    assert "within 3 years" in said.worth
    assert said.cautions == pattern.cautions


def test_a_row_that_does_not_stand_out_claims_nothing(desk):
    a_fleet(desk)
    page = patterns(desk)
    factor = next(one for one in page.factors if one.kind == "model")
    plain = next(row for row in factor.rows if row.label == "Good")
    ordinary = replace(plain, flag="", reasons=())

    assert told_row(desk, factor, plain).much == "Too few to say: 2 seen, 5 are needed."
    assert told_row(desk, factor, ordinary).much == ""
    assert "no claim is made" in told_row(desk, factor, ordinary).sure
    assert told_row(desk, factor, ordinary).worth == ""


def test_sums_are_told_near_enough(desk):
    assert about(desk, 26571) == "$266"
    assert about(desk, -2741) == "−$27"
    assert about(desk, 1263) == "$12.63"


def test_what_stands_out_comes_first_and_the_rest_on_request(desk):
    a_fleet(desk)
    page = patterns(desk)

    some = sections_of(page, Formats("en_US"), everything=False)
    every = sections_of(page, Formats("en_US"), everything=True)

    n_some, n_every = (sum(len(s.factors) for s in shown) for shown in (some, every))
    assert n_some == len({one.factor_id for one in page.patterns})
    assert n_every == len(page.factors)
    assert not sections_of(replace(page, patterns=()), Formats("en_US"), everything=False)
    assert {row.look for row in some[0].factors[0].rows} >= {"clear"}
    key = some[0].rows[0].key
    assert row_key(*ids_of(key)) == key


def test_curves_of_a_group_begin_with_its_own_and_say_why_not_early(desk):
    a_fleet(desk, bad=20, good=30)
    page = patterns(desk)
    pattern = next(one for one in page.patterns if one.kind == "model")
    factor = next(one for one in page.factors if one.id == pattern.factor_id)

    plots = plots_of(page, factor, pattern.group_id, Formats("en_US"))

    assert plots[0].key == row_key(pattern.factor_id, pattern.group_id)
    assert plots[0].note.startswith(("Not early:", "Replace early at"))
    assert times_of(pattern, Formats("en_US"))[0].label == "as seen"
    assert all(
        s.factors[0].title.endswith("by age") for s in age_section(page, pattern, Formats("en_US"))
    )


def test_the_paper_for_the_wall_holds_every_caution_and_nothing_overlaps(desk):
    from servicedesk.papers import pattern_wall

    a_fleet(desk)
    page = patterns(desk)
    pages = []
    original = pattern_wall.wall_pages

    def caught(wall, size="letter"):
        pages.extend(original(wall, size))
        return original(wall, size)

    pattern_wall.wall_pages = caught
    try:
        first = wall_paper(desk, page)
        assert first == wall_paper(desk, page)
    finally:
        pattern_wall.wall_pages = original

    words = " ".join(s.text for shapes in pages for s in shapes if isinstance(s, TextBox))
    clear = [one for one in page.patterns if one.row.flag == "clearly above"]
    assert clear
    assert all(caution in words for one in clear for caution in one.cautions)
    assert [overlapping(shapes) for shapes in pages] == [[]] * len(pages)
    assert all(s.bounds.right <= 612 for shapes in pages for s in shapes)
    assert width_of("x", pattern_wall.TEXT) > 0


def test_sheet_and_paper_lie_beside_the_store(desk, tmp_path):
    a_fleet(desk)
    page = patterns(desk)
    if "://" in str(desk.store.place):
        pytest.skip("papers of a store on a server lie in the person's data folder")

    folder, name = write_pattern_sheet(desk, page, everything=True)
    _, paper = write_pattern_wall(desk, page)

    assert Path(folder, paper).read_bytes().startswith(b"%PDF")
    book = load_workbook(BytesIO(Path(folder, name).read_bytes()))
    groups = book.worksheets[0]
    assert groups.max_row == 1 + sum(len(one.rows) for one in page.factors)
    assert book.worksheets[1].max_row == 1 + sum(len(one.exposed) for one in page.patterns)


def test_own_figures_change_what_it_saves(desk):
    a_fleet(desk)
    write_pattern_costs(desk, hour=Money(10_000, "USD"), call=Money(50_000, "USD"))

    pattern = the_pattern(patterns_seen(desk))

    assert pattern.call_minor == 50_000
