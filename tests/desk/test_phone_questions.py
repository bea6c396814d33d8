"""What is asked on the phone: danger first, then by what an answer tells for its time.

The order is that of the fault knowledge (trade judgment, no published source); what is checked here
is that the questions are the phone's own, in falling order of bits for the minute, and that each
answer is said with the chances that `trouble.causes` gives.
"""

from datetime import date

import pytest

from servicedesk.desk.changes import undo
from servicedesk.desk.intake import CallDraft, write_call
from servicedesk.desk.learned import learned
from servicedesk.desk.phone_page import written_call
from servicedesk.desk.phone_questions import (
    Reports,
    danger_questions,
    phone_sheet,
    phone_sheet_of_call,
)
from servicedesk.records.calls import Call
from servicedesk.records.visits import Finding
from servicedesk.trade.faults import knowledge
from servicedesk.trade.symptoms import symptoms
from servicedesk.trouble.case import Case, Found
from servicedesk.trouble.causes import rank
from tests.builders import a_call, a_site, a_system
from tests.desk.test_cases import a_callback

ALARM = ("high-water-alarm",)


def findings(desk):
    with desk.store.read() as session:
        rows = session.query(Finding).order_by(Finding.id).all()
        return [(row.call_id, row.check_id, row.result_id) for row in rows]


def test_every_danger_is_answered_by_yes_no_and_cannot_tell():
    for one in danger_questions():
        assert one.is_danger
        assert [answer.key for answer in one.answers] == ["Y", "N", "X"]


@pytest.mark.parametrize("symptom", list(symptoms()))
def test_only_the_phone_s_own_checks_are_asked_and_none_that_restates(file_desk, symptom):
    sheet = phone_sheet(file_desk, Reports(symptoms=(symptom,)))

    known = knowledge()
    for one in sheet.questions:
        assert known.checks[one.id].where == "phone"
        assert one.id not in known.symptoms[symptom].restates
        keys = [answer.key for answer in one.answers]
        assert len(keys) == len(set(keys))
        assert keys[-1] == "X"


def test_nothing_reported_asks_nothing(file_desk):
    assert phone_sheet(file_desk, Reports()).questions == ()
    assert phone_sheet(file_desk, Reports(symptoms=("an old own word",))).questions == ()


def test_an_answer_says_the_cause_it_moved_most_and_is_not_asked_again(file_desk):
    reports = Reports(symptoms=ALARM, findings={"ask-recent-rain": "heavy"})

    sheet = phone_sheet(file_desk, reports)

    known = knowledge()
    before = rank(Case(symptoms=ALARM), known)
    after = rank(Case(symptoms=ALARM, found=(Found("ask-recent-rain", "heavy"),)), known)
    causes = known.causes_of[ALARM[0]].weights
    most = max(causes, key=lambda one: abs(after.chance(one) - before.chance(one)))
    said = sheet.changed["ask-recent-rain"]
    assert said.startswith(known.causes[most].name)
    assert said.endswith(
        f"{round(100 * before.chance(most))} to {round(100 * after.chance(most))}%"
    )
    assert "ask-recent-rain" not in [one.id for one in sheet.questions]
    assert sheet.answered["ask-recent-rain"].text_of("heavy") == "Heavy rain"


def test_each_answer_is_measured_from_the_one_before(file_desk):
    both = {"ask-recent-rain": "heavy", "ask-power-event": "yes"}
    turned = dict(reversed(both.items()))

    one, other = (
        phone_sheet(file_desk, Reports(symptoms=ALARM, findings=f)).changed for f in (both, turned)
    )

    assert set(one) == set(other) == set(both)
    assert one != other  # the same answers, told from other chances


def test_cannot_tell_changes_nothing_and_is_not_asked_again(file_desk):
    open_one = phone_sheet(file_desk, Reports(symptoms=ALARM)).questions[0].id

    sheet = phone_sheet(file_desk, Reports(symptoms=ALARM, findings={open_one: None}))

    assert sheet.changed == {}
    assert open_one not in [one.id for one in sheet.questions]


def test_a_site_of_several_systems_and_a_caller_in_no_book_are_asked_all_the_same(desk):
    site = a_site(desk)
    a_system(desk, site)
    reports = Reports(symptoms=ALARM)

    anybody = phone_sheet_of_call(desk, reports)

    assert anybody.questions
    assert phone_sheet_of_call(desk, reports, site_id=site.id).questions == anybody.questions


