"""Can a window open here? Asked before Qt is loaded, because Qt ends the process when it cannot.

Knows nothing of PySide6 but where its files lie. On Linux the loader itself is asked for every
shared library that Qt's modules and its platform plugin name; nothing is guessed from a list.
"""

import ctypes
import importlib.util
import os
import re
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

from servicedesk.values.trouble import Trouble
from servicedesk.window.elf import needed_by
from servicedesk.words import say, say_n

# Which Debian package holds a library: looked up with `dpkg -S` on Debian 12 where a package
# name is not the library's own name with its number; the last two from memory.
_PACKAGES = {
    "libX11-xcb.so.1": "libx11-xcb1",
    "libX11.so.6": "libx11-6",
    "libGLX.so.0": "libglx0",
    "libICE.so.6": "libice6",
    "libSM.so.6": "libsm6",
    "libXau.so.6": "libxau6",
    "libXext.so.6": "libxext6",
    "libXrender.so.1": "libxrender1",
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libOpenGL.so.0": "libopengl0",
    "libdbus-1.so.3": "libdbus-1-3",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libgthread-2.0.so.0": "libglib2.0-0",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-render.so.0": "libxcb-render0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-shm.so.0": "libxcb-shm0",
    "libxcb-sync.so.1": "libxcb-sync1",
    "libxcb-util.so.1": "libxcb-util1",
    "libxcb-xfixes.so.0": "libxcb-xfixes0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxcb.so.1": "libxcb1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
    "libfontconfig.so.1": "libfontconfig1",
    "libfreetype.so.6": "libfreetype6",
    "libz.so.1": "zlib1g",
    "libzstd.so.1": "libzstd1",
    "libexpat.so.1": "libexpat1",
    "libbrotlidec.so.1": "libbrotli1",
    "libwayland-client.so.0": "libwayland-client0",
    "libwayland-cursor.so.0": "libwayland-cursor0",  # from memory
    "libwayland-egl.so.1": "libwayland-egl1",  # from memory
}
_MODULES = ("QtCore", "QtGui", "QtWidgets", "QtSvg")
_LOADER_SAYS = re.compile(r"^(?P<soname>[^\s:/]+\.so[^\s:]*): cannot open shared object file")


def why_no_window(environment: Mapping[str, str] = os.environ) -> Trouble | None:
    """What keeps a window from opening on this machine, in one sentence, or None."""
    root = _pyside_folder()
    if root is None:
        return Trouble(
            say("The library that draws the window (PySide6) is not installed."),
            do=say("Install it with: python -m pip install PySide6-Essentials"),
        )
    if sys.platform != "linux":
        return None
    chosen = environment.get("QT_QPA_PLATFORM", "").split(";")[0].split(":")[0]
    plugins = [chosen] if chosen else _plugins_for(environment)
    if not plugins:
        return Trouble(say("This machine has no screen, so no window opens."))
    return _why_not_any(root, plugins, environment, ask_server=not chosen)


def import_trouble(refusal: ImportError) -> Trouble:
    """Why Qt's modules could not be loaded, in one sentence. Our own mistakes pass through."""
    said = _LOADER_SAYS.match(str(refusal))
    if said:
        return _missing_trouble((said["soname"],))
    # a module that Qt's own modules load in turn fails without a name, as "libshiboken: ..."
    is_qt = (refusal.name or "").split(".")[0] in ("PySide6", "shiboken6")
    if is_qt or str(refusal).startswith("libshiboken"):
        return Trouble(
            say(
                "The library that draws the window (PySide6) cannot be loaded here: {why}",
                why=refusal,
            )
        )
    raise refusal


