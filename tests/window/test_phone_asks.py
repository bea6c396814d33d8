"""The questions of the call page by keys: danger first, then checks, each saying what it changed."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from servicedesk.desk.phone_questions import PhoneSheet
from servicedesk.records.visits import Finding, Job
from tests.builders import a_call, a_done_visit, a_round, a_site, a_technician, a_visit
from tests.window.test_phone import (
    ALT,
    CTRL,
    MOST_KEYS,
    TODAY,
    _own_data,
    calls,
    company,
    desk,
    drafts_kept,
    kinds,
    page,
    typist,
    with_a_site,
)

__all__ = ["_own_data", "company", "desk", "kinds", "typist"]


def lines(rows):
    """Questions and their states, as shown."""
    return [(one, row.state) for one, row in rows.rows.items()]


def dangers(typist):
    return page(typist).asking._sheet.dangers


def checks(typist):
    return page(typist).asking._sheet.checks


def findings(desk):
    with desk.store.read() as session:
        return [(f.call_id, f.check_id, f.result_id) for f in session.query(Finding)]


def test_danger_is_asked_before_anything_else_and_each_no_goes_on(company, typist):
    with_a_site(typist)
    assert lines(dangers(typist)) == [
        ("somebody-down", "open"),
        ("sewage-inside", "coming"),
        ("lid-open", "coming"),
    ]
    typist.key(Qt.Key.Key_N)
    typist.key(Qt.Key.Key_N)
    assert dangers(typist).open_row.question.id == "lid-open"
    typist.key(Qt.Key.Key_N)
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()

    (call,) = calls(company)
    assert call.answers == {"somebody-down": "no", "sewage-inside": "no", "lid-open": "no"}
    assert call.priority == "normal"


def test_a_yes_makes_it_danger_and_its_sentences_stand_first(company, typist):
    with_a_site(typist, "5")
    box = page(typist).say_now
    assert box.texts[0].startswith("Keep everybody")
    typist.key(Qt.Key.Key_N)
    typist.key(Qt.Key.Key_Y)  # sewage inside

    assert box.isVisibleTo(page(typist))
    assert box.texts[0].startswith("Sewage in the house")
    assert len(box.texts) == 6  # none is left out
    assert "danger" in page(typist).promise.priority.itemText(0)
    row = dangers(typist).rows["sewage-inside"]
    assert (row.taken.text(), row.right.text()) == ("Yes", "danger: goes first")
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()
    assert calls(company)[0].priority == "danger"


def test_say_this_now_comes_with_a_danger_before_any_symptom(company, typist):
    with_a_site(typist)
    typist.key(Qt.Key.Key_Y)

    assert page(typist).say_now.isVisibleTo(page(typist))
    assert "call 911 at once" in page(typist).say_now.texts[0]


def test_a_lid_that_is_reported_is_not_asked_for(company, typist):
    with_a_site(typist, "0")

    row = dangers(typist).rows["lid-open"]
    assert (row.state, row.taken.text()) == ("done", "Yes")


def test_checks_come_after_danger_and_each_answer_says_what_it_changed(company, typist):
    with_a_site(typist, "1A")
    assert checks(typist).open_row is None  # danger first
    for _ in range(3):
        typist.key(Qt.Key.Key_N)
    typist.settle()
    asked = checks(typist).open_row.question
    typist.key(getattr(Qt.Key, f"Key_{asked.answers[1].key}"))
    typist.settle()

    row = checks(typist).rows[asked.id]
    assert row.state == "done"
    assert row.taken.text() == asked.answers[1].text
    assert row.right.text().endswith("%")
    assert checks(typist).open_row.question.id != asked.id
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()
    (call,) = calls(company)
    assert findings(company) == [(call.id, asked.id, asked.answers[1].id)]
    assert asked.id not in call.answers


def test_what_is_known_of_the_question_opens_beside_and_the_call_stays(
    company, typist, monkeypatch
):
    with_a_site(typist, "1A")
    wishes = []
    go = lambda *where, beside=False: wishes.append((*where, beside))  # noqa: E731
    monkeypatch.setattr(page(typist).asking._shell, "go", go)
    typist.key(Qt.Key.Key_I, CTRL)  # a danger is asked: the symptom is what one can read about
    for _ in range(3):
        typist.key(Qt.Key.Key_N)
    typist.settle()
    asked = checks(typist).open_row.question
    typist.key(Qt.Key.Key_I, CTRL)

    symptom = page(typist).reported.symptoms[0]
    assert wishes == [
        ("knowledge", "symptom", symptom, True),
        ("knowledge", "check", asked.id, True),
    ]
    assert page(typist).isVisible()


def test_tab_skips_what_is_asked_and_the_last_one_walks_on(company, typist):
    with_a_site(typist, "1")
    typist.key(Qt.Key.Key_Tab)
    assert dangers(typist).rows["somebody-down"].state == "skipped"
    typist.key(Qt.Key.Key_Tab)
    typist.key(Qt.Key.Key_Tab)
    assert page(typist).reported.asked is not None
    typist.key(Qt.Key.Key_Tab)  # which light: not asked
    assert page(typist).reported.asked is None
    typist.settle()
    n_left = sum(row.state in ("open", "coming") for row in checks(typist).rows.values())
    assert n_left > 1
    for _ in range(n_left):
        typist.key(Qt.Key.Key_Tab)
    typist.settle()
    assert checks(typist).open_row is None
    before = QApplication.focusWidget()
    typist.key(Qt.Key.Key_Tab)

    assert QApplication.focusWidget() is not before
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()
    assert (calls(company)[0].answers, findings(company)) == ({}, [])


def test_cannot_tell_is_an_answer(company, typist):
    with_a_site(typist, "0")  # a lid: its danger is told already
    typist.key(Qt.Key.Key_X)
    typist.key(Qt.Key.Key_N)
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()

    assert calls(company)[0].answers == {"somebody-down": "cannot tell", "sewage-inside": "no"}


def test_an_answer_is_taken_back_by_pressing_it(company, typist):
    with_a_site(typist, "1A")
    typist.key(Qt.Key.Key_Y)
    assert page(typist).asking.asked.said == {"somebody-down": "yes"}

    dangers(typist).rows["somebody-down"].taken.click()

    assert page(typist).asking.asked.said == {}
    assert dangers(typist).open_row.question.id == "somebody-down"
    assert QApplication.focusWidget() in dangers(typist).open_row.pills
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Space)  # Yes, by Space on it
    assert page(typist).asking.asked.said == {"somebody-down": "yes"}


def test_letters_in_their_own_words_answer_nothing(company, typist):
    with_a_site(typist)
    typist.key(Qt.Key.Key_W)
    typist.type("yes no x")

    assert page(typist).asking.asked.said == {}


def test_answers_wait_with_the_draft_and_come_back_with_the_written_call(company, typist):
    with_a_site(typist, "1A")
    for key in "NNN":
        typist.key(getattr(Qt.Key, f"Key_{key}"))
    typist.settle()
    asked = checks(typist).open_row.question
    typist.key(getattr(Qt.Key, f"Key_{asked.answers[0].key}"))
    typist.key(Qt.Key.Key_Escape)
    typist.settle()
    (draft,) = drafts_kept(company)
    typist.window.place.call.begin()
    typist.window.shell.go("phone", "draft", draft.uid)
    typist.settle()
    assert dangers(typist).rows["lid-open"].taken.text() == "No"
    assert checks(typist).rows[asked.id].taken.text() == asked.answers[0].text

    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()
    (call,) = calls(company)
    typist.window.shell.go("phone", "call", call.id)
    typist.settle()

    assert checks(typist).rows[asked.id].taken.text() == asked.answers[0].text
    assert checks(typist).rows[asked.id].right.text().endswith("%")


def test_a_caller_in_no_book_is_asked_too(company, typist):
    typist.key(Qt.Key.Key_F4)
    typist.type("Zed")
    typist.key(Qt.Key.Key_Return)
    typist.settle()
    page(typist).grid.focus_first()
    typist.key(Qt.Key.Key_4)
    for key in "NNNA":
        typist.key(getattr(Qt.Key, f"Key_{key}"))
    typist.settle()
    asked = checks(typist).open_row.question
    typist.key(getattr(Qt.Key, f"Key_{asked.answers[0].key}"))
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()

    (call,) = calls(company)
    assert (call.site_id, call.caller) == (None, "Zed")
    assert findings(company) == [(call.id, asked.id, asked.answers[0].id)]


def test_from_the_ringing_phone_to_a_call_with_promise_place_and_its_thread(company, typist):
    """Everything asked and a place taken: how many keys it takes."""
    company_site = a_site(company, "77 Mill Reach", owner="Marl, Otto", phone="409-555-0161")
    before = a_call(company, company_site, days_ago=40, state="answered")
    a_done_visit(
        company, company_site, TODAY.replace(month=9, day=5), kind_of="callback",
        job={"call_id": before.id, "did": "Float swapped, tested good"},
    )  # fmt: skip
    round_ = a_round(company, a_technician(company), planner="hand")
    stop = a_site(company, "2 Long Road", owner="Ray, Bo", lat_deg=30.03, lon_deg=-94.0)
    a_visit(company, stop, planned_on=TODAY, round_id=round_.id, place=1)

    typist.key(Qt.Key.Key_F4)
    typist.type("0161")
    typist.key(Qt.Key.Key_Return)
    typist.settle()
    typist.key(Qt.Key.Key_1)
    typist.key(Qt.Key.Key_A)
    for _ in range(3):
        typist.key(Qt.Key.Key_N)
    typist.settle()
    for _ in range(4):
        asked = checks(typist).open_row.question
        typist.key(getattr(Qt.Key, f"Key_{asked.answers[0].key}"))
        typist.settle()
    assert "Float swapped, tested good" in " ".join(page(typist).before.texts())
    typist.key(Qt.Key.Key_1, ALT)
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()

    call = calls(company)[-1]
    assert call.promised_by_at is not None
    assert len(findings(company)) == 4
    with company.store.read() as session:
        assert session.query(Job).where(Job.call_id == call.id).count() == 1
    assert typist.n_keys <= MOST_KEYS
    assert typist.n_keys == 17


def test_a_question_that_is_being_read_is_not_changed_by_a_late_answer(qtbot, company, typist):
    with_a_site(typist, "1A")
    for _ in range(3):
        typist.key(Qt.Key.Key_N)
    typist.settle()
    asking = page(typist).asking
    asked = asking.open_question
    others = tuple(one for one in reversed(asking.asked.coming))

    asking.asked.take(PhoneSheet(questions=others), keeps_open=True)
    assert asking.open_question == asked
    asking.asked.take(PhoneSheet(questions=others), keeps_open=False)
    assert asking.open_question == others[0]


@pytest.mark.parametrize("size", [(1440, 900), (1180, 660)])
def test_the_open_question_is_always_in_sight(qtbot, company, typist, size):
    typist.window.resize(*size)
    with_a_site(typist, "18A")
    typist.settle()
    typist.key(Qt.Key.Key_A)
    for _ in range(3):
        typist.key(Qt.Key.Key_N)
    typist.settle()
    row = checks(typist).open_row
    area = page(typist).left_area

    def in_sight():
        top = row.mapTo(area.viewport(), row.rect().topLeft()).y()
        assert top >= 0
        assert top + row.height() <= area.viewport().height()

    qtbot.waitUntil(in_sight)
