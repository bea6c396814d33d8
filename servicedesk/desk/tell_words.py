"""The words for one line of the tell list, in the customer's language."""

from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import cached_property
from pathlib import Path
from typing import Literal

from babel import Locale, UnknownLocaleError
from babel.dates import format_date, format_skeleton, format_time

from servicedesk.desk.office import Desk
from servicedesk.desk.tell_texts import TellTexts, tell_texts, texts_folder
from servicedesk.records.planning_rows import VisitRow
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

Why = Literal["new", "moved", "late", "called_off"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TellFacts:
    """What is so now (`day`, None: no day any more) beside what they know (`before_on`, None: the
    same or nothing). `arrives_min` is the wall minute planned.
    """

    visit: VisitRow
    why: Why
    day: date | None
    before_on: date | None
    arrives_min: int | None
    is_told: bool
    told_at: datetime | None


class Voice:
    """Speaks one language, with the company's own texts where it has some."""

    def __init__(self, desk: Desk, texts: TellTexts, wanted: str) -> None:
        self._desk, self._texts = desk, texts
        self.language = texts.language
        self.note = (
            say("No texts in their language ({language}) yet", language=wanted)
            if wanted != texts.language
            else ""
        )

    def words(self, facts: TellFacts, *, whom: str, address: str) -> tuple[str, str]:
        """Subject and text for one line."""
        until = facts.visit.promise_until_min
        values = {
            "name": whom,
            "company": self._desk.company.name,
            "phone": self._desk.company.phone,
            "address": address,
            "day": self._day(facts.day),
            "before": self._day(facts.before_on),
            "when": self._when(facts),
            "time": self._time(facts.arrives_min),
            "promised": self._texts.say("before", b=self._time(until)) if until else "",
            "work": self._work(facts.visit),
        }
        said = (self._texts.say(entry, **values) for entry in ("subject", facts.why))
        subject, text = (_tidy(one) for one in said)
        return subject, text

    def _work(self, visit: VisitRow) -> str:
        kinds = dict.fromkeys(job.kind for job in visit.jobs) or {"inspection": None}
        names = [self._texts.work.get(kind, kind) for kind in kinds]
        last = names.pop()
        return f"{', '.join(names)} {self._texts.texts['and']} {last}" if names else last

    def _when(self, facts: TellFacts) -> str:
        """The promised times if there are any, else the half of the day; no more is promised."""
        a, b = facts.visit.promise_from_min, facts.visit.promise_until_min
        if a is not None and b is not None:
            return self._texts.say("between", a=self._time(a), b=self._time(b))
        if b is not None:
            return self._texts.say("before", b=self._time(b))
        if a is not None:
            return self._texts.say("after", a=self._time(a))
        if facts.arrives_min is None:
            return ""
        return self._texts.say("morning" if facts.arrives_min < 12 * 60 else "afternoon")

    @cached_property
    def _locale(self) -> Locale:
        company = self._desk.formats.locale
        if company.language == self.language:
            return company
        for name in (f"{self.language}_{company.territory}", self.language):
            try:
                return Locale.parse(name)
            except (UnknownLocaleError, ValueError):
                continue
        return company

    def _day(self, day: date | None) -> str:
        if day is None:
            return ""
        name = format_date(day, "EEEE", locale=self._locale)
        between = ", " if self.language == "en" else " "
        return f"{name}{between}{format_skeleton('MMMMd', day, locale=self._locale)}"

    def _time(self, minute: int | None) -> str:
        if minute is None:
            return ""
        if self.language == "en":
            return self._desk.formats.time(minute)
        wall = time(minute // 60 % 24, minute % 60)
        return str(format_time(wall, "short", locale=self._locale)).replace("\u202f", " ")


class Voices:
    """One voice a language, made when first asked for. Raises Trouble for texts of no use."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._made: dict[str, Voice] = {}
        self._folder: Path | None = None
        with suppress(Trouble):  # a store on a server, and this person has no data folder
            self._folder = texts_folder(desk.store.place)

    def of(self, language: str) -> Voice:
        """The voice for a language ("" is the company's)."""
        wanted = language or self._desk.formats.locale.language
        if wanted not in self._made:
            self._made[wanted] = Voice(self._desk, tell_texts(wanted, self._folder), wanted)
        return self._made[wanted]


def natural_name(name: str) -> str:
    """As one is spoken to: "Quillan, Ruth" is "Ruth Quillan"; other names stay."""
    last, comma, first = name.partition(",")
    if comma and "," not in first and first.strip():
        return f"{first.strip()} {last.strip()}"
    return name.strip()


def why_text(desk: Desk, facts: TellFacts) -> str:
    """Why they are told, for the office: "moved from Tue, Oct 13"."""
    f = desk.formats
    if facts.why == "moved" and facts.before_on is not None:
        return say("moved, they know {day}", day=f.weekday(facts.before_on))
    if facts.why == "late":
        return say(
            "arrives {time}, promised by {by}",
            time=f.time(facts.arrives_min or 0),
            by=f.time(facts.visit.promise_until_min or 0),
        )
    if facts.why == "called_off" and facts.before_on is not None:
        return say("called off, they know {day}", day=f.weekday(facts.before_on))
    return say("knows the day") if facts.is_told else say("new day")


def _tidy(text: str) -> str:
    """Without the gaps that empty pieces leave; line breaks that were meant stay."""
    lines = [" ".join(line.split()) for line in text.strip().split("\n")]
    return "\n".join(lines).replace(" ,", ",").replace(" .", ".")
