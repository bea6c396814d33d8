"""Whom to tell what: from the rounds as they stand and what was told before."""

import csv
from dataclasses import replace
from datetime import timedelta
from io import StringIO
from urllib.parse import parse_qs, urlsplit

import pytest

from servicedesk.desk.checking import StaleEdit
from servicedesk.desk.tell_list import mark_told, tell_changed, tell_csv, tell_list
from servicedesk.desk.tell_texts import tell_texts, texts_folder, write_own_texts
from servicedesk.desk.tell_words import natural_name
from servicedesk.desk.told import About, tell, told_about
from servicedesk.records.people import Customer, SiteRole
from servicedesk.records.visits import Visit
from servicedesk.values.clock import Clock
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY, a_customer, a_round, a_site, a_technician, a_visit
from tests.conftest import NOW

THURSDAY = TODAY + timedelta(days=1)
FRIDAY = TODAY + timedelta(days=2)
WORK = "the regular inspection of your wastewater system"


def of_day(desk, day=THURSDAY):
    return tell_list(desk, day, day + timedelta(days=1))


@pytest.fixture
def planned(desk):
    """Lena comes to Ruth Quillan on Thursday from 9:20 am."""
    round_ = a_round(desk, a_technician(desk), THURSDAY)
    site = a_site(desk, phone="409 555 0123")
    return a_visit(
        desk, site, planned_on=THURSDAY, round_id=round_.id, place=1, arrive_min=560,
        begin_min=560, leave_min=600,
    )  # fmt: skip


def changed(desk, record, model=Visit, **values):
    with desk.store.change(desk.who, "Changed") as work:
        found = work.get(model, record.id)
        for name, value in values.items():
            setattr(found, name, value)


def customer_of(desk, visit):
    with desk.store.read() as session:
        role = session.query(SiteRole).filter(SiteRole.site_id == visit.site_id).one()
        return session.get(Customer, role.customer_id)


def test_a_new_day_is_told_by_phone_in_plain_words(desk, planned):
    (line,) = of_day(desk).lines
    assert (line.whom, line.why, line.why_text) == ("Ruth Quillan", "new", "new day")
    assert line.text == (
        "Hello Ruth Quillan, this is Sallow Fork Onsite Care. We plan to be at 118 Dry Hollow Lane "
        f"on Thursday, October 15 in the morning for {WORK}. If that day does not suit you, please "
        "call 409-555-0100."
    )
    assert (line.way, line.link, line.number) == ("phone", "tel:+14095550123", "409 555 0123")
    assert not line.is_told


def test_ticking_a_line_writes_told_and_the_day_is_a_promise(desk, planned):
    (line,) = of_day(desk).lines
    touched = mark_told(desk, line)
    with desk.store.read() as session:
        assert session.get(Visit, planned.id).told
    (told,) = told_about(desk, visit_ids=[planned.id])
    assert (told.whom, told.how, told.promised_on) == ("Ruth Quillan", "phone", THURSDAY)
    assert told.what == line.text
    (again,) = of_day(desk).lines
    assert again.is_told
    assert again.told_at == "10:46 am"
    assert of_day(desk).n_open == 0
    assert touched
    with pytest.raises(Trouble, match="already"):
        mark_told(desk, again)


def test_a_line_made_before_the_visit_changed_is_not_written(desk, planned):
    (line,) = of_day(desk).lines
    changed(desk, planned, begin_min=700)
    with pytest.raises(StaleEdit):
        mark_told(desk, line)


def test_a_day_that_moved_after_it_was_told_stands_in_both_days_and_among_the_changes(
    desk, planned
):
    mark_told(desk, of_day(desk).lines[0])
    assert tell_changed(desk).lines == ()
    round_ = a_round(desk, a_technician(desk, "Tobin Ashe"), FRIDAY)
    changed(desk, planned, planned_on=FRIDAY, round_id=round_.id, told=False)
    (here,), (there,), (after,) = (
        of_day(desk).lines, of_day(desk, FRIDAY).lines, tell_changed(desk).lines
    )  # fmt: skip
    assert here == there == after
    assert (here.why, here.day, here.before_on) == ("moved", FRIDAY, THURSDAY)
    assert "has moved: we come on Friday, October 16 in the morning, no longer on Thursday, October 15" in here.text  # fmt: skip
    mark_told(desk, here)
    assert of_day(desk).lines == ()
    assert tell_changed(desk).lines == ()
    assert of_day(desk, FRIDAY).lines[0].is_told


def test_a_visit_called_off_is_told_once(desk, planned):
    mark_told(desk, of_day(desk).lines[0])
    changed(desk, planned, planned_on=None, round_id=None, place=None)
    (line,) = of_day(desk).lines
    assert (line.why, line.day, line.before_on) == ("called_off", None, THURSDAY)
    assert "on Thursday, October 15 does not take place" in line.text
    mark_told(desk, line)
    assert of_day(desk).lines[0].is_told
    assert tell_changed(desk).lines == ()


