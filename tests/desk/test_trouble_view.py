"""What pages show of a trouble: causes with states, checks put on a visit, digests on sheets."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from servicedesk.desk.alert_evidence import first_check, untested_parts
from servicedesk.desk.alert_lines import alert_lines
from servicedesk.desk.alert_page import alert_lists, alert_page
from servicedesk.desk.alerts import look_for_alerts, put_off
from servicedesk.desk.came_back import came_back
from servicedesk.desk.cases import case_of
from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.morning_alerts import alerts_to_act_on
from servicedesk.desk.put_check import ChecksToDo, put_on_next_visit
from servicedesk.desk.second_opinion_file import write_second_opinion
from servicedesk.desk.sheets import day_papers, day_sheets
from servicedesk.desk.threads import threads_of_site
from servicedesk.desk.trouble_view import trouble_view, view_of
from servicedesk.records import desk_counts
from servicedesk.trade.cautions import caution_texts
from servicedesk.trade.checks import checks
from servicedesk.trouble.opinion import opinion
from servicedesk.trouble.table import table
from servicedesk.values.trouble import Trouble
from tests.builders import (
    TODAY,
    a_call,
    a_round,
    a_site,
    a_system,
    a_technician,
    a_visit,
    something_owed,
)
from tests.desk.test_alerts import a_bad_site, a_fleet
from tests.desk.test_cases import a_callback


@pytest.fixture
def site(file_desk):
    a_fleet(file_desk)
    return a_bad_site(file_desk)


def the_view(desk, site):
    (thread,) = threads_of_site(desk, site.id)
    return trouble_view(desk, thread)


def test_chances_of_all_that_is_shown_add_to_one(file_desk, site):
    view = the_view(file_desk, site)

    shown = sum(one.chance for one in view.causes)
    assert shown + view.others + view.unlisted == pytest.approx(1.0)
    assert [c.chance for c in view.causes] == sorted((c.chance for c in view.causes), reverse=True)
    assert view.base == "chance, from 3 visits + fault knowledge"


def test_states_are_in_words(file_desk, site):
    states = {one.name: one.state for one in the_view(file_desk, site).causes}

    assert states["Alarm splice wet: leakage or short between conductors"] == "never tested"
    # lifted and found right in August 2025 (over a year ago), January and May 2026
    assert states["Alarm float switch stuck closed"] == "ruled out twice"


def test_the_untested_part_s_check_is_the_first_of_those_owed(file_desk, site):
    view = the_view(file_desk, site)
    look_for_alerts(file_desk)
    (line,) = alert_lines(file_desk)

    assert view.untested[0] == line.untested[0]
    assert view.owed_checks[0].name == line.first_check
    owed = view.next_check if view.first_untested is None else view.first_untested
    assert owed.name == line.first_check


def test_it_goes_first_also_where_another_check_would_settle_more(file_desk, site):
    known = knowledge_of(file_desk)
    case = case_of(file_desk, site_id=site.id)
    answer = opinion(case, known)
    turned = replace(answer, never_done=answer.never_done[::-1])
    parts = untested_parts(turned, case, known, table(known))
    begin_with = first_check(turned, parts, known, table(known))
    assert begin_with != turned.never_done[0]

    view = view_of(file_desk, case, turned, known, n_visits=3)

    rest = [check for check in turned.never_done if check != begin_with]
    assert [one.id for one in view.owed_checks] == [begin_with, *rest]


def test_a_call_whose_system_nobody_named_has_no_view(file_desk):
    site = a_site(file_desk)
    a_system(file_desk, site, label="guest house")
    for days_ago in (200, 90):
        a_call(file_desk, site, symptoms=["high-water-alarm"], days_ago=days_ago)

    assert all(trouble_view(file_desk, one) is None for one in threads_of_site(file_desk, site.id))


def test_nothing_to_check_is_said(file_desk, site):
    with pytest.raises(Trouble, match="was made"):
        put_on_next_visit(file_desk, ChecksToDo(site_id=site.id, system_id=None, checks=()))


def test_the_lists_part_what_is_open_from_what_was_put_off(file_desk, site):
    look_for_alerts(file_desk)
    (line,) = alert_lines(file_desk)
    assert len(alerts_to_act_on(file_desk)) == 1
    assert came_back(file_desk).first.detail.line.id == line.id

    put_off(file_desk, line.id, date(2026, 11, 2))

    lists = alert_lists(file_desk)
    assert (lists.open, [one.id for one in lists.put_off]) == ((), [line.id])
    assert alerts_to_act_on(file_desk) == ()
    assert came_back(file_desk).first is None


def test_the_count_of_the_spine_is_that_of_the_list_on_each_day(file_desk, site):
    look_for_alerts(file_desk)
    (line,) = alert_lines(file_desk)
    put_off(file_desk, line.id, date(2026, 11, 2))

    def counted(day):
        with file_desk.store.read() as session:
            return desk_counts.open_alerts(session, day, level="act")

    assert [counted(date(2026, 11, day)) for day in (1, 2, 3)] == [0, 1, 1]
    with file_desk.store.read() as session:
        assert desk_counts.open_alerts(session, date(2026, 11, 2), level="watch") == 0


def test_where_a_call_waits_stands_before_what_is_more_pressing(file_desk, site):
    other = a_bad_site(file_desk, (date(2025, 11, 5), date(2026, 6, 1)))
    look_for_alerts(file_desk)
    first = came_back(file_desk).lines[0].site_id
    waits = site if first == other.id else other
    a_call(file_desk, waits, symptoms=["high-water-alarm"], days_ago=0)

    assert came_back(file_desk).lines[0].site_id == waits.id


def test_the_page_of_an_alert_has_its_thread_and_the_next_visit(file_desk, site):
    look_for_alerts(file_desk)
    round_ = a_round(file_desk, a_technician(file_desk), leave_min=450, home_min=900)
    a_visit(file_desk, site, round_id=round_.id, place=1)
    page = alert_page(file_desk, alert_lines(file_desk)[0].id)

    assert page.thread.span == "3 calls in 9 months"
    assert page.next_visit == "today"
    assert page.view.causes[0].id == page.detail.causes[0].id
    assert page.view.causes[0].chance == page.detail.causes[0].chance


def test_a_second_opinion_lies_beside_the_store(file_desk, site):
    folder, name = write_second_opinion(file_desk, site_id=site.id)

    assert name == "second-opinion-2026-10-14-118-dry-hollow-lane.pdf"
    assert (Path(folder) / name).read_bytes().startswith(b"%PDF-")


# --- on the route sheet


@pytest.fixture
def stop(file_desk, site):
    round_ = a_round(file_desk, a_technician(file_desk), leave_min=450, home_min=900)
    call = a_call(file_desk, site, symptoms=["high-water-alarm"], days_ago=0)

    def put(where=site, call_id=call.id):
        a_visit(
            file_desk, where, round_id=round_.id, place=1, arrive_min=540, begin_min=540,
            leave_min=600, kind_of="callback" if call_id else "inspection",
            job={"call_id": call_id} if call_id else {},
        )  # fmt: skip
        return day_sheets(file_desk, TODAY)[0].stops[0]

    return put


def test_a_stop_of_a_thread_says_what_came_back_and_what_goes_first(file_desk, site, stop):
    found = stop()
    view = the_view(file_desk, site)
    first = view.owed_checks[0]

    assert found.came_back == (
        "It came back: high-water alarm, 4 calls in 14 months. Tried: no fault found 3 times"
    )
    assert found.untested.startswith(f"Never tested here: {view.untested[0]}. First: {first.name}")
    assert first.how in found.untested
    assert view.to_bring[0].name in found.bring
    for caution in caution_texts(checks()[first.id].cautions):
        assert caution in found.cautions


def test_an_inspection_of_such_a_site_says_it_too(stop):
    assert stop(call_id=None).came_back.startswith("It came back: high-water alarm")


def test_a_callback_for_another_trouble_says_nothing_of_this_one(file_desk, site, stop):
    smell = a_call(file_desk, site, symptoms=["odour-inside"], days_ago=0)
    found = stop(call_id=smell.id)

    assert (found.came_back, found.untested) == ("", "")


def test_a_site_that_called_once_has_no_such_lines(file_desk, stop):
    other = a_site(file_desk, "31 Quarry Spur")
    a_callback(file_desk, other, date(2026, 5, 6), job={"fix": "fixed"})
    found = stop(other, None)

    assert (found.came_back, found.untested) == ("", "")


def test_a_part_that_is_owed_and_likely_is_brought_once(file_desk, site, stop):
    part = the_view(file_desk, site).to_bring[0].name
    something_owed(file_desk, site, "splice", needs=f"{part.upper()}, nozzle")
    bring = stop().bring

    assert [one.casefold() for one in bring].count(part.casefold()) == 1
    assert "nozzle" in bring


def test_the_sheet_of_such_a_day_can_be_printed(file_desk, stop):
    stop()
    papers = [p for p in day_papers(file_desk, TODAY) if p.name.endswith(".pdf")]

    assert papers[0].data.startswith(b"%PDF-")
