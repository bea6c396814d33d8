"""Waiting in Qt's own loop, as the program does.

`QTest.qWait` and `processEvents` called again and again keep the interpreter from the workers most
of the time: they then get a fifth of a processor, and everything measured is too slow.
"""

from PySide6.QtCore import QEventLoop, QTimer


def wait_ms(milliseconds: int) -> None:
    """Let the window and its workers go on for so long."""
    loop = QEventLoop()
    QTimer.singleShot(milliseconds, loop.quit)
    loop.exec()