def missing_libraries(root: Path, plugin: str) -> tuple[str, ...]:
    """Sonames the loader cannot find for Qt's modules and for platform plugin `plugin`, sorted.

    `root` is the folder of PySide6. A soname with another trouble (a wrong version, say) counts
    as missing too.
    """
    starts = [root / f"{module}.abi3.so" for module in _MODULES]
    starts.append(root / "Qt" / "plugins" / "platforms" / f"libq{plugin}.so")
    bundled = root / "Qt" / "lib"
    seen: set[str] = set()
    missing: set[str] = set()
    waiting = [path for path in starts if path.is_file()]
    while waiting:
        for soname in needed_by(waiting.pop()):
            if soname in seen:
                continue
            seen.add(soname)
            if (bundled / soname).is_file():
                waiting.append(bundled / soname)
            elif not _comes_with_python(root, soname):
                missing |= _asked(soname)
    return tuple(sorted(missing))


def package_names(sonames: Sequence[str]) -> tuple[str, ...]:
    """Debian packages for `sonames`, each once, in order; the soname itself where unknown."""
    return tuple(dict.fromkeys(_PACKAGES.get(soname, soname) for soname in sonames))


def _why_not_any(
    root: Path, plugins: Sequence[str], environment: Mapping[str, str], *, ask_server: bool
) -> Trouble | None:
    """None as soon as one of the plugins can open a window, else the first one's trouble."""
    troubles: list[Trouble] = []
    for plugin in plugins:
        missing = missing_libraries(root, plugin)
        name = "DISPLAY" if plugin == "xcb" else "WAYLAND_DISPLAY"
        display = environment.get(name, "")
        if missing:
            troubles.append(_missing_trouble(missing))
        elif ask_server and not _server_answers(plugin, display):
            troubles.append(_silent_trouble(name, display))
        else:
            return None
    return troubles[0]


def _silent_trouble(name: str, display: str) -> Trouble:
    return Trouble(
        say(
            "No window opens: the screen named in {name} ({value}) does not answer.",
            name=name,
            value=display,
        )
    )


def _missing_trouble(missing: Sequence[str]) -> Trouble:
    names = package_names(missing)
    return Trouble(
        say_n(
            "No window opens: Qt needs a library that is not on this machine.",
            "No window opens: Qt needs {n} libraries that are not on this machine.",
            len(missing),
        ),
        do=say(
            "Install, on Debian or Ubuntu: apt install {packages}",
            packages=" ".join(names),
        ),
    )


def _pyside_folder() -> Path | None:
    spec = importlib.util.find_spec("PySide6")
    if spec is None or not spec.submodule_search_locations:
        return None
    return Path(spec.submodule_search_locations[0])


def _plugins_for(environment: Mapping[str, str]) -> list[str]:
    """Qt's platform plugins worth trying, best first; empty without any screen."""
    plugins = []
    if environment.get("WAYLAND_DISPLAY"):
        plugins.append("wayland")
    if environment.get("DISPLAY"):
        plugins.append("xcb")
    return plugins


def _comes_with_python(root: Path, soname: str) -> bool:
    """Libraries of the wheels themselves, which lie beside the modules."""
    return (root / soname).is_file() or (root.parent / "shiboken6" / soname).is_file()


def _asked(soname: str) -> set[str]:
    """What the loader misses when asked for `soname`: nothing, itself, or one of its own needs."""
    try:
        ctypes.CDLL(soname)
    except OSError as refusal:
        said = _LOADER_SAYS.match(str(refusal))
        return {said["soname"] if said else soname}
    return set()


def _server_answers(plugin: str, display_name: str) -> bool:
    """Whether the display server lets us in; Qt would end the process if it did not."""
    if plugin == "xcb":
        xcb = ctypes.CDLL("libxcb.so.1")
        xcb.xcb_connect.restype = ctypes.c_void_p
        connection = ctypes.c_void_p(xcb.xcb_connect(display_name.encode(), None))
        refused = bool(xcb.xcb_connection_has_error(connection))
        xcb.xcb_disconnect(connection)
        return not refused
    wayland = ctypes.CDLL("libwayland-client.so.0")
    wayland.wl_display_connect.restype = ctypes.c_void_p
    display = wayland.wl_display_connect(display_name.encode())
    if not display:
        return False
    wayland.wl_display_disconnect(ctypes.c_void_p(display))
    return True
