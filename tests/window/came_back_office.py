"""A company with one site whose alarm came back three times, and others that are quiet."""

from datetime import date

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLabel

from servicedesk.desk.alerts import look_for_alerts
from servicedesk.window.places.registry import PlaceKind, all_places
from servicedesk.window.widgets.paragraph import Paragraph
from tests.builders import a_contract, a_site, a_unit
from tests.desk.test_cases import a_callback
from tests.window.pages import PlainPlace

DAYS = (date(2025, 8, 5), date(2026, 1, 7), date(2026, 5, 6))
CTRL = Qt.KeyboardModifier.ControlModifier
BAD = "118 Dry Hollow Lane"


class Plain(PlaceKind):
    """A place that only remembers what it was asked."""

    def build(self, shell):
        made = PlainPlace(shell)
        made.name = self.id
        return made


def kinds_with(*real):
    """These places as they are, the other ones plain."""
    return tuple(
        kind
        if kind.id in real
        else Plain(kind.id, kind.title, kind.icon, kind.group, kind.number, "setup:SetupPlace")
        for kind in all_places()
        if kind.group or kind.id in real
    )


def quiet_sites(desk, n=6):
    """Sites that never call: without peers nothing is unusual."""
    for number in range(n):
        site = a_site(desk, f"{number} Quiet Lane")
        a_contract(desk, site, from_on=date(2020, 1, 1), until_on=date(2027, 4, 1))


def bad_site(desk, days=DAYS, address=BAD):
    """Its alarm came back on these days; each visit ran the pump, lifted the float, reset it."""
    site = a_site(desk, address)
    a_contract(desk, site, from_on=date(2020, 1, 1), until_on=date(2027, 4, 1))
    float_ = a_unit(desk, site, "alarm-float")
    calls = [
        a_callback(
            desk, site, day, own_words="it blares again",
            job={"no_fault_found": True, "fix": "reset only", "checks_done": ["run-in-hand"]},
            findings=[("run-in-hand", "runs-level-falls", None),
                      ("alarm-float-lift", "right", float_.id)],
        )[0]
        for day in days
    ]  # fmt: skip
    return site, calls


def with_an_alert(desk):
    """The bad site among the quiet ones, its alert raised."""
    quiet_sites(desk)
    found = bad_site(desk)
    look_for_alerts(desk)
    return found


def settle(qtbot, window):
    """Until the worker has nothing to do."""
    for _ in range(2):
        qtbot.waitUntil(lambda: not window.shell.work.is_busy, timeout=20_000)
        qtbot.wait(20)
    qtbot.waitUntil(lambda: not window.shell.work.is_busy, timeout=20_000)


def press(qtbot, window, key, modifier=Qt.KeyboardModifier.NoModifier):
    """A key where the focus is, and what it sets going."""
    qtbot.keyClick(QApplication.focusWidget() or window, key, modifier)
    settle(qtbot, window)


def texts(widget):
    """Everything that is written on what is shown."""
    kinds = (QLabel, Paragraph)
    return [
        one.text() for kind in kinds for one in widget.findChildren(kind) if one.isVisibleTo(widget)
    ]
