"""Repeat alerts of a store: raised once, dealt with by people, open again when it calls again."""

import json
from dataclasses import replace
from datetime import date, timedelta

import pytest

from servicedesk.cli import main
from servicedesk.desk.alert_evidence import untested_parts
from servicedesk.desk.alert_lines import alert_detail, alert_lines
from servicedesk.desk.alert_page import standing_text
from servicedesk.desk.alerts import acknowledge, is_over, look_for_alerts, put_off, set_dial, settle
from servicedesk.desk.alerts_store_cli import alert_text
from servicedesk.desk.checking import StaleEdit, WrongEntry
from servicedesk.desk.morning import morning
from servicedesk.records.alerts import Alert as AlertRecord
from servicedesk.records.calls import Call, Event
from servicedesk.records.owed import Owed
from servicedesk.records.undo import latest_change_id, undo_change
from servicedesk.trade.faults import knowledge
from servicedesk.trouble.case import Case, Found
from servicedesk.trouble.causes import CauseChance
from servicedesk.trouble.opinion import opinion
from servicedesk.trouble.table import table
from servicedesk.values.trouble import Trouble
from tests.builders import a_call, a_contract, a_done_visit, a_site, a_system, a_unit, system_of
from tests.conftest import NOW
from tests.desk.test_cases import a_callback, write

DAYS = (date(2025, 8, 5), date(2026, 1, 7), date(2026, 5, 6))
NO_FAULT = {"no_fault_found": True, "fix": "reset only", "checks_done": ["run-in-hand"]}


def a_fleet(desk, n=6):
    """Sites that never call: without peers nothing is unusual."""
    for number in range(n):
        site = a_site(desk, f"{number} Quiet Lane")
        a_contract(desk, site, from_on=date(2020, 1, 1), until_on=date(2027, 4, 1))


def a_bad_site(desk, days=DAYS, **call):
    """A site whose alarm came back on these days; each visit ran the pump and reset it."""
    site = a_site(desk)
    a_contract(desk, site, from_on=date(2020, 1, 1), until_on=date(2027, 4, 1))
    float_ = a_unit(desk, site, "alarm-float")
    for day in days:
        a_callback(
            desk, site, day, job=NO_FAULT,
            findings=[("run-in-hand", "runs-level-falls", None),
                      ("alarm-float-lift", "right", float_.id)],
            **call,
        )  # fmt: skip
    return site


@pytest.fixture
def bad_site(file_desk):
    a_fleet(file_desk)
    return a_bad_site(file_desk)


def only_line(desk, **which):
    (line,) = alert_lines(desk, **which)
    return line


def test_a_trouble_that_came_back_raises_one_alert_and_the_second_look_none(desk):
    a_fleet(desk)
    site = a_bad_site(desk)

    changed = look_for_alerts(desk)

    assert len(changed.rows["alert"]) == 1
    line = only_line(desk)
    assert (line.site_id, line.symptom, line.level, line.state) == (
        site.id, "high-water-alarm", "act", "open",
    )  # fmt: skip
    assert line.n_calls == 3
    assert line.why.startswith("3 callbacks for high-water alarm in 9 months")
    assert line.about == "about 4 in 5"
    assert look_for_alerts(desk).rows == {}
    undo_change(desk.store, changed.change_id, who="Ines")
    assert alert_lines(desk) == ()


def test_it_points_to_what_was_tried_what_was_never_done_and_what_to_bring(file_desk, bad_site):
    look_for_alerts(file_desk)
    line = only_line(file_desk)

    detail = alert_detail(file_desk, line.id)

    assert [one.on for one in detail.tried] == list(DAYS)
    assert all(one.outcome == "no fault found" for one in detail.tried)
    assert "Lift and drop the alarm float, several times" in detail.tried[0].checks
    assert "Alarm float switch stuck closed" in detail.tried[0].rules_out
    ruled_out = {cause for one in detail.tried for cause in one.rules_out}
    assert "Alarm splice wet: leakage or short between conductors" not in ruled_out
    ids = [check.id for check in detail.never_done]
    assert "splice-look" in ids
    assert not {"run-in-hand", "alarm-float-lift"} & set(ids)
    assert sum(c.chance for c in detail.causes) + detail.unlisted <= 1.000001
    assert detail.to_bring[0].name
    splice = next(check for check in detail.never_done if check.id == "splice-look")
    assert any("lock" in caution.lower() for caution in splice.cautions)
    assert detail.raised_with["never_done"] == ids
    assert line.untested[0] == detail.untested[0] == "Splices and junction box at or in the riser"
    assert detail.first_check in ids
    assert line.first_check == next(c.name for c in detail.never_done if c.id == detail.first_check)
    assert [call[1] for call in detail.calls] == list(DAYS)


