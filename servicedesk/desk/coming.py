"""The answer to "when are you coming?": the next stop, the last visit, what is owed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from babel.dates import format_date

from servicedesk.desk.office import Desk
from servicedesk.desk.windows import SiteWindow
from servicedesk.duties.terms import WindowState
from servicedesk.records.owed_rows import OwedRow
from servicedesk.records.visit_rows import VisitRow
from servicedesk.words import say
from servicedesk.words.jobs import closes_text, job_title


@dataclass(frozen=True, slots=True, kw_only=True)
class Coming:
    """The answer at the top of a site file, each part a sentence and the record behind it.

    `next_visit_id` None: nothing has a day. `last_visit_id` None: nobody was there yet.
    """

    next_text: str
    next_visit_id: int | None
    next_on: date | None
    told: bool
    told_text: str
    last_text: str
    last_visit_id: int | None
    last_on: date | None
    owed_texts: tuple[str, ...]


def coming(
    desk: Desk,
    visits: Iterable[VisitRow],
    owed: Iterable[OwedRow],
    windows: Iterable[SiteWindow],
) -> Coming:
    """The answer from a site's visits (oldest first), open owed work and windows."""
    visits = list(visits)
    planned = [v for v in visits if v.state == "planned"]
    ahead = [v for v in planned if v.planned_on is not None and v.planned_on >= desk.today]
    stop = ahead[0] if ahead else None
    done = [(desk.clock.day_of(v.arrived_at), v) for v in visits if v.arrived_at is not None]
    last_on, last = max(done, key=lambda pair: (pair[0], pair[1].id), default=(None, None))
    return Coming(
        next_text=_next_text(desk, stop, planned, windows),
        next_visit_id=stop.id if stop else None,
        next_on=stop.planned_on if stop else None,
        told=bool(stop and stop.told),
        told_text=_told_text(desk, stop),
        last_text=_last_text(desk, last_on, last),
        last_visit_id=last.id if last else None,
        last_on=last_on,
        owed_texts=tuple(owed_text(desk, one) for one in owed),
    )


def _next_text(
    desk: Desk, stop: VisitRow | None, planned: list[VisitRow], windows: Iterable[SiteWindow]
) -> str:
    if stop is not None and stop.planned_on is not None:
        parts = [work_of(stop), day_text(desk, stop.planned_on)]
        parts += [stop.technician] if stop.technician else []
        if stop.arrive_min is not None:
            parts.append(desk.formats.time(stop.arrive_min))
        return first_upper(", ".join(parts))
    waits = next((v for v in planned if v.planned_on is None), None)
    if waits is not None:
        return first_upper(say("{work}, no day yet", work=work_of(waits)))
    overdue = next((v for v in planned if v.planned_on is not None), None)
    if overdue is not None:
        day = desk.formats.weekday(overdue.planned_on or desk.today)
        return first_upper(
            say(
                "{work} was planned for {day} and is not written up", work=work_of(overdue), day=day
            )
        )
    windows = list(windows)
    due = sorted((w.window for w in windows if w.window.is_due), key=lambda w: w.closes_on)
    if due:
        closes = closes_text(due[0].closes_on, desk.today, desk.formats)
        work = job_title("inspection", due[0].ordinal)
        return first_upper(say("{work}, no day yet, {closes}", work=work, closes=closes))
    ahead = [w.window for w in windows if w.window.state is WindowState.NOT_YET]
    if ahead:
        first = min(ahead, key=lambda w: w.opens_on)
        work = job_title("inspection", first.ordinal)
        return first_upper(
            say("{work} from {day} on, no day yet", work=work, day=_day(desk, first.opens_on))
        )
    return say("Nothing is planned.")


def work_of(visit: VisitRow) -> str:
    """What a stop is for: "inspection 3, callback"."""
    titles = dict.fromkeys(job_title(job.kind_of, job.ordinal) for job in visit.jobs)
    return ", ".join(titles) or say("visit")


def day_text(desk: Desk, day: date) -> str:
    """As "today", "tomorrow", "Thu, Oct 15"."""
    ahead = (day - desk.today).days
    if ahead == 0:
        return say("today")
    return say("tomorrow") if ahead == 1 else desk.formats.weekday(day)


def _told_text(desk: Desk, stop: VisitRow | None) -> str:
    if stop is None:
        return ""
    if not stop.told:
        return say("They have not been told yet.")
    since, until = stop.promise_from_min, stop.promise_until_min
    if since is not None and until is not None:
        times = desk.formats.time(since), desk.formats.time(until)
        return say("They were told: between {from_} and {until}.", from_=times[0], until=times[1])
    return say("They were told the day.")


def _last_text(desk: Desk, on: date | None, visit: VisitRow | None) -> str:
    if on is None or visit is None:
        return say("Nobody of us was there yet.")
    day = desk.formats.day(on, near=desk.today)
    who = say("{day}, {who}", day=day, who=visit.technician) if visit.technician else day
    return say("Last there {day_who}: {work}", day_who=who, work=work_of(visit))


def owed_text(desk: Desk, owed: OwedRow) -> str:
    """As "West spray head tied up, since Jul 11"."""
    return say("{what}, since {day}", what=owed.what, day=_day(desk, owed.since_on))


def _day(desk: Desk, day: date) -> str:
    return desk.formats.day(day, near=desk.today)


def first_upper(text: str) -> str:
    """The text with its first letter large, as a line begins."""
    return text[:1].upper() + text[1:]


def day_title(desk: Desk, day: date) -> str:
    """As "Thursday, October 15"; with the year where it is another than today's."""
    pattern = "EEEE, MMMM d" if day.year == desk.today.year else "EEEE, MMMM d, y"
    return str(format_date(day, pattern, locale=desk.formats.locale_name))
