"""The page *What if*: a question, twelve months, what was assumed."""

from PySide6.QtCore import Qt

from servicedesk.window.places.registry import all_places
from tests.window.rounds_office import an_office


def kinds():
    wanted = {kind.id: kind for kind in all_places()}
    return (wanted["ahead"], wanted["what_if"])


def opened(file_store, open_window, qtbot):
    office = an_office(file_store)
    window = open_window(office, kinds())
    window.shell.go("what_if")
    place = window.place
    qtbot.waitUntil(lambda: place.answer is not None and not place.is_asking)
    return place


def test_a_question_is_answered_beside_the_year_as_it_is(file_store, open_window, qtbot):
    place = opened(file_store, open_window, qtbot)
    assert place.answer.now == place.answer.then
    assert place.without.count() == 3  # nobody, Lena, Tobin

    place.more.setText("60")
    qtbot.keyClick(place.more, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: not place.is_asking)

    assert place.answer.now != place.answer.then
    assert any("60 more sites" in one for one in place.answer.assumed)
    assert place.answer.names[0] in place.table.accessibleDescription()
    assert "60 more sites" in place.assumed.text()


def test_a_wrong_number_is_said_at_the_field_and_asks_nothing(file_store, open_window, qtbot):
    place = opened(file_store, open_window, qtbot)
    before = place.answer

    place.more.setText("many")
    place.ask()

    assert "number of sites" in place.wrong.text()
    assert place.answer is before
    assert not place.is_asking