def test_one_call_raises_nothing_and_calls_of_a_storm_do_not_count(file_desk):
    a_fleet(file_desk)
    storm = write(file_desk, Event(what="storm", from_at=NOW))
    a_bad_site(file_desk, DAYS[:1])
    other = a_site(file_desk, "2 Storm Lane")
    a_contract(file_desk, other, from_on=date(2020, 1, 1), until_on=date(2027, 4, 1))
    for day in DAYS:
        a_callback(file_desk, other, day, job=NO_FAULT, event_id=storm.id)

    assert look_for_alerts(file_desk).rows == {}


def test_a_trouble_that_has_long_been_quiet_raises_nothing(file_desk):
    a_fleet(file_desk)
    a_bad_site(file_desk, (date(2020, 3, 4), date(2020, 8, 5), date(2020, 12, 2)))

    assert look_for_alerts(file_desk).rows == {}


def test_of_one_site_only_that_one_is_written(file_desk, bad_site):
    other = a_site(file_desk, "2 Other Lane")
    a_contract(file_desk, other, from_on=date(2020, 1, 1), until_on=date(2027, 4, 1))
    for day in DAYS:
        a_callback(file_desk, other, day, symptoms=("air-alarm",), job=NO_FAULT)

    look_for_alerts(file_desk, site_ids=[other.id])

    assert only_line(file_desk).site_id == other.id
    look_for_alerts(file_desk)
    assert len(alert_lines(file_desk)) == 2


def test_looked_at_and_put_off_until_a_day(file_desk, bad_site):
    look_for_alerts(file_desk)
    line = only_line(file_desk)

    acknowledge(file_desk, line.id, seen=line.revision)
    assert only_line(file_desk).state == "seen"
    assert only_line(file_desk).dealt_by == "Ines"
    with pytest.raises(StaleEdit):
        acknowledge(file_desk, line.id, seen=line.revision)
    with pytest.raises(WrongEntry, match="not ahead"):
        put_off(file_desk, line.id, file_desk.today)

    put_off(file_desk, line.id, file_desk.today + timedelta(days=7), why="back from holiday")

    assert only_line(file_desk).state == "put off"
    assert only_line(file_desk).dealt_why == "back from holiday"
    assert look_for_alerts(file_desk).rows == {}
    in_a_week = replace(file_desk, clock=replace(file_desk.clock, fixed_day=date(2026, 10, 21)))
    assert only_line(in_a_week).state == "open"


@pytest.mark.parametrize("judged", ["right", "wrong"])
def test_a_settled_one_that_calls_again_opens_again(file_desk, bad_site, judged):
    look_for_alerts(file_desk)
    line = only_line(file_desk)
    with pytest.raises(WrongEntry, match="how it was settled"):
        settle(file_desk, line.id, " ", judged)

    settle(file_desk, line.id, "splice renewed", judged)

    assert alert_lines(file_desk) == ()
    assert only_line(file_desk, settled=True).judged == judged
    assert look_for_alerts(file_desk).rows == {}
    a_call(file_desk, bad_site, system_id=system_of(file_desk, bad_site).id)

    look_for_alerts(file_desk, site_ids=[bad_site.id])

    again = only_line(file_desk)
    assert (again.id, again.state, again.again, again.judged) == (line.id, "open", True, "")
    assert again.why == "1 more call for high-water alarm since it was settled"
    (before,) = alert_detail(file_desk, again.id).raised_with["before"]
    assert (before["why"], before["judged"]) == ("splice renewed", judged)
    assert look_for_alerts(file_desk).rows == {}