def test_what_was_said_before_it_was_called_off_does_not_tell_that_it_was(desk, planned):
    mark_told(desk, of_day(desk).lines[0])
    tell(desk, About(visit_id=planned.id), whom="Ruth", what="Lena has the key")
    later = replace(desk, clock=Clock(desk.clock.zone, now_utc=lambda: NOW + timedelta(hours=1)))
    desk.store.now, before = later.clock.now, desk.store.now
    changed(later, planned, planned_on=None, round_id=None, place=None)
    desk.store.now = before
    (line,) = of_day(later).lines
    assert (line.why, line.is_told) == ("called_off", False)


def test_a_visit_nobody_was_told_of_is_called_off_in_silence(desk, planned):
    changed(desk, planned, planned_on=None, round_id=None, place=None)
    assert of_day(desk).lines == ()


def test_a_time_that_will_not_be_kept_is_told_with_the_time_it_will_be(desk, planned):
    changed(desk, planned, promise_from_min=480, promise_until_min=540, told=True)
    (line,) = of_day(desk).lines
    assert (line.why, line.why_text) == ("late", "arrives 9:20 am, promised by 9:00 am")
    assert "at about 9:20 am, later than we said (before 9:00 am)" in line.text
    mark_told(desk, line)
    with desk.store.read() as session:
        visit = session.get(Visit, planned.id)
        assert (visit.promise_from_min, visit.promise_until_min) == (530, 590)
    assert of_day(desk).lines[0].is_told


def test_promised_times_stand_in_the_text(desk, planned):
    changed(desk, planned, promise_from_min=540, promise_until_min=660)
    assert "between 9:00 am and 11:00 am" in of_day(desk).lines[0].text


def test_each_way_has_its_link_and_the_text_is_in_it(desk, planned):
    who = customer_of(desk, planned)
    changed(desk, who, Customer, preferred_way="text", email="ruth@example.org")
    (line,) = of_day(desk).lines
    assert line.way == "text"
    assert parse_qs(urlsplit(line.link).query)["body"] == [line.text]
    changed(desk, who, Customer, preferred_way="email")
    (line,) = of_day(desk).lines
    link = urlsplit(line.link)
    assert (link.scheme, link.path) == ("mailto", "ruth@example.org")
    assert parse_qs(link.query)["subject"] == [
        "Sallow Fork Onsite Care: our visit to 118 Dry Hollow Lane"
    ]
    changed(desk, who, Customer, preferred_way="letter")
    assert (of_day(desk).lines[0].way, of_day(desk).lines[0].link) == ("letter", "")


def test_what_is_not_known_is_said_and_another_way_is_taken(desk, planned):
    changed(desk, customer_of(desk, planned), Customer, preferred_way="email")
    (line,) = of_day(desk).lines
    assert (line.way, line.note) == ("phone", "Prefers e-mail, but nothing for that is known")
    site = a_site(desk, "10 Quarry Spur", owner=None)
    a_visit(desk, site, planned_on=THURSDAY)
    (other,) = (one for one in of_day(desk).lines if one.address == "10 Quarry Spur")
    assert (other.whom, other.note, other.links) == (
        "10 Quarry Spur", "Nobody is known at this site", {}
    )  # fmt: skip


def test_who_lives_there_is_told_before_who_owns_it(desk, planned):
    tenant = a_customer(desk, "Ashdown, Peg", phone="409 555 0199")
    with desk.store.change("Ines", "Rented") as work:
        work.add(SiteRole(site_id=planned.site_id, customer_id=tenant.id, role="occupant"))
    assert of_day(desk).lines[0].whom == "Peg Ashdown"


def test_spanish_is_spoken_with_its_days_and_times(desk, planned):
    changed(desk, customer_of(desk, planned), Customer, language="es")
    changed(desk, planned, promise_from_min=540, promise_until_min=900)
    (line,) = of_day(desk).lines
    assert line.language == "es"
    # CLDR: Spanish writes weekdays and months small, and "3:00 p. m." in the United States
    assert "el jueves 15 de octubre entre las 9:00" in line.text
    assert "la inspección periódica" in line.text


def test_a_language_without_texts_is_said_and_told_in_english(desk, planned):
    changed(desk, customer_of(desk, planned), Customer, language="cs")
    (line,) = of_day(desk).lines
    assert line.language == "en"
    assert "(cs)" in line.note
    assert line.text.startswith("Hello Ruth Quillan")


