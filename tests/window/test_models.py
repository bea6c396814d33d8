from dataclasses import dataclass

import pytest
from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtWidgets import QTableView

from servicedesk.window.models.lazy_table import PAGE, Column, LazyTable
from servicedesk.window.models.roles import Role
from servicedesk.window.models.row_delegate import CellPainter
from servicedesk.window.models.row_list import Row, RowList


@dataclass(frozen=True)
class Site:
    street: str
    owner: str
    calls: int


COLUMNS = (
    Column("Site", lambda site: site.street, second=lambda site: site.owner),
    Column("Calls", lambda site: str(site.calls), right=True, tip=lambda site: "last 2 years"),
)


def a_site(n):
    return Site(f"{n} Dry Hollow Lane", "Quillan", n % 7)


class Shelf:
    """Keeps what was asked for; gives it when told."""

    def __init__(self):
        self.asked = []

    def want(self, ids):
        self.asked.append(tuple(ids))


@pytest.fixture
def table(qapp):
    shelf = Shelf()
    model = LazyTable(COLUMNS, shelf.want)
    model.shelf = shelf
    return model


def text(model, row, column=0):
    return model.data(model.index(row, column))


def test_the_table_keeps_qt_s_rules_empty_waiting_and_filled(qtmodeltester, table):
    qtmodeltester.check(table)
    table.set_ids(range(500))
    qtmodeltester.check(table)
    table.put({n: a_site(n) for n in range(PAGE)})
    qtmodeltester.check(table)


def test_rows_are_asked_for_once_a_page_and_only_when_seen(table):
    table.set_ids(range(10_000))
    assert table.shelf.asked == []

    for row in (450, 451, 599):
        assert text(table, row) == ""

    assert table.shelf.asked == [tuple(range(400, 600))]


def test_rows_put_in_are_told_to_the_view_and_strangers_are_ignored(qtbot, table):
    table.set_ids([7, 5, 9])
    assert text(table, 1) == ""

    with qtbot.waitSignal(table.dataChanged) as told:
        table.put({5: a_site(5), 123: a_site(123)})

    assert (told.args[0].row(), told.args[1].row()) == (1, 1)
    assert text(table, 1) == "5 Dry Hollow Lane"
    assert table.data(table.index(1, 0), Role.SECOND) == "Quillan"
    assert table.data(table.index(1, 1), Qt.ItemDataRole.ToolTipRole) == "last 2 years"
    assert table.data(table.index(1, 0), Role.ROW_ID) == 5


def test_a_changed_record_is_fetched_again_when_it_is_seen(table):
    table.set_ids([7, 5, 9])
    text(table, 0)
    table.put({n: a_site(n) for n in (7, 5, 9)})
    table.shelf.asked.clear()

    table.forget([5])

    assert text(table, 1) == ""
    assert table.shelf.asked == [(7, 5, 9)]
    assert text(table, 0) == "7 Dry Hollow Lane"


def test_a_long_walk_keeps_memory_bounded(table):
    table.set_ids(range(PAGE * 100))
    for page in range(100):
        text(table, page * PAGE)
        table.put({n: a_site(n) for n in range(page * PAGE, (page + 1) * PAGE)})

    assert len(table._rows) <= 24 * PAGE
    assert text(table, 100 * PAGE - 1) == f"{100 * PAGE - 1} Dry Hollow Lane"
    assert text(table, 0) == ""


def test_data_does_not_fail_for_a_row_that_is_gone(table):
    table.set_ids(range(5))
    gone = table.index(4, 0)
    table.set_ids(range(2))

    assert table.data(gone) is None
    assert table.data(QModelIndex()) is None
    assert table.row_of(4) == -1


def test_a_painted_table_shows_rows_of_one_height(qtbot, theme, table):
    view = QTableView()
    qtbot.addWidget(view)
    painter = CellPainter(theme, parent=view)
    view.setModel(table)
    view.setItemDelegate(painter)
    view.verticalHeader().setDefaultSectionSize(painter.row_height)
    table.set_ids(range(1000))
    view.resize(400, 300)
    view.show()
    qtbot.waitExposed(view)
    table.put({n: a_site(n) for n in range(PAGE)})
    view.selectRow(1)

    picture = view.grab().toImage()

    assert painter.row_height == theme.height("row_roomy")
    y = view.rowViewportPosition(1) + view.viewport().y() + painter.row_height // 2
    x = view.viewport().x() + 1
    assert picture.pixelColor(x, y).name() == theme.color("water").name()


def test_the_short_list_keeps_qt_s_rules_and_steps_over_headings(qtmodeltester, qapp):
    model = RowList()
    model.set_rows(
        [
            Row(title="Sites", is_heading=True),
            Row(title="118 Dry Hollow Lane"),
            Row(title="Do", is_heading=True),
            Row(title="Log a call"),
        ]
    )
    qtmodeltester.check(model)

    assert model.step(-1, 1) == 1
    assert model.step(1, 1) == 3
    assert model.step(3, 1) == 3
    assert model.step(3, -1) == 1
    assert not model.flags(model.index(0)) & Qt.ItemFlag.ItemIsSelectable