def test_calls_ahead_of_the_day_looked_at_open_nothing(file_desk, bad_site):
    look_for_alerts(file_desk)
    settle(file_desk, only_line(file_desk).id, "New float and sealed splice.", "right")
    ahead = file_desk.today + timedelta(days=40)
    write(file_desk, a_call_at(file_desk, bad_site, ahead))

    look_for_alerts(file_desk)
    assert only_line(file_desk, settled=True).state == "settled"

    then = replace(file_desk, clock=replace(file_desk.clock, fixed_day=ahead))
    look_for_alerts(then)
    assert only_line(then).state == "open"


def a_call_at(desk, site, day):
    """A call for high water on a day, not written yet."""
    return Call(
        called_at=desk.clock.instant(day, 600), site_id=site.id, symptoms=["high-water-alarm"],
        state="open",
    )  # fmt: skip


def test_another_trouble_there_leaves_a_settled_one_settled(file_desk, bad_site):
    look_for_alerts(file_desk)
    settle(file_desk, only_line(file_desk).id, "splice renewed", "right")
    a_call(
        file_desk, bad_site, symptoms=["no-chlorine"], system_id=system_of(file_desk, bad_site).id
    )

    assert look_for_alerts(file_desk).rows == {}
    assert alert_lines(file_desk) == ()


def test_calls_since_it_was_raised_are_told(file_desk, bad_site):
    look_for_alerts(file_desk)
    assert only_line(file_desk).n_since == 0

    a_call(file_desk, bad_site, system_id=system_of(file_desk, bad_site).id)

    assert only_line(file_desk).n_since == 1


def test_a_louder_level_raises_the_one_that_stands(file_desk):
    a_fleet(file_desk, 3)
    site = a_bad_site(file_desk, (date(2024, 3, 6), date(2025, 8, 5)))
    look_for_alerts(file_desk)
    first = only_line(file_desk)
    assert first.level == "watch"
    acknowledge(file_desk, first.id)
    a_callback(file_desk, site, date(2026, 8, 5), job=NO_FAULT)
    a_callback(file_desk, site, date(2026, 9, 23), job=NO_FAULT)

    look_for_alerts(file_desk)

    louder = only_line(file_desk)
    assert (louder.id, louder.level, louder.state) == (first.id, "act", "open")


def test_the_dial_moves_what_is_raised(file_desk):
    a_fleet(file_desk, 3)
    a_bad_site(file_desk, (date(2024, 3, 6), date(2025, 9, 3)))
    raised = {}
    for dial in (-1, 0, 1):
        set_dial(file_desk, dial)
        changed = look_for_alerts(file_desk)
        raised[dial] = len(changed.rows.get("alert", ()))
        if raised[dial]:
            undo_change(file_desk.store, changed.change_id, who="Ines")
    assert raised[-1] <= raised[0] <= raised[1]
    assert raised[-1] < raised[1]
    with pytest.raises(ValueError, match="dial"):
        set_dial(file_desk, 2)


def test_a_site_with_two_systems_where_nobody_said_which(file_desk):
    a_fleet(file_desk)
    site = a_bad_site(file_desk, ())
    a_system(file_desk, site, label="guest house")
    for day in DAYS:
        at = file_desk.clock.instant(day, 600)
        a_call(file_desk, site, called_at=at, state="answered")

    look_for_alerts(file_desk)

    line = only_line(file_desk)
    assert (line.site_id, line.system_id) == (site.id, None)
    assert line.n_calls == 3
    assert alert_detail(file_desk, line.id).causes == ()
    settle(file_desk, line.id, "which system was cleared up", "right")
    a_call(file_desk, site)
    look_for_alerts(file_desk)
    assert only_line(file_desk).again


def test_an_alert_that_is_not_there(file_desk):
    with pytest.raises(Trouble, match="not in the store any more"):
        alert_detail(file_desk, 7)
    with pytest.raises(ValueError, match="none of"):
        settle(file_desk, 7, "x", "perhaps")


def test_the_morning_raises_them_once_and_says_so(file_desk, bad_site):
    report = morning(file_desk, file_desk.today)

    (told,) = [warned for warned in report.warnings if warned.kind == "alert"]
    assert told.site_id == bad_site.id
    assert "1 site calls again and again: 118 Dry Hollow Lane, 3 callbacks" in told.text
    assert "Never tested there: " in told.text
    with file_desk.store.read() as session:
        before = latest_change_id(session)
    assert morning(file_desk, file_desk.today) == report
    with file_desk.store.read() as session:
        assert latest_change_id(session) == before
    acknowledge(file_desk, only_line(file_desk).id)
    again = morning(file_desk, file_desk.today)
    assert not [warned for warned in again.warnings if warned.kind == "alert"]


