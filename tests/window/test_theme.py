import re
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFontInfo, QImage, QPainter, QPalette
from PySide6.QtWidgets import QApplication, QPushButton, QWidget

from servicedesk.values.tokens import load_tokens
from servicedesk.window import style_sheet as sheet_module
from servicedesk.window.icons import icon_pixmap
from servicedesk.window.ink import Ink, hatch_lines
from servicedesk.window.theme import register_fonts

WINDOW = Path(sheet_module.__file__).parent
ICONS = WINDOW.parents[1] / "resources" / "icons"


def test_methods_that_return_nothing_take_no_reference_from_none(qtbot):
    """House style section 1: PySide6 6.12.0 on Python 3.11 loses one reference a call."""
    if sys.version_info >= (3, 12):
        assert sys.getrefcount(None) > 2**30, "None is immortal from 3.12 on"
        return
    widget = QWidget()
    qtbot.addWidget(widget)
    before = sys.getrefcount(None)

    for n in range(2000):
        widget.setWindowTitle(str(n))

    assert abs(sys.getrefcount(None) - before) < 200


def test_no_color_value_stands_outside_the_tokens():
    found = [
        f"{path.relative_to(WINDOW)}: {value}"
        for path in WINDOW.rglob("*.py")
        for value in re.findall(r"#[0-9a-fA-F]{6}\b|#[0-9a-fA-F]{3}\b", path.read_text("utf-8"))
    ]
    assert found == []


def test_the_style_sheet_stays_under_two_hundred_lines(theme):
    made = sheet_module.style_sheet(theme.tokens, 1.0)
    assert len(made.splitlines()) < 200
    assert "$" not in made


@pytest.mark.parametrize("name", ["light", "dark"])
def test_palette_and_sheet_follow_the_theme(theme, name):
    theme.use(name)

    colors = load_tokens(name).colors
    palette = QApplication.palette()
    assert palette.color(QPalette.ColorRole.Window).name().upper() == colors.ground
    assert palette.color(QPalette.ColorRole.Text).name().upper() == colors.ink
    assert colors.water in QApplication.instance().styleSheet()


def test_the_bundled_fonts_are_used_and_figures_stand_in_columns(theme):
    assert {"Inter", "Onsite Title"} <= set(register_fonts())
    assert QFontInfo(theme.font("text")).family() == "Inter"
    assert QFontInfo(theme.font("page_title")).family() == "Onsite Title"
    metrics = theme.metrics("text")
    widths = {metrics.horizontalAdvance(figure * 20) for figure in "0123456789"}
    assert len(widths) == 1


@pytest.mark.parametrize("percent", [90, 100, 115, 130])
def test_text_and_heights_grow_together(theme, percent):
    theme.set_text_size(percent)

    assert theme.font("text").pixelSize() == round(13 * percent / 100)
    assert theme.height("control") == round(32 * percent / 100)
    assert theme.metrics("text").height() < theme.height("control")


def test_a_text_size_that_is_not_offered_is_refused(theme):
    with pytest.raises(ValueError, match="110"):
        theme.set_text_size(110)


def test_the_theme_follows_the_system_until_one_is_chosen(theme, qapp, monkeypatch):
    """The platform without a screen knows no color scheme; the system's word is put in."""
    theme.use(None)
    monkeypatch.setattr("servicedesk.window.theme._system_theme", lambda: "dark")

    qapp.styleHints().colorSchemeChanged.emit(Qt.ColorScheme.Dark)
    assert theme.name == "dark"

    theme.use("light")
    qapp.styleHints().colorSchemeChanged.emit(Qt.ColorScheme.Dark)
    assert theme.name == "light"


def test_a_disabled_main_button_does_not_look_pressed_or_ready(qtbot, theme):
    button = QPushButton("Write")
    button.setProperty("kind", "main")
    qtbot.addWidget(button)
    button.resize(120, 32)
    ready = button.grab().toImage().pixelColor(6, 16)
    button.setEnabled(False)
    assert button.grab().toImage().pixelColor(6, 16) != ready


def test_every_icon_is_drawn_by_stroke_in_one_color_slot():
    files = sorted(ICONS.glob("*.svg"))
    assert len(files) >= 45
    for file in files:
        text = file.read_text("utf-8")
        assert text.count("currentColor") == 1, file.name
        assert 'viewBox="0 0 20 20"' in text, file.name
        assert 'fill="none"' in text, file.name
        assert "#" not in text, file.name


def test_an_icon_is_crisp_at_twice_the_pixels_and_in_the_token_s_color(theme):
    pixmap = icon_pixmap("stop", 20, theme.color("clay"), 2.0)

    assert (pixmap.width(), pixmap.devicePixelRatio()) == (40, 2.0)
    image = pixmap.toImage()
    drawn = {
        image.pixelColor(x, y).name()
        for x in range(40)
        for y in range(40)
        if image.pixelColor(x, y).alpha() == 255
    }
    assert drawn == {theme.color("clay").name()}


def test_an_icon_that_does_not_exist_is_our_mistake(theme):
    with pytest.raises(FileNotFoundError, match=r"unicorn\.svg"):
        icon_pixmap("unicorn", 20, theme.color("ink"))


@pytest.mark.parametrize("box", [(3, 5, 40, 12), (0.5, 0.5, 7, 60), (100, 20, 1, 1), (0, 0, 0, 9)])
def test_hatch_lines_are_rising_and_cut_at_the_box(box):
    rect = QRectF(*box)
    lines = hatch_lines(rect, 5)

    for line in lines:
        assert line.dx() > 0
        assert line.dx() == pytest.approx(-line.dy())
        for point in (line.p1(), line.p2()):
            assert rect.adjusted(-1e-9, -1e-9, 1e-9, 1e-9).contains(point)
    assert len(lines) >= int((rect.width() + rect.height()) / 5) - 1


def test_long_text_is_shortened_inside_its_box(theme):
    image = QImage(200, 20, QImage.Format.Format_ARGB32)
    image.fill(Qt.GlobalColor.white)
    with QPainter(image) as painter:
        ink = Ink(painter, theme)
        place = ink.text(QRectF(0, 0, 60, 20), "118 Dry Hollow Lane, upper gate")

    assert place.right() <= 61
    right_half = {image.pixelColor(x, y).name() for x in range(64, 200) for y in range(20)}
    assert len(right_half) == 1
