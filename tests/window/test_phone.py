"""A call is written in the real window by keys alone, and nothing that was typed is lost."""

import time
from datetime import date, timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from servicedesk.desk.front import FrontOffice
from servicedesk.desk.intake import CallDraft
from servicedesk.records.calls import Call
from servicedesk.records.sites import Site
from servicedesk.records.visits import Visit
from servicedesk.window.places.registry import PlaceKind, all_places
from servicedesk.window.widgets.call_draft import drafts_here
from tests.builders import (
    TODAY,
    a_call,
    a_contract,
    a_done_visit,
    a_round,
    a_site,
    a_system,
    a_technician,
    a_visit,
    something_owed,
)
from tests.desk.conftest import _seated
from tests.window.pages import PlainPlace

CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
MOST_KEYS = 25


class _Plain(PlaceKind):
    def build(self, shell):
        made = PlainPlace(shell)
        made.name = self.id
        return made


@pytest.fixture(autouse=True)
def _own_data(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


@pytest.fixture
def desk(file_store):
    return _seated(file_store)


@pytest.fixture
def kinds():
    """Phone as it is, the other places plain; the first shown is Today."""
    return tuple(
        kind if kind.id == "phone" else _Plain(kind.id, kind.title, kind.icon, kind.group,
                                               kind.number, "setup:SetupPlace")
        for kind in all_places()
        if kind.group
    )  # fmt: skip


class Typist:
    """Presses keys where the focus is, and counts them. Every press and nothing else counts."""

    def __init__(self, qtbot, window):
        self.qtbot, self.window, self.n_keys = qtbot, window, 0

    def key(self, key, modifier=Qt.KeyboardModifier.NoModifier):
        self.n_keys += 1
        self.qtbot.keyClick(QApplication.focusWidget() or self.window, key, modifier)

    def type(self, text):
        for ch in text:
            self.n_keys += 1
            self.qtbot.keyClicks(QApplication.focusWidget(), ch)

    def settle(self):
        place = self.window.place
        self.qtbot.waitUntil(lambda: not self.window.shell.work.is_busy)
        if place.name == "phone":
            self.qtbot.waitUntil(lambda: not place.call.who._timer.isActive())
            self.qtbot.waitUntil(lambda: place.call.keeper.is_kept)
        self.qtbot.waitUntil(lambda: not self.window.shell.work.is_busy)


@pytest.fixture
def typist(qtbot, open_window, desk, kinds):
    window = open_window(FrontOffice(desk), kinds)
    return Typist(qtbot, window)


@pytest.fixture
def company(desk):
    """Two sites of one road, one with a contract."""
    site = a_site(desk, "118 Dry Hollow Lane", phone="409-555-0142", dogs_note="Two dogs")
    a_contract(desk, site, response_hours=4)
    a_site(desk, "6 Larkrise Court", owner="Abbot, Nell", phone="409-555-0177")
    return desk


def calls(desk):
    with desk.store.read() as session:
        return session.query(Call).order_by(Call.id).all()


def drafts_kept(desk):
    with drafts_here(desk) as drafts:
        return drafts.all()


def page(typist):
    return typist.window.place.call


# --- whole calls, by keys


def test_a_known_site_takes_three_signs_enter_a_symptom_and_ctrl_enter(company, typist):
    typist.key(Qt.Key.Key_F4)
    typist.type("dry")
    typist.key(Qt.Key.Key_Return)  # at once, before any answer came
    typist.settle()
    typist.key(Qt.Key.Key_1)
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()

    (call,) = calls(company)
    with company.store.read() as session:
        assert session.get(Site, call.site_id).address == "118 Dry Hollow Lane"
    assert call.symptoms == ["high-water-alarm"]
    assert call.caller == "Quillan, Ruth"
    assert call.promised_by_at == company.clock.instant(TODAY, 14 * 60 + 46)
    assert call.priority == "urgent"
    assert typist.n_keys == 7
    assert typist.window.place.title() == ""  # back at the list
    assert drafts_kept(company) == ()


def test_a_caller_in_no_book_is_written_as_they_say_it(company, typist):
    typist.key(Qt.Key.Key_F4)
    typist.type("Bo Ray")
    typist.key(Qt.Key.Key_Return)
    typist.settle()
    typist.type("5550199")
    typist.key(Qt.Key.Key_Return)
    typist.type("9 Elm")
    typist.key(Qt.Key.Key_Return)
    typist.key(Qt.Key.Key_2)
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()

    (call,) = calls(company)
    assert (call.site_id, call.caller, call.caller_phone) == (None, "Bo Ray", "5550199")
    assert (call.where_said, call.symptoms) == ("9 Elm", ["wet-area"])
    assert typist.n_keys <= MOST_KEYS


def test_a_site_without_a_contract_says_so_and_is_promised_what_the_company_promises(
    company, typist
):
    typist.key(Qt.Key.Key_F4)
    typist.type("0177")
    typist.key(Qt.Key.Key_Return)
    typist.settle()
    card = page(typist).who.card
    assert card.address.text() == "6 Larkrise Court, Old Tessing"
    assert "No contract" in card.accessibleName()
    assert page(typist).promise.choice.currentText() == "Fri, Oct 16 by 10:46 am"
    assert "as the company promises" in page(typist).promise.why.text

    typist.key(Qt.Key.Key_5)
    typist.key(Qt.Key.Key_B)  # weak or on one side only
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()

    (call,) = calls(company)
    assert call.symptoms == ["weak-spray"]
    assert call.answers == {"no-spray": "weak or on one side only"}
    assert call.promised_by_at == company.clock.instant(date(2026, 10, 16), 10 * 60 + 46)
    assert typist.n_keys <= MOST_KEYS


# --- who and where


def test_the_arrows_choose_among_what_was_found_and_the_last_row_is_a_new_caller(
    company, desk, typist
):
    a_site(desk, "121 Dry Hollow Lane", owner="Marl, Otto")
    typist.key(Qt.Key.Key_F4)
    typist.type("dry hollow")
    typist.settle()
    hits = page(typist).who.hits
    assert [row.title for row in hits.rows.rows[:2]] == [
        "118 Dry Hollow Lane",
        "121 Dry Hollow Lane",
    ]
    assert "as a new caller" in hits.rows.rows[2].title

    typist.key(Qt.Key.Key_Down)
    typist.key(Qt.Key.Key_Return)
    typist.settle()

    assert page(typist).who.card.address.text().startswith("121 Dry Hollow Lane")
    assert page(typist).title() == "New call, 121 Dry Hollow Lane"


def test_an_answer_to_what_was_typed_before_is_dropped(company, typist):
    typist.key(Qt.Key.Key_F4)
    typist.type("dry")
    typist.settle()
    who = page(typist).who
    stale = ("dry", tuple(row.thing for row in who.hits.rows.rows[:1]))
    typist.type("x")
    typist.settle()
    before = who.hits.rows.rows

    who._arrived(stale)

    assert who.hits.rows.rows == before
    assert len(before) == 1  # nobody but a new caller


def test_fewer_than_three_signs_ask_nothing(company, typist):
    typist.key(Qt.Key.Key_F4)
    typist.type("dr")
    typist.settle()

    assert page(typist).who.hits.rows.rows == ()


@pytest.mark.parametrize(
    ("typed", "field"),
    [("409 555 0199", "phone"), ("77 New Road", "where"), ("Zed Nobody", "name")],
)
def test_what_was_typed_of_a_new_caller_goes_where_it_looks_like(company, typist, typed, field):
    typist.key(Qt.Key.Key_F4)
    typist.type(typed)
    typist.key(Qt.Key.Key_Return)
    typist.settle()

    assert getattr(page(typist).who, field).text() == typed
    assert QApplication.focusWidget() in {page(typist).who.name, page(typist).who.phone}


def test_a_site_with_two_systems_asks_which(company, desk, typist):
    site = a_site(desk, "240 Low Meadow", owner="Pinder, Ann")
    second = a_system(desk, site, label="Barn")
    typist.window.shell.go("phone", "new", site.id)
    typist.settle()
    buttons = page(typist).who.card.systems.buttons()
    assert len(buttons) == 2

    buttons[1].click()
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()

    assert calls(desk)[-1].system_id == second.id


def test_nobody_at_all_is_said_under_the_field_and_not_written(company, typist):
    typist.key(Qt.Key.Key_F4)
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()

    who = page(typist).who
    assert who.wrong.text() == "Write who called, their number or where it is."
    assert who.wrong.isVisibleTo(who)
    assert QApplication.focusWidget() is who.field
    assert calls(company) == []


# --- what they see, and what is said


def with_a_site(typist, symptom_keys=""):
    typist.key(Qt.Key.Key_F4)
    typist.type("dry")
    typist.key(Qt.Key.Key_Return)
    typist.settle()
    for key in symptom_keys:
        typist.key(getattr(Qt.Key, f"Key_{key}"))


def test_say_this_now_comes_with_the_first_symptom_whole_and_stays(company, typist):
    with_a_site(typist)
    box = page(typist).say_now
    assert not box.isVisibleTo(page(typist))

    typist.key(Qt.Key.Key_1)
    assert box.isVisibleTo(page(typist))
    assert "call 911 at once" in box.accessibleDescription()
    typist.key(Qt.Key.Key_1)  # taken back

    assert page(typist).reported.symptoms == ()
    assert box.isVisibleTo(page(typist))


def test_digits_and_letters_are_text_in_a_field_and_keys_outside(company, typist):
    with_a_site(typist)
    typist.key(Qt.Key.Key_W)
    typist.type("12 a")
    assert page(typist).own_words.toPlainText() == "12 a"
    assert page(typist).reported.chosen == {}


def test_several_symptoms_and_their_answers_are_told_apart(company, typist):
    with_a_site(typist, "18B")  # B answers the latest: the air light is on
    assert page(typist).reported.symptoms == ("high-water-alarm", "air-alarm")
    typist.key(Qt.Key.Key_B)  # then the one before: it comes and goes

    assert page(typist).reported.symptoms == ("alarm-comes-and-goes", "air-alarm")
    assert page(typist).reported.answers == {
        "alarm": "it comes and goes",
        "air-silent": "the air light is on",
    }


def test_arrows_walk_the_ten_keys_and_enter_presses_one(company, typist):
    with_a_site(typist)
    typist.key(Qt.Key.Key_Right)
    typist.key(Qt.Key.Key_Down)
    typist.key(Qt.Key.Key_Return)

    assert list(page(typist).reported.chosen) == [7]


# --- beside the form


def test_earlier_calls_and_what_we_owe_stand_beside(company, typist):
    with company.store.read() as session:
        site = session.query(Site).where(Site.address == "118 Dry Hollow Lane").one()
    before = a_call(company, site, days_ago=128, state="answered")
    a_done_visit(
        company, site, TODAY - timedelta(days=128), kind_of="callback",
        job={"call_id": before.id, "did": "Float swapped, tested good"},
    )  # fmt: skip
    something_owed(company, site)
    with_a_site(typist, "1")
    typist.settle()

    texts = list(page(typist).before.texts())
    assert "Jun 8: High-water alarm" in texts
    assert "Float swapped, tested good" in texts
    assert "quiet 128 days since" in texts
    assert texts[0] == "1 call, quiet 128 days since the last visit"
    assert page(typist).before.title_label.text() == "They have called about this before"
    assert page(typist).head.hint.text.startswith("About this before: 1 call, quiet 128 days")
    assert "Owed here: West spray head tied up, since Jul 11" in texts


def test_alt_1_takes_the_soonest_place_and_ctrl_enter_writes_it(company, typist):
    with company.store.read() as session:
        site = session.query(Site).where(Site.address == "118 Dry Hollow Lane").one()
    tomorrow = TODAY + timedelta(days=1)
    round_ = a_round(company, a_technician(company), tomorrow, planner="hand")
    stop = a_site(company, "2 Long Road", owner="Ray, Bo", lat_deg=30.03, lon_deg=-94.0)
    a_visit(company, stop, planned_on=tomorrow, round_id=round_.id, place=1)
    with_a_site(typist, "1")
    typist.settle()
    assert page(typist).soonest.places

    typist.key(Qt.Key.Key_1, ALT)
    assert page(typist).soonest.buttons[0].isChecked()
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()

    with company.store.read() as session:
        visit = session.query(Visit).where(Visit.site_id == site.id).one()
        assert (visit.planned_on, visit.round_id) == (tomorrow, round_.id)
    assert typist.n_keys == 8  # F4, three signs, Enter, symptom, place, write


def test_without_rounds_the_planner_is_said_to_place_it(company, typist):
    with_a_site(typist)

    assert "The planner places the call" in page(typist).soonest.none.text()
    typist.key(Qt.Key.Key_1, ALT)  # nothing to take
    assert page(typist).soonest.taken is None


def test_a_promise_set_by_hand_is_written(company, typist):
    with_a_site(typist, "1")
    row = page(typist).promise
    at = row.choice.findText("Tomorrow by noon")
    row.choice.setCurrentIndex(at)
    row.choice.activated.emit(at)
    typist.settle()
    page(typist).grid.focus_first()
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()

    noon = company.clock.instant(TODAY + timedelta(days=1), 12 * 60)
    assert calls(company)[0].promised_by_at == noon


# --- nothing is lost


def test_every_keystroke_is_kept_within_half_a_second(qtbot, company, typist):
    typist.key(Qt.Key.Key_F4)
    took_s = []
    for letter in "Zedem":  # a busy machine may hold up one of them, hardly each
        before = drafts_kept(company)
        typist.type(letter)
        began = time.monotonic()
        qtbot.waitUntil(lambda before=before: drafts_kept(company) != before)
        took_s.append(time.monotonic() - began)

    assert min(took_s) < 0.5
    assert drafts_kept(company)[0].title == "Zedem"


def test_esc_sets_the_call_aside_and_the_list_offers_it_again(company, typist):
    with_a_site(typist, "1C")
    typist.key(Qt.Key.Key_W)
    typist.type("yellow")
    typist.key(Qt.Key.Key_Escape)
    typist.settle()
    assert calls(company) == []
    rows = typist.window.place.list.list
    assert rows.rows.rows[1].title == "118 Dry Hollow Lane"

    assert QApplication.focusWidget() is rows
    typist.window.place.call.begin()  # nothing of it stands on the page any more
    assert rows.choose(rows.rows.rows[1].thing)
    typist.key(Qt.Key.Key_Return)
    typist.settle()

    assert page(typist).own_words.toPlainText() == "yellow"
    assert page(typist).reported.symptoms == ("air-alarm",)
    assert page(typist).who.card.address.text().startswith("118 Dry Hollow Lane")
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()
    assert [call.own_words for call in calls(company)] == ["yellow"]
    assert drafts_kept(company) == ()


def test_arrows_walk_over_the_headings_of_the_list(company, typist, waiting):
    with_a_site(typist, "1C")
    typist.key(Qt.Key.Key_Escape)  # a draft: its heading, it, the next heading, the calls
    typist.settle()
    rows = typist.window.place.list.list
    headings = [n for n, row in enumerate(rows.rows.rows) if row.is_heading]
    assert headings[0] == 0
    assert len(headings) > 1

    typist.key(Qt.Key.Key_Home)
    seen = [rows.currentIndex().row()]
    for _ in range(rows.rows.rowCount()):
        typist.key(Qt.Key.Key_Down)
        seen.append(rows.currentIndex().row())
    for _ in range(rows.rows.rowCount()):
        typist.key(Qt.Key.Key_Up)
        seen.append(rows.currentIndex().row())
    assert not set(seen) & set(headings)
    assert set(seen) == set(range(rows.rows.rowCount())) - set(headings)
    assert seen[-1] == seen[0] == 1
    assert QApplication.focusWidget() is rows


def test_leaving_an_empty_call_leaves_no_draft(company, typist):
    typist.key(Qt.Key.Key_F4)
    typist.key(Qt.Key.Key_Escape)
    typist.settle()

    assert not typist.window.place.is_writing
    assert drafts_kept(company) == ()


def test_a_call_is_gone_on_with_after_a_look_elsewhere(company, typist):
    with_a_site(typist, "1")
    typist.window.shell.go("sites")
    typist.key(Qt.Key.Key_F4)
    typist.settle()

    assert page(typist).reported.symptoms == ("high-water-alarm",)
    assert page(typist).who.site_id is not None


def test_a_call_from_another_site_sets_the_unfinished_one_aside(company, desk, typist):
    with_a_site(typist, "1")
    other = a_site(desk, "31 Quarry Spur", owner="Hobb, Lena")
    typist.window.shell.go("phone", "new", other.id)
    typist.settle()

    assert page(typist).reported.symptoms == ()
    assert page(typist).who.card.address.text().startswith("31 Quarry Spur")
    assert [draft.title for draft in drafts_kept(desk)] == ["118 Dry Hollow Lane"]


def test_ctrl_enter_twice_writes_one_call(company, typist):
    with_a_site(typist, "1")
    page(typist).write()
    page(typist).write()
    typist.settle()

    assert len(calls(company)) == 1
    assert not typist.window.trouble_sheet.isVisible()


# --- the list


@pytest.fixture
def waiting(company, typist):
    """One call that waits, with the keys on it."""
    with company.store.read() as session:
        site = session.query(Site).where(Site.address == "118 Dry Hollow Lane").one()
    call = a_call(company, site)
    typist.window.shell.go("phone")
    typist.settle()
    return call


def state(desk, call):
    with desk.store.read() as session:
        found = session.get(Call, call.id)
        return found.state, found.answers


def test_a_call_is_answered_on_the_phone_with_what_helped(company, typist, waiting):
    typist.key(Qt.Key.Key_A)
    typist.type("plug was out")
    typist.key(Qt.Key.Key_Return)
    typist.settle()

    assert state(company, waiting) == ("answered", {"answered how": "plug was out"})


def test_a_call_is_dropped_only_with_a_reason(company, typist, waiting):
    typist.key(Qt.Key.Key_D)
    typist.key(Qt.Key.Key_Return)
    assert typist.window.place.list.ask_row.is_wrong
    typist.type("wrong number")
    typist.key(Qt.Key.Key_Return)
    typist.settle()
    assert state(company, waiting)[0] == "dropped"

    typist.window.place.list.list.choose(("call", waiting.id))
    typist.key(Qt.Key.Key_R)
    typist.settle()
    assert state(company, waiting)[0] == "open"


def test_esc_leaves_the_question_and_changes_nothing(company, typist, waiting):
    typist.key(Qt.Key.Key_D)
    typist.key(Qt.Key.Key_Escape)

    assert QApplication.focusWidget() is typist.window.place.list.list
    assert state(company, waiting)[0] == "open"


def test_enter_opens_a_call_and_what_is_changed_is_written(company, typist, waiting):
    typist.key(Qt.Key.Key_Return)
    typist.settle()
    assert typist.window.place.title() == "Call from 118 Dry Hollow Lane"
    assert page(typist).reported.symptoms == ("high-water-alarm",)

    typist.key(Qt.Key.Key_9)
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()

    (call,) = calls(company)
    assert call.symptoms == ["high-water-alarm", "breaker-trips"]


def test_changes_to_a_written_call_that_are_set_aside_are_offered_again(company, typist, waiting):
    typist.key(Qt.Key.Key_Return)
    typist.settle()
    typist.key(Qt.Key.Key_9)
    typist.key(Qt.Key.Key_Escape)
    typist.settle()
    rows = typist.window.place.list.list

    assert rows.choose(("draft", f"edit-{waiting.uid}"))
    typist.key(Qt.Key.Key_Return)
    typist.settle()
    typist.key(Qt.Key.Key_Return, CTRL)
    typist.settle()

    assert [call.symptoms for call in calls(company)] == [["high-water-alarm", "breaker-trips"]]
    assert drafts_kept(company) == ()


def test_a_draft_can_be_thrown_away(company, typist):
    typist.key(Qt.Key.Key_F4)
    typist.type("Zed")
    typist.key(Qt.Key.Key_Escape)
    typist.settle()
    typist.key(Qt.Key.Key_X)
    typist.settle()

    assert drafts_kept(company) == ()
    assert all(row.thing is None or row.thing[0] != "draft"
               for row in typist.window.place.list.list.rows.rows)  # fmt: skip


def test_a_caller_in_no_book_becomes_a_site(company, typist):
    call = a_call(company, where_said="gray roof past the ferry")
    typist.window.shell.go("phone")
    typist.settle()
    assert typist.window.place.list.list.choose(("call", call.id))

    typist.key(Qt.Key.Key_M)
    typist.type("9 Elm Row")
    typist.key(Qt.Key.Key_Return)
    typist.settle()

    with company.store.read() as session:
        site = session.get(Site, session.get(Call, call.id).site_id)
        assert site.address == "9 Elm Row"


def test_an_empty_list_says_what_will_stand_there_and_begins_it(desk, typist):
    typist.window.shell.go("phone")
    typist.settle()
    shown = typist.window.place.list

    assert shown.none.isVisibleTo(shown)
    typist.window.place.first_focus().setFocus()
    typist.key(Qt.Key.Key_Return)
    assert typist.window.place.is_writing


def test_every_key_of_the_page_stands_on_the_page_of_keys(company, typist):
    with_a_site(typist)
    acts = {act.id for act in typist.window.all_acts()}
    assert {"symptom_1", "symptom_0", "answer_A", "place_3", "write", "aside"} <= acts

    typist.key(Qt.Key.Key_Escape)
    typist.settle()
    acts = {act.id for act in typist.window.all_acts()}
    assert {"answer", "drop", "reopen", "site"} <= acts


def test_a_number_is_shown_as_people_say_it_and_kept_as_it_was(company, typist):
    typist.key(Qt.Key.Key_F4)
    who = page(typist).who
    who.show_call(CallDraft(caller="Bo Ray", phone="+14095550142"))
    assert who.phone.text() == "409 555-0142"
    assert who.values()["phone"] == "+14095550142"
    who.phone.setText("409 555-0143")
    assert who.values()["phone"] == "409 555-0143"