def test_another_day_is_planned_without_raising_alerts(file_desk, bad_site):
    morning(file_desk, file_desk.today + timedelta(days=1))

    assert alert_lines(file_desk) == ()


def detail_after(desk, *findings):
    """The alert's detail where the last visit found these as well."""
    a_fleet(desk)
    site = a_bad_site(desk, DAYS[:2])
    a_callback(desk, site, DAYS[2], job=NO_FAULT, findings=[(*one, None) for one in findings])
    look_for_alerts(desk)
    return alert_detail(desk, only_line(desk).id)


WET_SPLICE = "Alarm splice wet: leakage or short between conductors"
AT_THE_SPLICE = "Splices and junction box at or in the riser"


def test_what_speaks_for_a_cause_does_not_rule_it_out(file_desk):
    detail = detail_after(file_desk, ("run-line-insulation", "leakage"))

    assert WET_SPLICE not in detail.tried[-1].rules_out


def test_a_part_that_was_tested_is_not_named_as_never_tested(file_desk):
    detail = detail_after(
        file_desk, ("splice-look", "dry-sealed"), ("run-line-insulation", "clear"),
        ("alarm-float-ohms-at-panel", "open"), ("box-look", "dry"),
        ("splice-remade-test", "no-change"), ("run-line-continuity", "passes"),
    )  # fmt: skip

    assert WET_SPLICE in detail.tried[-1].rules_out
    assert AT_THE_SPLICE not in detail.untested


@pytest.mark.parametrize(("known_by", "n"), [("a direct check", 0), ("presumed", 1)])
def test_a_repaired_root_cause_wipes_what_called_before_it(file_desk, known_by, n):
    a_fleet(file_desk)
    site = a_bad_site(file_desk, DAYS[:1])
    repaired = {"cause_id": "splice-shorted-alarm", "cause_known_by": known_by, "fix": "fixed"}
    a_callback(file_desk, site, date(2026, 1, 7), job=repaired)
    a_callback(file_desk, site, date(2026, 9, 16), job=NO_FAULT)

    look_for_alerts(file_desk)

    assert sum(line.level == "act" for line in alert_lines(file_desk)) == n


PUMP = {"cause_id": "pump-jammed", "cause_known_by": "a direct check", "fix": "fixed"}


def test_what_an_inspection_mended_by_the_way_does_not_wipe_what_called_before_it(file_desk):
    a_fleet(file_desk)
    site = a_bad_site(file_desk)
    a_done_visit(file_desk, site, date(2026, 3, 16), job=PUMP)

    look_for_alerts(file_desk)

    line = only_line(file_desk)
    assert (line.level, line.n_calls) == ("act", 3)
    assert line.watching_since is None


@pytest.mark.parametrize(("kind", "n"), [("owed", 0), ("inspection", 1)])
def test_what_was_patched_at_a_call_and_mended_as_owed_work_answers_it(file_desk, kind, n):
    a_fleet(file_desk)
    site = a_bad_site(file_desk, DAYS[:1])
    patched = {**PUMP, "fix": "patched"}
    _, visit = a_callback(file_desk, site, date(2026, 1, 7), job=patched)
    owed = Owed(
        site_id=site.id, system_id=system_of(file_desk, site).id, visit_id=visit.id,
        since_on=date(2026, 1, 7), what="New pump",
    )  # fmt: skip
    owed = write(file_desk, owed)
    settled = {**PUMP, "owed_id": owed.id if kind == "owed" else None}
    a_done_visit(file_desk, site, date(2026, 2, 3), kind_of=kind, job=settled)
    a_callback(file_desk, site, date(2026, 9, 16), job=NO_FAULT)

    look_for_alerts(file_desk)

    assert sum(line.level == "act" for line in alert_lines(file_desk)) == n


