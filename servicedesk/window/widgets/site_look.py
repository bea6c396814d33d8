"""A look inside the chosen site: what one must know before one opens its file."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from servicedesk.desk.office import Desk
from servicedesk.desk.sitefile import SiteFile
from servicedesk.desk.sites import SiteRow
from servicedesk.window.theme import Theme
from servicedesk.window.widgets import site_words as texts
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Chip, OneLine
from servicedesk.window.widgets.sheet import Hairline, Sheet
from servicedesk.window.widgets.site_rows import Flow, SignedLine, emptied
from servicedesk.words import say
from servicedesk.words.calls import symptoms

CHIP_LOOKS = {
    "hold": ("clay", "hold"),
    "dog": ("clay", "dog"),
    "gate": ("ink2", "gate"),
    "lid": ("ink2", "lid"),
    "key": ("ink2", "key"),
    "clock": ("ink2", "clock"),
    "contract": ("water", "note"),
    "kind": ("ink2", "tank"),
    "place": ("ochre", "pin"),
}


class SiteLook(Sheet):
    """Head from the row at hand at once, the rest when the file has been read."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self._theme = theme
        self.name = OneLine(theme, "", role="sheet_title")
        self.line = OneLine(theme, "", role="second", color="ink2")
        self.chips = Flow()
        self.open = Button(theme, say("Open site file"), icon_name="sites", kind="main")
        self.call = Button(theme, say("Log a call"), icon_name="phone")
        self.lines = QVBoxLayout()
        self.lines.setSpacing(1)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 6, 0)
        column.setSpacing(8)
        column.addWidget(self.chips)
        column.addLayout(self.lines)
        column.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(inside)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.body.addWidget(self.name)
        self.body.addWidget(self.line)
        self.body.addWidget(scroll, 1)
        row = Flow(gap=8)
        row.flow.addWidget(self.open)
        row.flow.addWidget(self.call)
        self.body.addWidget(row)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(say("A look inside"))

    def show_row(self, row: SiteRow | None, desk: Desk, *, has_phone: bool) -> None:
        """What the list knows already."""
        for button in (self.open, self.call):
            button.setVisible(row is not None)
        self.call.setVisible(row is not None and has_phone)
        self.chips.setVisible(False)
        emptied(self.lines)
        if row is None:
            self.name.set_text(say("No site is chosen."))
            self.line.set_text("")
            self.set_stripe("")
            return
        self.name.set_text(row.address)
        parts = (row.owner, row.phone, texts.contract_text(row, desk))
        self.line.set_text(" · ".join(part for part in parts if part))
        self.set_stripe("plum" if len(row.calls) >= 2 else "ochre" if row.n_owed else "")

    def show_file(self, file: SiteFile, desk: Desk) -> None:
        """What its file says."""
        emptied(self.chips.flow)
        for chip in file.chips:
            if chip.kind != "contract":
                tone, icon = CHIP_LOOKS.get(chip.kind, ("ink2", "note"))
                self.chips.flow.addWidget(Chip(self._theme, chip.text, tone, icon))
        self.chips.setVisible(self.chips.flow.count() > 0)
        emptied(self.lines)
        coming = file.coming
        entries = [("clock", coming.next_text, "ink", True)]
        if coming.told_text:
            tone = "moss" if coming.told else "ochre"
            entries.append(("phone", coming.told_text, tone, False))
        entries += [
            ("bell", say("Open call: {what}", what=symptoms(call.symptoms) or say("no symptom")),
             "plum", True)
            for call in file.open_calls
        ]  # fmt: skip
        entries += [("owed", text, "ochre", True) for text in coming.owed_texts]
        entries.append(("check", coming.last_text, "ink", False))
        if file.position_state != "known":
            entries.append(("pin", _place_words(file), "ochre", False))
        for n, (icon, text, color, strong) in enumerate(entries):
            if n:
                self.lines.addWidget(Hairline(self._theme))
            self.lines.addWidget(SignedLine(self._theme, icon, text, color=color, strong=strong))


def _place_words(file: SiteFile) -> str:
    if file.position is None:
        return say("Nobody knows yet where this is.")
    return say("Its place on the map is guessed.")
