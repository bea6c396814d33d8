"""Contracts on a site's file: the picture's shapes, and a contract written, signed, ended by hand."""

from datetime import date
from types import SimpleNamespace

import pytest
from PySide6.QtCore import Qt

from servicedesk.desk.contract_file import contract_file
from servicedesk.desk.front import FrontOffice
from servicedesk.papers.fonts import width_of
from servicedesk.values.shapes import Line, Mark, TextBox
from servicedesk.window.places.registry import all_places
from servicedesk.window.widgets.contract_shapes import ROW, contract_figure
from servicedesk.window.widgets.site_words import contract_line
from tests.builders import a_contract, a_done_visit, a_site, a_system
from tests.desk.conftest import _seated


@pytest.fixture
def desk(file_store):
    return _seated(file_store)


def figure(desk, site, width=900.0):
    return contract_figure(contract_file(desk, site.id), width, width_of, 1.0)


def marks(found, key):
    return [one for one in found.shapes if isinstance(one, Mark) and one.key == key]


def test_windows_stand_where_their_days_lie_and_attempts_apart(desk):
    # April 1 to March 31: thirds close July 31, November 30, March 31
    site = a_site(desk)
    a_contract(desk, site)
    a_done_visit(desk, site, date(2026, 6, 30))
    a_done_visit(
        desk, site, date(2026, 8, 20), job={"outcome": "could not", "could_not": "no access"}
    )
    found = figure(desk, site)

    left, right = 900 * 0.29, 900 * 0.75
    per_day = (right - left) / 365
    (done,) = marks(found, "done")
    assert done.x == pytest.approx(left + 90 * per_day)  # June 30 is 90 days after April 1
    (tried,) = marks(found, "tried")
    assert tried.x == pytest.approx(left + 141 * per_day)  # August 20
    assert tried.y > done.y  # below the line of the windows
    legs = {round(one.x1, 3) for one in found.shapes if isinstance(one, Line) and one.x1 == one.x2}
    closing = left + 122 * per_day - 1  # July 31 is the 122nd day, its end the leg
    assert any(abs(x - closing) < 0.01 for x in legs)
    assert found.height == ROW


def test_every_text_of_the_picture_keeps_to_its_box_and_none_overlap(desk):
    site = a_site(desk)
    a_contract(desk, site, from_on=date(2024, 1, 1), until_on=date(2025, 1, 1))
    a_contract(desk, site, ended_on=date(2026, 9, 1), ended_why="moved far away to another county")
    for width in (640.0, 1100.0):
        found = figure(desk, site, width)
        texts = [one for one in found.shapes if isinstance(one, TextBox)]
        for n, one in enumerate(texts):
            assert width_of(one.text, one.font) <= one.box.width + 1
            assert not any(one.box.touches(other.box) for other in texts[n + 1 :])
    assert [one.text for one in texts if one.key == "gap"] != []


@pytest.fixture
def opened(qtbot, open_window, desk):
    def now(site):
        kinds = [k for k in all_places() if k.id == "sites"]
        window = open_window(FrontOffice(desk), kinds)
        window.shell.go("sites", site.id)
        settle(qtbot, window)
        qtbot.waitUntil(lambda: window.place.file.contracts.file is not None)
        return window

    return now


def settle(qtbot, window):
    qtbot.waitUntil(lambda: not window.shell.work.is_busy)
    qtbot.wait(20)
    qtbot.waitUntil(lambda: not window.shell.work.is_busy)


def fill(window, **texts):
    form = window.place.forms.form(window.place.desk)
    for name, text in texts.items():
        form.fields[name].put_text(text)
    form.write()
    return form


def test_a_contract_is_written_signed_and_sold_from_the_file(qtbot, desk, opened):
    site = a_site(desk)
    window = opened(site)
    sheet = window.place.file.contracts
    qtbot.mouseClick(sheet.buttons["new"], Qt.MouseButton.LeftButton)
    form = window.place.forms.form(desk)
    form.fields["signed"].put(False)
    form = fill(window, from_on="Nov 1, 2026", until_on="Oct 1, 2026", price_minor="385")
    settle(qtbot, window)
    assert form.fields["until_on"].is_wrong  # nothing is lost
    assert form.fields["price_minor"].text() == "385"
    fill(window, until_on="")
    settle(qtbot, window)
    assert sheet.chosen.state == "draft"

    qtbot.mouseClick(sheet.buttons["sign"], Qt.MouseButton.LeftButton)
    settle(qtbot, window)
    assert sheet.chosen.state_text == "signed, begins Nov 1, 2026"
    qtbot.mouseClick(sheet.buttons["sold"], Qt.MouseButton.LeftButton)
    fill(window, buyer="Marsh, Ida", on="Oct 10, 2026")
    settle(qtbot, window)
    assert sheet.chosen.row.holder == "Marsh, Ida"


def test_buttons_offer_only_what_the_chosen_contract_allows(qtbot, desk, opened):
    site = a_site(desk)
    a_contract(desk, site, from_on=date(2024, 1, 1), until_on=date(2025, 1, 1))
    a_contract(desk, site)
    window = opened(site)
    sheet = window.place.file.contracts
    assert sheet.buttons["end"].isEnabled()
    assert not sheet.buttons["sign"].isEnabled()

    sheet.rows.setFocus()
    qtbot.keyClick(sheet.rows, Qt.Key.Key_End)
    assert sheet.chosen.state == "ended"
    assert not sheet.buttons["end"].isEnabled()


def test_the_find_box_opens_the_contracts_and_the_bills(qtbot, desk, opened):
    site = a_site(desk)
    a_contract(desk, site)
    office = FrontOffice(desk)
    (one,) = [found for found in office.find("contract dry hollow") if found.ids[1:]]
    assert (one.place, one.ids) == ("sites", (site.id, "contracts"))
    assert [f.place for f in office.find("bill")] == ["bills"]

    window = opened(site)
    window.shell.go("sites")
    settle(qtbot, window)
    window.shell.go(one.place, *one.ids)
    settle(qtbot, window)
    qtbot.waitUntil(window.place.file.contracts.rows.hasFocus)


def test_a_contract_over_one_of_two_systems_is_named_in_its_row(qtbot, desk, opened):
    site = a_site(desk)
    a_system(desk, site, label="barn")
    window = opened(site)
    sheet = window.place.file.contracts
    qtbot.mouseClick(sheet.buttons["new"], Qt.MouseButton.LeftButton)
    fill(window, systems="Barn", price_minor="385", from_on="Oct 14, 2026")
    settle(qtbot, window)

    (life,) = contract_file(desk, site.id).lives
    assert "covers barn" in life.facts
    texts = [one.text for one in figure(desk, site).shapes if isinstance(one, TextBox)]
    assert "3 owed, 0 done" in texts
    assert any(text.startswith("barn · Oct 14, 2026") for text in texts)


@pytest.mark.parametrize(
    ("ended_on", "said"),
    [
        (None, "Contract 1: Jan 1, 2026 to Dec 31, 2026, running"),
        (date(2026, 10, 10), "Contract 1: Jan 1, 2026 to Oct 9, 2026, over"),
        (date(2026, 11, 1), "Contract 1: Jan 1, 2026 to Oct 31, 2026, ending"),
    ],
)
def test_a_contract_that_was_ended_is_not_said_to_run(desk, ended_on, said):
    row = SimpleNamespace(number=1, from_on=date(2026, 1, 1), until_on=date(2027, 1, 1),
                          ended_on=ended_on, stage="running")  # fmt: skip

    assert contract_line(desk, row) == said