def test_for_a_year_from_the_repair_of_its_root_cause_it_is_watched(file_desk, bad_site):
    look_for_alerts(file_desk)
    assert only_line(file_desk).watching_since is None
    settle(file_desk, only_line(file_desk).id, "New float and sealed splice.", "right")
    repaired = {
        "cause_id": "splice-shorted-alarm",
        "cause_known_by": "a direct check",
        "fix": "fixed",
    }
    day = file_desk.today - timedelta(days=7)
    a_callback(file_desk, bad_site, day, job=repaired)
    with file_desk.store.read() as session:
        changed = latest_change_id(session)

    def since(on):
        then = replace(file_desk, clock=replace(file_desk.clock, fixed_day=on))
        return only_line(then, settled=True).watching_since

    assert since(day - timedelta(days=1)) is None  # nobody knew of it
    assert since(file_desk.today) == day
    # 12 months: checks/statistics.md, section 1, "Recommended: change odds"
    assert since(day.replace(year=day.year + 1) - timedelta(days=1)) == day
    assert since(day.replace(year=day.year + 1)) is None

    told = standing_text(file_desk, only_line(file_desk, settled=True))
    assert told.endswith("root cause repaired, watching since Oct 7")

    undo_change(file_desk.store, changed, who="Ines")
    assert since(file_desk.today) is None


def test_a_part_is_untested_only_if_all_that_speaks_for_its_cause_is_owed():
    case, facts = Case(symptoms=("high-water-alarm",)), table(knowledge())
    causes = (CauseChance("pump-jammed", 0.5), CauseChance("splice-shorted-alarm", 0.4))
    owed = tuple(facts.direct["pump-jammed"])
    answer = replace(opinion(case, knowledge()), causes=causes, never_done=owed)

    assert untested_parts(answer, case, knowledge(), facts) == ("effluent-pump",)

    both = replace(answer, never_done=(*owed, *facts.direct["splice-shorted-alarm"]))
    assert untested_parts(both, case, knowledge(), facts) == ("effluent-pump", "splices-box")
    # something was looked at on the pump: the splice is suspected more
    looked = replace(case, found=(Found("pump-amps", "low"),))
    assert untested_parts(both, looked, knowledge(), facts) == ("splices-box", "effluent-pump")


def test_a_day_that_is_over_is_looked_at_and_nothing_is_written(desk, capsys):
    """What would be raised then would be told as known then and rest on what came later."""
    a_fleet(desk)
    a_bad_site(desk)
    then = replace(desk, clock=replace(desk.clock, fixed_day=DAYS[1] + timedelta(days=3)))
    assert is_over(then)

    assert look_for_alerts(then).rows == {}
    where = ["--store", str(desk.store.place), "--today", then.today.isoformat()]
    assert main(["alerts", *where]) == 0
    told = capsys.readouterr().out
    assert told.startswith("The store knows of more after Jan 10, 2026: nothing is raised anew")
    assert main(["alerts", *where, "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"format": 1, "looked_back": True, "alerts": []}
    with desk.store.read() as session:
        assert session.query(AlertRecord).count() == 0

    assert not is_over(desk)
    assert look_for_alerts(desk).rows["alert"]
    assert main(["alerts", *where, "--json"]) == 0  # raised later than that day
    assert json.loads(capsys.readouterr().out)["alerts"] == []


def test_the_shell_carries_the_whole_evidence_and_what_the_fleet_says(file_desk, bad_site, capsys):
    where = ["--store", str(file_desk.store.place), "--today", file_desk.today.isoformat()]
    assert main(["alerts", *where, "--json"]) == 1
    (told,) = json.loads(capsys.readouterr().out)["alerts"]
    assert told["never_done"][0]["cautions"]
    assert sum(one["chance"] for one in told["causes"]) + told["unlisted"] <= 1.000001
    assert [one["on"] for one in told["tried"]] == [day.isoformat() for day in DAYS]
    assert told["raised_with"]["causes"]
    assert told["next_checks"]

    pattern = {"title": "Alarm float: F-9", "component": "alarm-float", "flag": "clearly above",
               "times": 3.1, "low": 1.9, "high": 5.0}  # fmt: skip
    detail = alert_detail(file_desk, told["id"])
    lines = alert_text(file_desk, replace(detail, fleet=(pattern, {**pattern, "flag": "maybe"})))
    assert [one for one in lines if "as often" in one] == [
        (
            "    Alarm float: F-9: 3.1 times as often as all others (1.9 to 5.0); "
            "they go together, no proof"
        )
    ]