def test_a_day_that_has_passed_and_a_visit_that_was_made_tell_nobody(desk, planned):
    changed(desk, planned, arrived_at=desk.clock.now())
    assert of_day(desk).lines == ()
    changed(desk, planned, arrived_at=None, planned_on=TODAY - timedelta(days=1), round_id=None)
    assert tell_list(desk, TODAY - timedelta(days=7), TODAY).lines == ()


def test_a_list_asks_the_store_as_often_for_ten_lines_as_for_one(desk, planned, count_queries):
    with count_queries(desk.store) as one:
        of_day(desk)
    for n in range(9):
        a_visit(desk, a_site(desk, f"{n} Weir", owner=f"Owner {n}"), planned_on=THURSDAY)
    with count_queries(desk.store) as ten:
        assert len(of_day(desk).lines) == 10
    assert len(ten) == len(one)


def test_the_csv_carries_all_and_no_formula(desk, planned):
    changed(desk, customer_of(desk, planned), Customer, name="=HYPERLINK(1)")
    read = list(csv.reader(StringIO(tell_csv(of_day(desk)).decode("utf-8-sig"))))
    assert read[0][:3] == ["told", "whom", "way"]
    assert read[1][:4] == ["no", "'=HYPERLINK(1)", "phone", "409 555 0123"]
    assert read[1][6] == "2026-10-15"


def test_names_are_turned_as_one_speaks_to_people():
    assert natural_name("Quillan, Ruth") == "Ruth Quillan"
    assert natural_name("Abbot Fen HOA") == "Abbot Fen HOA"
    assert natural_name("Quillan, Hobb, and Ashe") == "Quillan, Hobb, and Ashe"


# the company's own texts


def test_the_companys_own_text_is_taken_for_that_entry_alone(file_desk, tmp_path):
    folder = tmp_path / "own"
    folder.mkdir()
    (folder / "tell-en.yaml").write_text("new: 'Hi {name}, {day}!'\nwork: {inspection: checkup}\n")
    texts = tell_texts("en", folder)
    assert texts.is_own
    assert texts.say("new", name="Ruth", day="Thursday") == "Hi Ruth, Thursday!"
    assert texts.work["inspection"] == "checkup"
    assert texts.texts["moved"] == tell_texts("en").texts["moved"]


def test_own_texts_beside_the_store_are_used(file_desk):
    site = a_site(file_desk)
    a_visit(file_desk, site, planned_on=THURSDAY)
    folder = texts_folder(file_desk.store.place)
    paths = write_own_texts(folder)
    assert [p.name for p in paths] == ["tell-en.yaml", "tell-es.yaml"]
    assert of_day(file_desk).lines[0].text.startswith("Hello Ruth")
    paths[0].write_text("new: 'Hi {name}'")
    assert of_day(file_desk).lines[0].text == "Hi Ruth Quillan"
    assert write_own_texts(folder) == paths
    assert paths[0].read_text() == "new: 'Hi {name}'"


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("new: 'Hi {nam}'", "{nam}"),
        ("new: 'Hi {name.__class__}'", "name.__class__"),
        ("new: 'Hi {name'", "never closed"),
        ("newest: 'Hi'", "newest"),
        ("new: ''", "no words"),
        ("new: [1]", "no words"),
        ("- new", "no entries"),
        ("work: soon", "work"),
        ("new: 'x", "YAML"),
        ("between: '{name}'", "{name}"),
    ],
)
def test_texts_that_cannot_be_used_are_refused_with_their_reason(tmp_path, text, why):
    (tmp_path / "tell-en.yaml").write_text(text)
    with pytest.raises(Trouble) as told:
        tell_texts("en", tmp_path)
    assert why in str(told.value)
    assert "tell-en.yaml" in str(told.value)


def test_a_language_of_the_company_alone_is_spoken(tmp_path):
    (tmp_path / "tell-cs.yaml").write_text("new: 'Dobrý den, {name}'", encoding="utf-8")
    assert tell_texts("cs", tmp_path).say("new", name="Ruth") == "Dobrý den, Ruth"
    assert tell_texts("../cs", tmp_path).language == "en"


def test_both_languages_shipped_have_the_same_entries_and_holes():
    """A hole that is missing in one language would leave out the day or the number there."""
    import string

    def holes(text):
        return {name for _, name, _, _ in string.Formatter().parse(text) if name}

    english, spanish = tell_texts("en"), tell_texts("es")
    assert english.texts.keys() == spanish.texts.keys()
    assert english.work.keys() == spanish.work.keys()
    for entry, text in english.texts.items():
        assert holes(text) == holes(spanish.texts[entry]), entry


def test_a_way_that_does_not_exist_is_our_mistake(desk, planned):
    (line,) = of_day(desk).lines
    with pytest.raises(ValueError, match="smoke"):
        mark_told(desk, replace(line, way="smoke"))
