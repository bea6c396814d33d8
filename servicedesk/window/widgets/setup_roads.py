"""Roads and map in Set up: which are in use and whose data they are, and building others."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

from PySide6.QtCore import QUrl, Signal, Slot
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QProgressBar

from servicedesk.desk.office import Desk
from servicedesk.desk.road_request import RoadRequest, build_requested, road_request
from servicedesk.desk.road_state import RoadState, road_state
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.choice import Tick
from servicedesk.window.widgets.label import LinkedText, Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.work import Job, Step
from servicedesk.words import say, say_n

_MOST_NAMED = 4  # sites off the road told by name; more are counted


class RoadsSheet(Sheet):
    """`opened` carries the id of a site that lies off the roads."""

    opened = Signal(int)

    def __init__(self, shell: Shell, desk: Callable[[], Desk | None]) -> None:
        super().__init__(shell.theme, say("Roads and map"))
        theme = shell.theme
        self._shell, self._desk = shell, desk
        self._extract: Path | None = None
        self._job: Job | None = None
        self.state: RoadState | None = None
        self.words = Words(theme, "", wraps=True)
        self.off = LinkedText(theme)
        self.off.linkActivated.connect(self._open)
        self.license = LinkedText(theme, role="second")
        self.license.linkActivated.connect(_browse)
        self.without = Tick(theme, say("Without buildings: a smaller file"))
        self.button = Button(
            theme, say("Build roads from an extract…"), key="B", small=True, shows_only=True
        )
        self.button.clicked.connect(self.choose_file)
        self.stop = Button(theme, say("Stop, change nothing"), icon_name="cross", small=True)
        self.stop.clicked.connect(self._stop)
        self.bar = QProgressBar()
        self.bar.setTextVisible(False)
        self.bar.setFixedHeight(theme.px(6))
        self.bar.setAccessibleName(say("How far it is"))
        row = QHBoxLayout()
        row.setSpacing(theme.px(12))
        row.addWidget(self.button)
        row.addWidget(self.without)
        row.addWidget(self.bar, 1)
        row.addWidget(self.stop)
        row.addStretch()
        for widget in (self.words, self.off, self.license):
            self.body.addWidget(widget)
        self.body.addLayout(row)
        self.off.hide()
        self.license.hide()
        self._show_busy(busy=False)

    @property
    def is_busy(self) -> bool:
        """Are roads being built?"""
        return self._job is not None

    def refresh(self) -> None:
        """Read anew which roads are in use."""
        desk = self._desk()
        if desk is not None:
            self._shell.ask(road_state, desk).done.connect(self._show_state)

    @Slot()
    def choose_file(self) -> None:
        """Ask which extract."""
        dialog = QFileDialog(self, say("Choose an extract of OpenStreetMap"))
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.setNameFilters(
            [say("Extracts (*.osm.pbf *.pbf *.osm *.osm.bz2)"), say("All files (*)")]
        )
        dialog.fileSelected.connect(self.build)
        dialog.open()

    @Slot(str)
    def build(self, extract: str) -> None:
        """Build the roads of an extract for the area served: they are in use from then on."""
        desk = self._desk()
        if desk is None or self._job is not None:
            return
        self._extract = Path(extract)
        self._watch(self._shell.ask(road_request, desk))
        assert self._job is not None  # noqa: S101 (just set)
        self._job.done.connect(self._begin)

    @Slot(object)
    def _begin(self, request: RoadRequest) -> None:
        assert self._extract is not None  # noqa: S101 (set before the job began)
        job = self._shell.work.start_apart(
            build_requested,
            request,
            self._extract,
            buildings=not self.without.isChecked(),
            title=say("Building roads from {name}", name=self._extract.name),
        )
        job.done.connect(self._built)
        job.failed.connect(self._shell.show_trouble)
        self._watch(job)

    @Slot(object)
    def _built(self, _roads: object) -> None:
        self._shell.bus.changed.emit(None)  # times, maps and addresses everywhere are others now
        self.refresh()

    def _watch(self, job: Job) -> None:
        self._job = job
        self.bar.setRange(0, 0)
        self._show_busy(busy=True)
        job.progressed.connect(self._progressed)
        job.ended.connect(self._ended)

    @Slot(object)
    def _progressed(self, step: Step) -> None:
        if step.total > 0:
            self.bar.setRange(0, step.total)
            self.bar.setValue(step.done)
        if step.note:
            self.words.setText(step.note)

    @Slot()
    def _ended(self) -> None:
        if self.sender() is self._job:
            self._job = None
            self._show_busy(busy=False)
            if self.state is not None:
                self._show_state(self.state)

    @Slot()
    def _stop(self) -> None:
        if self._job is not None:
            self._job.cancel()

    def _show_busy(self, *, busy: bool) -> None:
        self.bar.setVisible(busy)
        self.stop.setVisible(busy)
        self.button.setVisible(not busy)
        self.without.setVisible(not busy)

    @Slot(object)
    def _show_state(self, state: RoadState) -> None:
        self.state = state
        if self._job is not None:
            return
        about = state.about
        if about is None:
            self.words.setText(
                say(
                    "No roads yet: {words}. {calibration} An extract of OpenStreetMap for your"
                    " area gives real roads, a map and addresses, without internet.",
                    words=state.words,
                    calibration=state.calibration,
                )
            )
        else:
            houses = say_n("{n} house number", "{n} house numbers", about.houses)
            self.words.setText(
                say(
                    "In use: roads of {name}, as of {day}: {km} km, {houses}.",
                    name=about.name,
                    day=self._day_words(about.newest_edit),
                    km=about.road_km,
                    houses=houses,
                )
            )
            self.license.set_html(_license_html(about.credit_on_paper, about.license))
        self.license.setVisible(about is not None)
        self.off.set_html(_off_html(state))
        self.off.setVisible(bool(state.off_road))

    def _day_words(self, iso: str) -> str:
        """The day of the newest edit, as the extract has it; some say none."""
        desk = self._desk()
        try:
            return desk.formats.day(date.fromisoformat(iso)) if desk is not None else iso
        except ValueError:
            return say("an unknown day")

    @Slot(str)
    def _open(self, href: str) -> None:
        self.opened.emit(int(href))


@Slot(str)
def _browse(href: str) -> None:
    QDesktopServices.openUrl(QUrl(href))


def _license_html(credit: str, license_text: str) -> str:
    """Credit and license; an address in them can be opened."""
    import html
    import re

    words = credit if credit == license_text else f"{credit}. {license_text}"
    return re.sub(r"https://[\w./-]+", lambda m: f'<a href="{m[0]}">{m[0]}</a>', html.escape(words))


def _off_html(state: RoadState) -> str:
    """Sites that no road leads to, the first ones by name."""
    import html

    lines = [
        f'<a href="{one.site_id}">{html.escape(one.address)}</a>: {html.escape(one.why)}'
        for one in state.off_road[:_MOST_NAMED]
    ]
    more = len(state.off_road) - len(lines)
    if more > 0:
        lines.append(html.escape(say_n("and {n} more site", "and {n} more sites", more)))
    lead = say_n("{n} site lies off the roads or at their edge", "{n} sites lie off the roads"
                 " or at their edge", len(state.off_road))  # fmt: skip
    return f"{html.escape(lead)}: {'; '.join(lines)}" if lines else ""
