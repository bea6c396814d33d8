"""What this computer remembers about the window. Company matters are records, not settings."""

from PySide6.QtCore import QByteArray, QSettings

from servicedesk.window.theme import TEXT_SIZES, Theme

_SIZE = "window/text_size_percent"
_LOOK = "window/look"
_GEOMETRY = "window/geometry"


def remember_look(theme: Theme) -> None:
    """Keep text size and light or dark for the next start."""
    settings = QSettings()
    settings.setValue(_SIZE, theme.text_size)
    settings.setValue(_LOOK, theme.chosen or "")


def put_on_kept_look(theme: Theme) -> None:
    """What was kept; a value that makes no sense falls back to 100 % and the system's look."""
    settings = QSettings()
    size = settings.value(_SIZE, 100, type=int)
    look = settings.value(_LOOK, "", type=str)
    theme.use("light" if look == "light" else "dark" if look == "dark" else None)
    if size in TEXT_SIZES and size != 100:
        theme.set_text_size(int(str(size)))


def kept_geometry() -> QByteArray:
    """Where the window was; empty at the first start."""
    kept = QSettings().value(_GEOMETRY, QByteArray(), type=QByteArray)
    return kept if isinstance(kept, QByteArray) else QByteArray()


def keep_geometry(geometry: QByteArray) -> None:
    """Open here again."""
    QSettings().setValue(_GEOMETRY, geometry)
