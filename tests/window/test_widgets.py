import pytest
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from servicedesk.values import shapes
from servicedesk.window.actions import Act, Actions
from servicedesk.window.ink import Ink
from servicedesk.window.paint_shapes import ScreenMeasure, paint_shapes
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.choice import Choice, Tick
from servicedesk.window.widgets.field import SentenceField
from servicedesk.window.widgets.label import Chip, LinkLabel, OneLine, Words
from servicedesk.window.widgets.sheet import Sheet


@pytest.fixture
def page(qtbot, theme):
    widget = QWidget()
    qtbot.addWidget(widget)
    widget.column = QVBoxLayout(widget)
    widget.resize(500, 300)
    return widget


def ring_of(page):
    rings = [w for w in page.findChildren(QWidget) if type(w).__name__ == "_Ring" and w.isVisible()]
    return rings[0] if rings else None


def test_the_focus_ring_stands_two_pixels_off_the_widget_that_has_the_keys(qtbot, page, theme):
    first, second = Button(theme, "Write"), Button(theme, "Leave")
    page.column.addWidget(first)
    page.column.addWidget(second)
    page.show()
    page.activateWindow()
    qtbot.waitUntil(page.isActiveWindow)
    second.setFocus()

    assert ring_of(page).geometry() == second.geometry().adjusted(-4, -4, 4, 4)

    page.resize(700, 400)
    page.column.activate()
    assert ring_of(page).geometry() == second.geometry().adjusted(-4, -4, 4, 4)
    second.clearFocus()
    assert ring_of(page) is None


def test_a_wrong_entry_stays_in_its_field_and_is_mended_by_one_key(qtbot, page, theme):
    entry = QLineEdit("Dec 31, 2026")
    field = SentenceField(theme, "Ends", entry, put_in=entry.setText)
    page.column.addWidget(field)
    page.show()
    page.activateWindow()
    qtbot.waitUntil(page.isActiveWindow)

    field.show_wrong("Ends before it starts.", correction="Dec 31, 2027")
    assert entry.text() == "Dec 31, 2026"
    assert field.is_wrong
    assert entry.accessibleName() == "Ends"
    assert entry.accessibleDescription() == "Ends before it starts."

    with qtbot.waitSignal(field.corrected):
        qtbot.keyClick(entry, Qt.Key.Key_U, Qt.KeyboardModifier.AltModifier)
    assert entry.text() == "Dec 31, 2027"
    assert not field.is_wrong


def test_a_button_is_wide_enough_for_words_icon_and_key(page, theme):
    plain = Button(theme, "Log a call")
    full = Button(theme, "Log a call", icon_name="phone", key="F4", kind="main", shows_only=True)

    assert full.sizeHint().width() > plain.sizeHint().width() + 30
    assert full.sizeHint().height() == theme.height("control")


def test_enter_presses_the_button_that_has_the_keys(qtbot, page, theme):
    button = Button(theme, "Write the call")
    page.column.addWidget(button)
    page.show()
    with qtbot.waitSignal(button.clicked):
        qtbot.keyClick(button, Qt.Key.Key_Return)


def test_words_keep_role_and_color_when_the_theme_changes(page, theme):
    words = Words(theme, "Owed", role="sheet_title", color="ochre")
    page.column.addWidget(words)
    theme.use("dark")
    theme.set_text_size(130)

    assert words.palette().windowText().color() == theme.color("ochre")
    assert words.font().pixelSize() == round(16 * 1.3)


def test_texts_are_read_aloud_as_they_stand(theme):
    assert (
        Chip(theme, "Two dogs, ring first", "clay", "dog").accessibleName()
        == "Two dogs, ring first"
    )
    assert LinkLabel(theme, "118 Dry Hollow Lane").accessibleName() == "118 Dry Hollow Lane"
    assert OneLine(theme, "Moved").accessibleName() == "Moved"
    assert Sheet(theme, "Owed").accessibleName() == "Owed"


