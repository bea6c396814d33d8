"""Mistakes of ours: one path for all of them, into a log file and one dialog.

Trouble of the world never comes here; it is a sentence where the person is.
"""

import logging
import platform
import sys
import threading
import traceback
from collections.abc import Callable
from logging.handlers import RotatingFileHandler
from pathlib import Path
from types import TracebackType
from typing import Any

from PySide6.QtCore import QMessageLogContext, QObject, QtMsgType, Signal, qInstallMessageHandler

LOG = logging.getLogger("servicedesk")
_LEVELS = {
    QtMsgType.QtDebugMsg: logging.DEBUG,
    QtMsgType.QtInfoMsg: logging.INFO,
    QtMsgType.QtWarningMsg: logging.WARNING,
    QtMsgType.QtCriticalMsg: logging.ERROR,
    QtMsgType.QtFatalMsg: logging.CRITICAL,
}


class Mishap(QObject):
    """Carries what went wrong into the window's thread: `happened` has the details as text."""

    happened = Signal(str)


class Hooks:
    """The hooks while the window runs. `remove` puts back what was there before."""

    def __init__(self, log_folder: Path | None) -> None:
        self.mishap = Mishap()
        self.log_file = _open_log(log_folder)
        self._before: tuple[Any, Any, Callable[..., Any] | None] = (
            sys.excepthook,
            threading.excepthook,
            qInstallMessageHandler(_log_qt),
        )
        sys.excepthook = self.caught
        threading.excepthook = self._caught_in_thread

    def remove(self) -> None:
        """Put the former hooks back and close the log file."""
        sys.excepthook, threading.excepthook, qt = self._before
        qInstallMessageHandler(qt)
        for handler in list(LOG.handlers):
            LOG.removeHandler(handler)
            handler.close()

    def caught(
        self,
        kind: type[BaseException],
        mistake: BaseException,
        trace: TracebackType | None,
    ) -> None:
        """An exception nobody expected: written down, then told once."""
        if issubclass(kind, KeyboardInterrupt):
            sys.__excepthook__(kind, mistake, trace)
            return
        text = "".join(traceback.format_exception(kind, mistake, trace))
        LOG.critical("%s", text)
        if self.log_file is None:
            sys.__excepthook__(kind, mistake, trace)
        self.mishap.happened.emit(_details(text))

    def _caught_in_thread(self, args: threading.ExceptHookArgs) -> None:
        if args.exc_value is not None:
            self.caught(args.exc_type, args.exc_value, args.exc_traceback)


def _open_log(folder: Path | None) -> Path | None:
    """The log file, or None where nothing can be written: the window works without one."""
    LOG.setLevel(logging.INFO)
    LOG.propagate = False
    if folder is None:
        LOG.addHandler(logging.NullHandler())
        return None
    path = folder / "servicedesk.log"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handler = RotatingFileHandler(path, maxBytes=1_000_000, backupCount=3, encoding="utf-8")
    except OSError:
        LOG.addHandler(logging.NullHandler())
        return None
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    LOG.addHandler(handler)
    return path


def _log_qt(kind: QtMsgType, _context: QMessageLogContext, text: str) -> None:
    LOG.log(_LEVELS.get(kind, logging.WARNING), "Qt: %s", text)


def _details(text: str) -> str:
    from servicedesk import __version__

    versions = f"servicedesk {__version__}, Python {platform.python_version()}"
    return f"{versions}, {platform.platform()}\n\n{text}"
