"""No slot outlives its widget: timers belong to somebody, slots are methods of QObjects."""

import ast
from pathlib import Path

import servicedesk.window

ROOM = Path(servicedesk.window.__file__).parent


def unowned(source: str) -> list[str]:
    """Calls that leave a timer without an owner, or hang a slot on a signal that nothing ends.

    QTimer.singleShot keeps a timer of its own that deletes itself later, whatever has become of
    the receiver; a lambda as a slot keeps all it names alive as long as the sender lives.
    """
    found = []
    for node in ast.walk(ast.parse(source)):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
            continue
        if node.func.attr == "singleShot":
            found.append(f"{node.lineno}: singleShot")
        if node.func.attr == "connect" and node.args and isinstance(node.args[0], ast.Lambda):
            found.append(f"{node.lineno}: a lambda as a slot")
    return found


def test_timers_and_slots_of_the_window_have_owners():
    files = sorted(ROOM.rglob("*.py"))
    found = [f"{path.name}:{one}" for path in files for one in unowned(path.read_text("utf-8"))]

    assert len(files) > 100
    assert found == []


def test_the_search_sees_a_timer_without_an_owner_and_a_lambda():
    assert unowned("QTimer.singleShot(0, self.go)\n") == ["1: singleShot"]
    assert unowned("a.clicked.connect(lambda: 1)\n") == ["1: a lambda as a slot"]
    assert unowned("a.clicked.connect(self.go)\nself.timer.start()\n") == []
