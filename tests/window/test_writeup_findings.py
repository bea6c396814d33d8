"""The findings of a callback, written by keys as a person writes them."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from servicedesk.desk.writeup_checks import NOT_LOOKED_AT
from servicedesk.records.owed import Owed
from servicedesk.records.visits import Finding, ItemResult, Job, ReadingRow, Visit
from servicedesk.trade.cautions import cautions
from servicedesk.trade.symptoms import symptoms
from servicedesk.window.places.writeup import WriteUpPlace
from servicedesk.window.widgets import writeup_keys
from tests.builders import a_call, a_site, a_unit, a_visit, system_of
from tests.window import test_writeup as shared

desk, lena, at_form, keyboard = shared.desk, shared.lena, shared.at_form, shared.keyboard
rows = shared.rows
ALARM = "high-water-alarm"


def a_callback(desk, *, said=(ALARM,), also=None):
    """A planned callback of today; `also` one more job of that kind."""
    site = a_site(desk)
    a_unit(desk, site, "splices-box")
    call = a_call(desk, site, symptoms=list(said))
    visit = a_visit(desk, site, kind_of="callback", job={"call_id": call.id}, begin_min=545,
                    leave_min=590)  # fmt: skip
    if also:
        with desk.store.change(desk.who, "One more job") as work:
            system_id = system_of(desk, site).id
            work.add(Job(visit_id=visit.id, kind_of=also, system_id=system_id))
    return visit


def test_what_is_known_of_the_check_or_cause_in_hand_opens_beside(
    desk, at_form, keyboard, qtbot, monkeypatch
):
    visit = a_callback(desk)
    _, place = at_form("visit", visit.id)
    wishes = []
    go = lambda *where, beside=False: wishes.append((*where, beside))  # noqa: E731
    monkeypatch.setattr(place.shell, "go", go)
    rows = checks_of(place)
    rows.go_to("splice-look")
    keyboard.press(Qt.Key.Key_I, Qt.KeyboardModifier.ControlModifier)
    keyboard.type("h1")  # what was behind it: established; the keys are at the first cause
    keyboard.press(Qt.Key.Key_Down)
    keyboard.press(Qt.Key.Key_I, Qt.KeyboardModifier.ControlModifier)
    causes = place.sheets.trouble.behind[0].causes
    third = causes.options[2].id
    at = causes.box_of(third).center().toPoint()
    ctrl = Qt.KeyboardModifier.ControlModifier
    QTest.mouseClick(causes, Qt.MouseButton.LeftButton, ctrl, at)
    assert wishes == [
        ("knowledge", "check", "splice-look", True),
        ("knowledge", "cause", causes.options[1].id, True),
        ("knowledge", "cause", third, True),
    ]
    assert causes.value == ""
    assert place.sheets.isVisible()


def done(desk):
    return [visit.state for visit in rows(desk, Visit)] == ["done"]


def checks_of(place):
    return place.sheets.checks_in_hand


def test_a_callback_with_its_cause_takes_under_a_minute_by_keys(
    desk, at_form, keyboard, qtbot, record_property
):
    visit = a_callback(desk)
    _, place = at_form("visit", visit.id)
    asked = [line.check_id for line in checks_of(place).lines]
    for check in asked[:8]:
        keyboard.type("x" if check == "splice-look" else "z")
    checks_of(place).go_to("splice-look")
    keyboard.type("c")  # wet, green or black
    keyboard.type("h1")  # what was behind it: established
    n = 1 + [one.id for one in place.sheets.trouble.behind[0].causes.options].index(
        "splice-shorted-alarm"
    )
    keyboard.type(str(n))
    keyboard.type("1")  # a direct check spoke for it
    keyboard.type("k")
    keyboard.press(Qt.Key.Key_Tab)
    keyboard.type("splice afresh, gel sleeve")
    keyboard.press(Qt.Key.Key_Tab)
    keyboard.type("1")  # a lasting fix
    keyboard.press(Qt.Key.Key_Escape)
    place.first_focus().setFocus()
    keyboard.type("t")
    keyboard.finish()
    qtbot.waitUntil(lambda: done(desk))
    record_property("keys", keyboard.count)
    assert keyboard.count / shared.KEYS_A_SECOND < 60
    job = rows(desk, Job)[0]
    assert (job.cause_id, job.cause_known_by, job.fix, job.did) == (
        "splice-shorted-alarm",
        "a direct check",
        "fixed",
        "splice afresh, gel sleeve",
    )
    found = {f.check_id: f.result_id for f in rows(desk, Finding)}
    assert found["splice-look"] == "wet-or-green"
    assert len(found) >= 8


def test_a_letter_answers_and_goes_on_and_backspace_takes_it_back(desk, at_form, keyboard):
    _, place = at_form("visit", a_callback(desk).id)
    checks = checks_of(place)
    first, second = (line.check_id for line in checks.lines[:2])
    keyboard.type("x")
    assert checks.current.check_id == second
    keyboard.type("l")  # not looked at is an answer, by a letter
    said = place.sheets.entry.jobs[0].findings
    assert said == {first: checks.lines[0].options[1][0], second: NOT_LOOKED_AT}
    assert place.sheets.entry.jobs[0].outcome == "done"
    keyboard.press(Qt.Key.Key_Up)
    keyboard.press(Qt.Key.Key_Backspace)
    assert place.sheets.entry.jobs[0].findings.keys() == {first}
    keyboard.type("b")  # there is no fifth result here
    assert place.sheets.entry.jobs[0].findings.keys() == {first}


def test_a_digit_begins_the_number_of_a_check_and_its_range_answers(desk, at_form, keyboard, qtbot):
    _, place = at_form("visit", a_callback(desk, said=("poor-effluent",)).id)
    checks_of(place).go_to("dissolved-oxygen")
    keyboard.type("0.4")
    keyboard.press(Qt.Key.Key_Return)
    # under about 1 mg/L is very short: resources/trade/readings.yaml, which names its source
    assert place.sheets.entry.jobs[0].findings == {"dissolved-oxygen": "very-short"}
    assert checks_of(place).current.check_id != "dissolved-oxygen"
    keyboard.type("h4t")
    keyboard.finish()
    qtbot.waitUntil(lambda: done(desk))
    assert [(r.item_id, r.value, r.unit) for r in rows(desk, ReadingRow)] == [
        ("dissolved-oxygen", "0.4", "mg/L")
    ]


def test_a_number_without_a_range_waits_for_its_result(desk, at_form, keyboard):
    _, place = at_form("visit", a_callback(desk).id)
    checks_of(place).go_to("run-line-insulation")
    keyboard.type("80 kohm")
    keyboard.press(Qt.Key.Key_Return)
    assert checks_of(place).current.check_id == "run-line-insulation"
    keyboard.type("x")
    job = place.sheets.entry.jobs[0]
    assert job.readings["run-line-insulation"].text == "80"
    assert job.readings["run-line-insulation"].unit == "kΩ"
    assert job.findings == {"run-line-insulation": "leakage"}


def test_a_wrong_number_is_said_at_its_check_and_nothing_is_written(desk, at_form, keyboard):
    _, place = at_form("visit", a_callback(desk).id)
    checks_of(place).go_to("run-line-insulation")
    keyboard.type("8,5,1")
    keyboard.press(Qt.Key.Key_Return)
    keyboard.type("xh4t")
    keyboard.finish()
    assert "“8,5,1” is not a number for Signal run, conductors parted" in place.notice.text
    assert checks_of(place)._wrong.keys() == {"run-line-insulation"}
    assert not done(desk)


def test_without_what_was_behind_it_the_visit_is_not_finished(desk, at_form, keyboard):
    _, place = at_form("visit", a_callback(desk).id)
    keyboard.type("zt")
    keyboard.finish()
    assert "Say what was behind it" in place.notice.text
    assert "Say what was behind it" in place.sheets.trouble.behind[0]._wrong.text()
    keyboard.type("h1")
    keyboard.finish()
    assert "Cause established: say which cause." in place.notice.text
    assert not done(desk)


def test_no_fault_found_names_the_checks_owed_and_writes_them(desk, at_form, keyboard, qtbot):
    _, place = at_form("visit", a_callback(desk).id)
    checks_of(place).go_to("pump-tank-level")
    keyboard.type("z")
    keyboard.type("h3")
    note = place.sheets.trouble.behind[0]._note
    left = len(symptoms()[ALARM].before_no_fault_found) - 1
    assert note.isVisible()
    assert note.text().startswith(f"{left} checks are owed before one may say so")
    assert place.sheets.owed.lines[0].fields["what"].text().startswith("No fault found; still")
    place.first_focus().setFocus()
    checks_of(place).go_to("splice-look")
    keyboard.type("z")  # one less: the line follows
    assert "Open the splices" not in place.sheets.owed.lines[0].fields["what"].text()
    keyboard.type("t")
    keyboard.finish()
    qtbot.waitUntil(lambda: done(desk))
    assert "Open the splices" not in rows(desk, Owed)[0].what
    assert len(rows(desk, Finding)) == left + 1


def test_another_answer_takes_the_owed_checks_back(desk, at_form, keyboard):
    _, place = at_form("visit", a_callback(desk).id)
    keyboard.type("h3")
    assert len(place.sheets.entry.owed) == 1
    keyboard.type("4")
    assert place.sheets.entry.owed == ()
    assert place.sheets.owed.lines[0].is_empty


def test_only_freed_offers_the_lasting_repair_as_owed(desk, at_form, keyboard, qtbot):
    _, place = at_form("visit", a_callback(desk).id)
    behind = place.sheets.trouble.behind[0]
    n = 1 + [one.id for one in behind.causes.options].index("splice-shorted-alarm")
    keyboard.type(f"h2{n}k")
    keyboard.press(Qt.Key.Key_Tab)
    keyboard.type("dried the splice")
    keyboard.press(Qt.Key.Key_Tab)
    keyboard.type("3")
    what = place.sheets.owed.lines[0].fields["what"].text()
    assert what.startswith("Lasting repair: Cut back to bright copper")
    keyboard.type("2 weeks")  # the cursor is at "by when" already
    keyboard.press(Qt.Key.Key_Escape)
    place.first_focus().setFocus()
    keyboard.type("t")
    keyboard.finish()
    qtbot.waitUntil(lambda: done(desk))
    job = rows(desk, Job)[0]
    assert (job.fix, job.cause_id, job.cause_known_by) == (
        "reset only",
        "splice-shorted-alarm",
        "presumed",
    )
    assert rows(desk, Owed)[0].by_on.isoformat() == "2026-10-28"


def test_a_cause_further_down_is_chosen_from_the_list(desk, at_form, keyboard, qtbot):
    _, place = at_form("visit", a_callback(desk).id)
    behind = place.sheets.trouble.behind[0]
    keyboard.type("h2")
    keyboard.type(str(len(behind.causes.options)))
    assert behind.other.hasFocus()
    keyboard.press(Qt.Key.Key_Down)
    chosen = behind.other.currentData()
    behind.other.activated.emit(behind.other.currentIndex())
    place.first_focus().setFocus()
    keyboard.type("t")
    keyboard.finish()
    qtbot.waitUntil(lambda: done(desk))
    assert rows(desk, Job)[0].cause_id == chosen


def test_the_weather_is_kept_with_the_findings(desk, at_form, keyboard, qtbot):
    at_form("visit", a_callback(desk).id)
    keyboard.type("zs")
    keyboard.type("rain all week")
    keyboard.press(Qt.Key.Key_Escape)
    keyboard.type("h4t")
    keyboard.finish()
    qtbot.waitUntil(lambda: done(desk))
    assert {f.weather for f in rows(desk, Finding)} == {"rain all week"}


def test_the_draft_of_the_findings_is_offered_again(desk, at_form, keyboard, qtbot):
    visit = a_callback(desk)
    window, place = at_form("visit", visit.id)
    keyboard.type("zxh2")
    entry = place.sheets.entry
    qtbot.waitUntil(lambda: bool(WriteUpPlace.drafts.all("visit")))
    window.close()
    _, place = at_form("visit", visit.id)
    assert place.sheets.entry == entry
    assert place.sheets.trouble.behind[0].behind.value == "presumed"


def test_an_inspection_and_a_callback_share_the_form_and_their_answers(
    desk, at_form, keyboard, qtbot
):
    _, place = at_form("visit", a_callback(desk, also="inspection").id)
    assert place.sheets.rows_in_hand is not None  # the inspection first
    keyboard.type("h")  # the trouble comes in hand
    assert place.sheets.trouble.sheet.isVisible()
    place.first_focus().setFocus()
    checks_of(place).go_to("alarm-float-lift")
    keyboard.type("x")  # stays on
    keyboard.type("j")
    assert not place.sheets.trouble.sheet.isVisible()
    keyboard.type("a")
    items = place.sheets.entry.jobs[1].items
    assert (items["alarm-float-test"].grade, items["alarm-float-test"].answer) == (
        "failed",
        "stays on hanging",
    )
    place.sheets.rows_in_hand.go_to(item_id="alarm-float-test")
    keyboard.type("g")  # and now they contradict each other
    keyboard.type("h4")
    place.sheets.first_focus().setFocus()
    keyboard.type("t")
    keyboard.finish()
    assert "Only one is so." in place.notice.text
    assert place.sheets.trouble.sheet.isVisible()  # shown where it can be mended
    assert checks_of(place).current.check_id == "alarm-float-lift"
    assert not done(desk)
    keyboard.type("z")
    keyboard.finish()
    qtbot.waitUntil(lambda: done(desk))
    assert {r.item_id: r.grade for r in rows(desk, ItemResult)}["alarm-float-test"] == "good"


def test_a_click_on_a_result_answers_and_again_takes_it_back(desk, at_form, qtbot):
    _, place = at_form("visit", a_callback(desk).id)
    checks = checks_of(place)
    row = checks.boxes[0]
    result = row.line.options[1][0]

    def click():
        at = row.words[result].center().toPoint()
        QTest.mouseClick(checks, Qt.MouseButton.LeftButton, pos=QPoint(at))

    click()
    assert place.sheets.entry.jobs[0].findings == {row.line.check_id: result}
    click()
    assert place.sheets.entry.jobs[0].findings == {}


@pytest.mark.parametrize("said", [(), ("beeps at night",)])
def test_a_call_without_a_symptom_we_know_has_its_form(desk, at_form, keyboard, qtbot, said):
    _, place = at_form("visit", a_callback(desk, said=said).id)
    assert len(checks_of(place).lines) == 8
    keyboard.type("zh21")
    place.first_focus().setFocus()
    keyboard.type("t")
    keyboard.finish()
    qtbot.waitUntil(lambda: done(desk))
    assert rows(desk, Job)[0].cause_known_by == "presumed"


def test_the_letters_of_the_results_come_from_the_language(desk, at_form, keyboard, monkeypatch):
    monkeypatch.setattr(writeup_keys, "say", lambda text, **v: {"Z": "Y"}.get(text, text))
    _, place = at_form("visit", a_callback(desk).id)
    keyboard.type("y")
    assert len(place.sheets.entry.jobs[0].findings) == 1


@pytest.mark.parametrize("size", [(1440, 900), (1180, 660)])
@pytest.mark.parametrize("percent", [100, 130])
def test_checks_stand_apart_with_their_cautions_whole(desk, at_form, theme, size, percent):
    theme.set_text_size(percent)
    _, place = at_form("visit", a_callback(desk).id, size=size)
    checks = checks_of(place)
    whole = {one.text for one in cautions().values()}
    lead, second = theme.metrics("row_lead"), theme.metrics("second")
    bottom = 0.0
    for row in checks.boxes:
        assert row.box.top() == pytest.approx(bottom)
        bottom = row.box.bottom()
        said = " ".join(text for text, _ in row.cautions)
        assert said == " ".join(row.line.cautions)
        assert set(row.line.cautions) <= whole
        for text, box in row.name:
            assert lead.horizontalAdvance(text) <= box.width()
        for text, box in (*row.about, *row.cautions):
            assert second.horizontalAdvance(text) <= box.width()
        parts = [box for _, box in (*row.name, *row.about, *row.cautions)]
        parts += [*row.caps.values(), *row.words.values(), row.effort]
        parts += [row.value] if row.line.unit else []
        for n, one in enumerate(parts):
            assert row.box.contains(one)
            assert not any(one.adjusted(1, 1, -1, -1).intersects(o) for o in parts[n + 1 :])
    assert any(row.line.cautions for row in checks.boxes)


def test_where_room_is_short_the_form_takes_that_of_the_list_until_it_is_set_aside(
    desk, at_form, keyboard, theme
):
    theme.set_text_size(130)
    _, place = at_form("visit", a_callback(desk).id, size=(1180, 660))
    assert not place.round_sheet.isVisible()
    scroll = place.sheets.trouble.scroll
    assert checks_of(place).width() <= scroll.viewport().width()  # nothing is cut at the side
    keyboard.press(Qt.Key.Key_Escape)
    assert place.round_sheet.isVisible()
    assert place.list.hasFocus()


def test_the_name_of_the_check_in_hand_is_always_seen(desk, at_form, keyboard, qtbot):
    _, place = at_form("visit", a_callback(desk).id, size=(1180, 660))
    checks, scroll = checks_of(place), place.sheets.trouble.scroll
    for _ in checks.lines:
        keyboard.press(Qt.Key.Key_Down)
        top = checks.box_in_hand.top()

        def is_seen(top=top):
            at = checks.mapTo(scroll.viewport(), QPoint(0, round(top))).y()
            assert 0 <= at < scroll.viewport().height()

        qtbot.waitUntil(is_seen)
