"""Colors, fonts and sizes of the window, made from the tokens for one theme and text size."""

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from PySide6.QtCore import QObject, Qt, Signal, Slot
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontDatabase,
    QFontInfo,
    QFontMetricsF,
    QGuiApplication,
    QPalette,
)
from PySide6.QtWidgets import QApplication

from servicedesk.values import tokens as look
from servicedesk.values.resources import resource
from servicedesk.window.icons import forget_icons
from servicedesk.window.style_sheet import style_sheet

TEXT_SIZES = (90, 100, 115, 130)
_TITLE_FALLBACK = "Inter"  # the title family knows Western European letters only
_TNUM = "tnum"


@cache
def register_fonts() -> tuple[str, ...]:
    """Load the bundled fonts into Qt, once; the families found, sorted."""
    families: set[str] = set()
    for file in sorted(resource("fonts").iterdir(), key=lambda found: found.name):
        if file.name.endswith(".ttf"):
            number = QFontDatabase.addApplicationFontFromData(file.read_bytes())
            families.update(QFontDatabase.applicationFontFamilies(number))
    return tuple(sorted(families))


class Theme(QObject):
    """The look in force. `changed` is sent after another theme or text size was put on.

    Roles, colors and heights carry the names of the tokens.
    """

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        register_fonts()
        self._fonts: dict[tuple[str, int, bool], QFont] = {}
        self._metrics: dict[str, QFontMetricsF] = {}
        self._colors: dict[str, QColor] = {}
        self._percent = 100
        self._follows = True
        self.tokens = look.load_tokens(_system_theme())
        # both kept: PySide6 6.11 lets go of the inner object with the outer one
        self._hints = QGuiApplication.styleHints()
        self._contrast = self._hints.accessibility()
        self._hints.colorSchemeChanged.connect(self._system_changed)

    @property
    def name(self) -> look.Theme:
        """Which one: "light" or "dark"."""
        return self.tokens.theme

    @property
    def chosen(self) -> look.Theme | None:
        """The one chosen by hand, None while it follows the system."""
        return None if self._follows else self.name

    @property
    def text_size(self) -> int:
        """Size of all text in percent, one of `TEXT_SIZES`."""
        return self._percent

    @property
    def scale(self) -> float:
        """Text size as a factor."""
        return self._percent / 100

    @property
    def still(self) -> bool:
        """Whether the system asks for no motion."""
        effect = Qt.UIEffect.UI_AnimateMenu
        return not QApplication.isEffectEnabled(effect)

    @property
    def outlined(self) -> bool:
        """Whether the system asks for high contrast: tints become outlines."""
        return self._contrast.contrastPreference() == Qt.ContrastPreference.HighContrast

    def color(self, name: str) -> QColor:
        """The color of token `name`: "ink", "soft.water", "map.river"."""
        found = self._colors.get(name)
        if found is None:
            found = self._colors[name] = QColor(self.tokens.color(name))
        return found

    def soft(self, name: str) -> QColor:
        """The soft tint of a color; the sheet itself when tints shall be outlines."""
        return self.color("sheet" if self.outlined else f"soft.{name}")

    def font(self, role: str, *, weight: int = 0, underline: bool = False) -> QFont:
        """The font of a role, with figures that stand in columns; another `weight` on request."""
        key = (role, weight, underline)
        found = self._fonts.get(key)
        if found is None:
            found = self._fonts[key] = self._made_font(role, weight, underline=underline)
        return found

    def metrics(self, role: str) -> QFontMetricsF:
        """Metrics of a role's font."""
        found = self._metrics.get(role)
        if found is None:
            found = self._metrics[role] = QFontMetricsF(self.font(role))
        return found

    def px(self, length: float) -> int:
        """A length of 100 % at the text size in force."""
        return round(length * self.scale)

    def height(self, name: str) -> int:
        """A height among the tokens ("control", "row_roomy" ...) at the text size in force."""
        return self.px(getattr(self.tokens.height, name))

    def use(self, name: look.Theme | None) -> None:
        """Put on "light" or "dark"; None follows the system."""
        self._follows = name is None
        self._put_on(look.load_tokens(name or _system_theme()), self._percent)

    def set_text_size(self, percent: int) -> None:
        """Make all text `percent` of its usual size. Raises ValueError for a size not offered."""
        if percent not in TEXT_SIZES:
            raise ValueError(f"text size {percent} % is not one of {TEXT_SIZES}")
        self._put_on(self.tokens, percent)

    def apply(self) -> None:
        """Give style, palette, font and style sheet to the application."""
        app = QApplication.instance()
        if not isinstance(app, QApplication):
            raise TypeError("a theme is put on an application with widgets")
        app.setStyle("Fusion")
        app.setPalette(palette_of(self))
        app.setFont(self.font("text"))
        app.setStyleSheet(style_sheet(self.tokens, self.scale))

    def _put_on(self, tokens: look.Tokens, percent: int) -> None:
        self.tokens, self._percent = tokens, percent
        self._fonts.clear()
        self._metrics.clear()
        self._colors.clear()
        forget_icons()
        self.apply()
        self.changed.emit()

    def _made_font(self, role: str, weight: int, *, underline: bool) -> QFont:
        kind: look.TypeRole = getattr(self.tokens.type, role)
        font = QFont([kind.family, _TITLE_FALLBACK])
        font.setPixelSize(self.px(kind.px))
        font.setWeight(QFont.Weight(weight or kind.weight))
        font.setFeature(QFont.Tag(_TNUM), 1)
        font.setUnderline(underline)
        return font

    @Slot()
    def _system_changed(self) -> None:
        if self._follows and _system_theme() != self.name:
            self.use(None)


def palette_of(theme: Theme) -> QPalette:
    """The palette of Qt's own widgets."""
    palette = QPalette()
    for role, name in _ROLES.items():
        palette.setColor(role, theme.color(name))
    off = QPalette.ColorGroup.Disabled
    for role in (
        QPalette.ColorRole.Text,
        QPalette.ColorRole.WindowText,
        QPalette.ColorRole.ButtonText,
    ):
        palette.setColor(off, role, theme.color("ink3"))
    return palette


_ROLES: Mapping[QPalette.ColorRole, str] = MappingProxyType(
    {
        QPalette.ColorRole.Window: "ground",
        QPalette.ColorRole.WindowText: "ink",
        QPalette.ColorRole.Base: "sheet",
        QPalette.ColorRole.AlternateBase: "sheet",
        QPalette.ColorRole.Text: "ink",
        QPalette.ColorRole.PlaceholderText: "ink3",
        QPalette.ColorRole.Button: "sheet",
        QPalette.ColorRole.ButtonText: "ink",
        QPalette.ColorRole.BrightText: "clay",
        QPalette.ColorRole.Highlight: "water",
        QPalette.ColorRole.HighlightedText: "on_water",
        QPalette.ColorRole.Link: "water",
        QPalette.ColorRole.LinkVisited: "water",
        QPalette.ColorRole.ToolTipBase: "ink",
        QPalette.ColorRole.ToolTipText: "sheet",
        QPalette.ColorRole.Light: "sheet",
        QPalette.ColorRole.Midlight: "line",
        QPalette.ColorRole.Mid: "edge",
        QPalette.ColorRole.Dark: "edge",
        QPalette.ColorRole.Shadow: "sunken",
        QPalette.ColorRole.Accent: "water",
    }
)


def is_bundled(font: QFont) -> bool:
    """Whether Qt draws `font` with one of our own families and no stand-in."""
    return QFontInfo(font).family() in register_fonts()


def _system_theme() -> look.Theme:
    dark = QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark
    return "dark" if dark else "light"