def test_what_an_open_call_told_yesterday_is_not_asked_again(desk):
    site = a_site(desk)
    call = a_call(desk, site, days_ago=1)
    asked = [
        one.id
        for one in phone_sheet_of_call(desk, Reports(symptoms=ALARM), site_id=site.id).questions
    ]
    with desk.store.change(desk.who, "Asked") as work:
        work.add(
            Finding(call_id=call.id, check_id=asked[0], result_id="steady", found_at=call.called_at)
        )

    again = phone_sheet_of_call(desk, Reports(symptoms=ALARM), site_id=site.id)
    edited = phone_sheet_of_call(desk, Reports(symptoms=ALARM), site_id=site.id, call_id=call.id)

    assert asked[0] == "ask-alarm-pattern"
    assert asked[0] not in [one.id for one in again.questions]
    assert asked[0] in [one.id for one in edited.questions]  # the answer was taken back on the page


# --- kept as findings, in the change of the call


def test_answers_are_findings_of_the_call_in_one_change_and_go_with_its_undo(desk):
    site = a_site(desk)
    said = {"ask-recent-rain": "heavy", "ask-water-use": None}
    changed = write_call(desk, CallDraft(site_id=site.id, symptoms=ALARM, findings=said))

    (call_id,) = changed.rows["call"]
    assert findings(desk) == [
        (call_id, "ask-recent-rain", "heavy"),
        (call_id, "ask-water-use", None),
    ]
    assert {"call", "finding"} <= set(changed.rows)
    undo(desk, changed.change_id)
    assert findings(desk) == []


def test_an_answer_is_mended_or_taken_back_on_the_written_call(desk):
    said = {"ask-recent-rain": "heavy", "ask-water-use": "heavy"}
    changed = write_call(desk, CallDraft(caller="Zed", symptoms=ALARM, findings=said))
    (call_id,) = changed.rows["call"]
    page = written_call(desk, call_id)
    assert page.draft.findings == said

    mended = CallDraft(
        uid=page.draft.uid, call_id=call_id, caller="Zed", symptoms=ALARM,
        findings={"ask-recent-rain": "little"},
    )  # fmt: skip
    write_call(desk, mended, seen=page.revision)

    assert written_call(desk, call_id).draft.findings == {
        "ask-recent-rain": "little",
        "ask-water-use": None,
    }


@pytest.mark.parametrize(
    ("check", "result", "says"),
    [
        ("ask-recent-rain", "purple", "'purple' is no result"),
        ("pump-amps", "low", "'pump-amps' is no check that is asked on the phone"),
        ("no-such-check", None, "'no-such-check' is no check"),
    ],
)
def test_only_results_of_the_phone_s_checks_are_written(file_desk, check, result, says):
    with pytest.raises(ValueError, match=says):
        write_call(file_desk, CallDraft(caller="Zed", findings={check: result}))
    assert findings(file_desk) == []


@pytest.mark.parametrize(
    ("said", "priority"),
    [
        ({"somebody-down": "yes"}, "danger"),
        ({"sewage-inside": "yes", "lid-open": "no"}, "danger"),
        ({"lid-open": "cannot tell"}, "urgent"),
        ({"somebody-down": "no", "sewage-inside": "no", "lid-open": "no"}, "normal"),
    ],
)
def test_an_answer_about_danger_decides_how_pressing_it_is(desk, said, priority):
    write_call(desk, CallDraft(caller="Zed", symptoms=("no-spray",), answers=said))

    with desk.store.read() as session:
        call = session.query(Call).one()
        assert (call.priority, call.answers) == (priority, said)


def test_own_cases_speak_in_what_is_asked_and_in_what_an_answer_changed(file_desk):
    site = a_site(file_desk)
    for n in range(8):  # proved at other sites
        a_callback(
            file_desk, a_site(file_desk, f"{n} Own Lane"), date(2026, 5, 6),
            job={"cause_id": "leaking-fixture", "cause_known_by": "seen", "fix": "fixed"},
        )  # fmt: skip
    reports = Reports(symptoms=ALARM, findings={"ask-which-alarm": "water-lamp"})

    with_own = phone_sheet_of_call(file_desk, reports, site_id=site.id)
    without = phone_sheet_of_call(file_desk, reports, site_id=site.id, with_own=False)

    own = learned(file_desk)
    assert own.n_cases(ALARM[0]) == 8
    known, case = knowledge(), Case(symptoms=ALARM, found=(), site_has=None)
    after = Case(symptoms=ALARM, found=(Found("ask-which-alarm", "water-lamp"),))
    chances = [rank(one, known, own).chance("leaking-fixture") for one in (case, after)]
    assert chances[0] > 3 * rank(case, known).chance("leaking-fixture")
    assert with_own.changed["ask-which-alarm"] != without.changed["ask-which-alarm"]
    assert with_own == phone_sheet(file_desk, reports, case=case, own=own)
