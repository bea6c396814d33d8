"""A check as it is done: name, minutes, how, tools, and its cautions in full beside it."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from servicedesk.desk.alert_lines import CheckLine
from servicedesk.trade.checks import tools
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.knowledge_link import KnowledgeLink
from servicedesk.window.widgets.label import IconSign, Words
from servicedesk.window.widgets.paragraph import Paragraph
from servicedesk.words import say
from servicedesk.words.formats import Formats


class CheckCard(QWidget):
    """One check. `lead` goes before its name: "1", "Next"; `note` after the minutes."""

    def __init__(
        self, theme: Theme, formats: Formats, check: CheckLine, lead: str, note: str = ""
    ) -> None:
        super().__init__()
        self.check_id = check.id
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2, 0, 4)
        column.setSpacing(2)
        title = say("{lead}: {check}", lead=lead, check=check.name)
        column.addWidget(KnowledgeLink(theme, title, "check", check.id, weight=600))
        column.addWidget(
            Words(theme, facts_of(check, formats, note), role="second", color="ink2", wraps=True)
        )
        if check.how:
            column.addWidget(Paragraph(theme, check.how))
        for text in check.cautions:
            column.addWidget(Caution(theme, text))


class Caution(QWidget):
    """A caution with its sign, whole."""

    def __init__(self, theme: Theme, text: str) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 2, 0, 2)
        row.setSpacing(theme.px(9))
        row.addWidget(IconSign(theme, "warn", "clay", 17), 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(Paragraph(theme, text, color="clay"), 1)


def facts_of(check: CheckLine, formats: Formats, note: str = "") -> str:
    """As "about 12 min · at the tank · multimeter, lockout kit"."""
    minutes = say("about {minutes}", minutes=formats.minutes(max(1, round(check.minutes))))
    known = tools()
    with_what = ", ".join(
        known[tool].name.lower() if tool in known else tool for tool in check.tools
    )
    parts = (note, minutes, where_text(check.where), with_what)
    return " · ".join(part for part in parts if part)


def where_text(where: str) -> str:
    """Where a check is made, "" for a word that is not known."""
    return {
        "phone": say("on the phone"),
        "yard": say("in the yard"),
        "panel": say("at the panel"),
        "tank": say("at the tank"),
        "field": say("in the field"),
        "house": say("in the house"),
    }.get(where, "")
