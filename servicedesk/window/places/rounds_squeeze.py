"""All ways for the chosen stop: asked on the worker, shown with their effect, one taken."""

from PySide6.QtCore import QObject, Slot

from servicedesk.desk.office import Desk
from servicedesk.desk.rounds_page import RoundsPage
from servicedesk.desk.squeeze import LaterStop, PutOff, Squeezed, SqueezePage, squeeze_stop
from servicedesk.desk.squeeze_take import take_stop
from servicedesk.window.places.rounds_asked import StopAsked
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.ways_sheet import EffectLine, WayLine, WaysSheet
from servicedesk.words import say, say_n
from servicedesk.words.formats import Formats


class Squeezer(StopAsked):
    """Holds the ways of one stop until one is taken, they are left, or the rounds change."""

    def __init__(self, shell: Shell, sheet: WaysSheet, parent: QObject) -> None:
        super().__init__(shell, parent)
        self._sheet = sheet
        self._address = ""
        self._page: SqueezePage | None = None
        sheet.taken.connect(self.take)
        sheet.left.connect(self.away)

    @property
    def page(self) -> SqueezePage | None:
        """The ways shown."""
        return self._page

    def begin(self, desk: Desk, page: RoundsPage, stop_id: str) -> None:
        """Look for all ways for a stop of the day."""
        self._desk, self._stop = desk, page.case.wanted[stop_id]
        self._address = page.names[stop_id]
        self._sheet.show_asking(self._title())
        self._ask()
        self.shown.emit()

    @Slot(int)
    def take(self, number: int) -> None:
        """Take the way with this number, 0 is the first."""
        page, stop, desk = self._page, self._stop, self._desk
        if page is None or stop is None or desk is None or number >= len(page.ways):
            return
        way = page.ways[number]
        job = self._shell.change(take_stop, desk, stop, way)
        self.away()
        self.written.emit(job)

    def _title(self) -> str:
        return say("All ways for {address}", address=self._address)

    def _ask(self) -> None:
        self._page = None
        self._asking = self._shell.ask(squeeze_stop, self._desk, self._stop)
        self._asking.done.connect(self._found)
        self._asking.ended.connect(self._ended)

    @Slot(object)
    def _found(self, page: SqueezePage) -> None:
        if self.sender() is not self._asking or self._desk is None:
            return  # another stop is asked for by now
        self._asking = None
        self._page = page
        lines = way_lines(page, self._desk.formats)
        note = " ".join(one for one in (page.why_none, page.note) if one)
        self._sheet.show_ways(self._title(), lines, note)

    def _forget(self) -> None:
        self._page = None


def way_lines(page: SqueezePage, formats: Formats) -> list[WayLine]:
    """Every way in words, in its order."""
    return [way_line(number, way, formats) for number, way in enumerate(page.ways)]


def way_line(number: int, way: Squeezed, formats: Formats) -> WayLine:
    """One way in words."""
    lead = say("{day}, {who}, {begins}", day=formats.weekday(way.day), who=way.technician,
               begins=formats.time(way.begin_min))  # fmt: skip
    after = say("after {address}", address=way.after) if way.after else say("first stop")
    harm = _harm(way)
    road = say("{road} road", road=formats.signed_minutes(way.extra_road_min))
    return WayLine(
        number=number,
        lead=lead,
        second=say("{harm} · {after}", harm=harm, after=after),
        right=road,
        head=_head(way, formats),
        is_bad=bool(way.breaks) or not way.keeps_promise,
        effects=tuple(
            [_effect(stop, formats) for stop in way.later]
            + ([_put_off(way.put_off, formats)] if way.put_off is not None else [])
        ),
    )


def _harm(way: Squeezed) -> str:
    parts = []
    if not way.keeps_promise:
        parts.append(say("after its last day or hour"))
    if way.breaks:
        parts.append(say_n("{n} promise broken", "{n} promises broken", len(way.breaks)))
    if way.put_off is not None:
        parts.append(say("puts one visit off"))
    if way.later:
        parts.append(say_n("{n} begins later", "{n} begin later", len(way.later)))
    return ", ".join(parts) or say("nobody begins later")


def _head(way: Squeezed, formats: Formats) -> str:
    parts = [
        say("{begins} to {ends}", begins=formats.time(way.begin_min),
            ends=formats.time(way.leave_min)),
        say("home {time}", time=formats.time(way.home_min)),
    ]  # fmt: skip
    if way.extra_overtime_min > 0:
        parts.append(say("{time} more overtime", time=formats.minutes(way.extra_overtime_min)))
    if not way.later and way.put_off is None:
        parts.append(say("nobody begins later"))
    return ", ".join(parts)


def _effect(stop: LaterStop, formats: Formats) -> EffectLine:
    more = formats.signed_minutes(stop.then_min - stop.now_min)
    if stop.late_min:
        more = say("{time} late", time=formats.minutes(stop.late_min))
    return EffectLine(
        name=stop.address,
        change=f"{formats.time(stop.now_min)} \u2192 {formats.time(stop.then_min)}",
        more=more,
        is_bad=stop.late_min > 0,
    )


def _put_off(off: PutOff, formats: Formats) -> EffectLine:
    if off.to_day is None:
        return EffectLine(name=off.address, change="", more=say("no other day found"), is_bad=True)
    to = say("to {day}, {who}", day=formats.weekday(off.to_day), who=off.to_technician)
    return EffectLine(name=off.address, change=say("put off"), more=to)