def test_a_tick_is_set_by_space_or_by_pressing_its_words(qtbot, page, theme):
    tick = Tick(theme, "told the customer")
    page.column.addWidget(tick)
    page.show()
    qtbot.keyClick(tick, Qt.Key.Key_Space)
    assert tick.isChecked()

    qtbot.mouseClick(tick, Qt.MouseButton.LeftButton, pos=tick.rect().center())
    assert not tick.isChecked()


def test_a_choice_shows_its_arrow_in_both_themes(qtbot, page, theme):
    choice = Choice(theme, "Visits a year")
    choice.addItems(["three", "two"])
    page.column.addWidget(choice)
    page.show()
    for name in ("light", "dark"):
        theme.use(name)
        picture = choice.grab().toImage()
        right = range(choice.width() - 24, choice.width() - 8)
        middle = range(choice.height() // 2 - 6, choice.height() // 2 + 6)
        seen = {picture.pixelColor(x, y).name() for x in right for y in middle}
        assert theme.color("ink2").name() in seen


def test_words_never_run_as_markup(theme):
    words = Words(theme, "<b>R&D</b>")
    assert words.textFormat() == Qt.TextFormat.PlainText


def test_an_action_that_cannot_be_done_says_why_and_does_nothing(qtbot, page, theme):
    done, why = [], ["The round is handed out."]
    acts = Actions(
        page,
        theme,
        [Act(id="move", text="Move", do=lambda: done.append(1), when=lambda: why[0])],
    )
    acts.refresh()
    assert not acts["move"].isEnabled()
    assert acts["move"].toolTip() == "The round is handed out."
    assert acts.run("move") == "The round is handed out."
    assert done == []

    why[0] = None
    acts.refresh()
    assert acts["move"].isEnabled()
    assert acts.run("move") is None
    assert done == [1]


def test_two_actions_of_one_name_are_our_mistake(page, theme):
    act = Act(id="move", text="Move", do=list)
    with pytest.raises(ValueError, match="move"):
        Actions(page, theme, [act, act])


def drawn(theme, shape, size=60):
    image = QImage(size, size, QImage.Format.Format_ARGB32)
    image.fill(theme.color("sheet"))
    with QPainter(image) as painter:
        paint_shapes(Ink(painter, theme), [shape])
    return image


BOX = shapes.Box(10, 10, 40, 40)


@pytest.mark.parametrize(
    "shape",
    [
        shapes.TextBox(BOX, "31", shapes.Font(20, 600)),
        shapes.Rect(BOX, fill="soft.water"),
        shapes.Hatch(BOX),
        shapes.Icon("bell", BOX),
        shapes.Line(10, 30, 50, 30),
        shapes.Polyline(((10, 10), (50, 30), (10, 50)), fill="moss"),
        shapes.Bracket(12, 48, 12, 6),
        *(shapes.Mark(kind, 30, 30, 24) for kind in ("disc", "square", "diamond", "pentagon")),
        *(shapes.Mark(kind, 30, 30, 24) for kind in ("triangle", "cross", "tick", "padlock")),
    ],
    ids=lambda shape: f"{type(shape).__name__} {getattr(shape, 'kind', '')}",
)
def test_every_shape_leaves_ink_where_it_says_and_nowhere_else(theme, shape):
    image = drawn(theme, shape)
    ground = theme.color("sheet").name()
    inked = {
        (x, y) for x in range(60) for y in range(60) if image.pixelColor(x, y).name() != ground
    }
    bounds = shape.bounds.grown(4)  # pens and tips of marks

    assert inked
    assert all(
        QRectF(bounds.x, bounds.y, bounds.width, bounds.height).contains(x, y) for x, y in inked
    )


def test_a_qr_code_is_for_paper(theme):
    with pytest.raises(TypeError, match="QrCode"):
        drawn(theme, shapes.QrCode(BOX, "geo:0,0"))


def test_the_screen_measures_what_it_draws(theme):
    measure = ScreenMeasure(theme)
    narrow, wide = measure("1111", shapes.Font(13)), measure("1111", shapes.Font(26))

    assert wide == pytest.approx(2 * narrow, rel=0.1)
    assert measure("0000", shapes.Font(13)) == narrow
