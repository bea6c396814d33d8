"""The week on one page for the wall, from the rounds as they stand."""

from datetime import date, timedelta

from babel.dates import format_date

from servicedesk.desk.office import Desk
from servicedesk.desk.span_rounds import SpanRound, rounds_of_span, week_of
from servicedesk.desk.windows import SiteWindow, current_windows
from servicedesk.duties.terms import WindowState
from servicedesk.papers.week_page import WallCell, WallPerson, WallPlace, WallWindow, WeekPage
from servicedesk.papers.week_page import week_page as drawn
from servicedesk.records import company_rows
from servicedesk.records import planning_rows as rows
from servicedesk.words import say

AHEAD_DAYS = 14  # windows that close within so many days after the week's Monday stand at the foot


def week_paper(desk: Desk, day: date) -> bytes:
    """The page of the week of `day` as a PDF, in the company's size of paper."""
    page = week_on_the_wall(desk, day)
    return drawn(page, size="a4" if desk.company.page_size == "a4" else "letter")


def week_on_the_wall(desk: Desk, day: date) -> WeekPage:
    """People by name and the days on which the company works or anybody has a round.

    At the foot the inspections that close by the end of the week after and have no day, late ones
    first.
    """
    monday, until = week_of(day)
    rounds = rounds_of_span(desk, monday, until)
    with_round = {one.day for one in rounds}
    week = [monday + timedelta(days=n) for n in range(7)]
    days = [one for one in week if desk.works_on(one) or one in with_round] or week[:5]
    title = say(
        "Week of {first} to {last}",
        first=_dated(desk, days[0], "MMMM d"),
        last=_dated(desk, days[-1], "MMMM d, y"),
    )
    foot = (
        desk.company.name,
        say("printed {day}, {time}", day=desk.formats.day(desk.today),
            time=desk.formats.time(desk.clock.minute_of_day())),
        desk.company.invented_note,
    )  # fmt: skip
    return WeekPage(
        title=title,
        days=tuple(_dated(desk, one, "EEEE d") for one in days),
        people=_people(desk, days, rounds),
        windows=_windows(desk, monday),
        foot=" · ".join(part for part in foot if part),
    )


def _people(desk: Desk, days: list[date], rounds: tuple[SpanRound, ...]) -> tuple[WallPerson, ...]:
    names: dict[int, str] = {}
    off: dict[date, dict[int, str]] = {}
    working: dict[int, set[int]] = {}
    with desk.store.read() as session:
        for day in days:
            off[day] = company_rows.days_off(session, day)
            for one in company_rows.technicians(session, day):
                names[one.id] = one.short_name or one.name.split()[0]
                working[one.id] = set(one.working_days)
    for left in rounds:  # somebody who has left since and still has a round
        names.setdefault(left.lead_id, left.technician)
    return tuple(
        WallPerson(
            name,
            tuple(
                _cell(desk, day, [r for r in rounds if (r.day, r.lead_id) == (day, lead)],
                      off=off[day].get(lead), works=day.weekday() in working.get(lead, set()))
                for day in days
            ),
        )
        for lead, name in sorted(names.items(), key=lambda pair: (pair[1].casefold(), pair[0]))
    )  # fmt: skip


def _cell(
    desk: Desk, day: date, rounds: list[SpanRound], *, off: str | None, works: bool
) -> WallCell:
    """Neighbors on the round in one place stand together; a place met again stands again."""
    places: list[tuple[str, list[str]]] = []
    for stop in (stop for one in rounds for stop in one.stops):
        name = stop.locality or say("elsewhere")
        if not places or places[-1][0] != name:
            places.append((name, []))
        promised = (
            desk.formats.time(stop.promise_from_min or stop.promise_until_min or 0)
            if stop.promise_until_min is not None
            else ""
        )
        places[-1][1].append(f"{stop.address}, {promised}" if promised else stop.address)
    if places:
        return WallCell(tuple(WallPlace(name, tuple(found)) for name, found in places))
    if day in desk.company.holidays:
        return WallCell(words=desk.company.holidays[day] or say("holiday"))
    if off is not None:
        return WallCell(words=say("off: {why}", why=off) if off else say("off"))
    return WallCell(words="" if works else say("does not work"))


def _windows(desk: Desk, monday: date) -> tuple[WallWindow, ...]:
    until = monday + timedelta(days=AHEAD_DAYS)
    open_ = [
        w for w in current_windows(desk)
        if w.window.is_due and w.planned_on is None and w.window.closes_on < until
    ]  # fmt: skip
    with desk.store.read() as session:
        sites = rows.site_places(session, {w.site_id for w in open_})
    open_.sort(key=lambda w: (w.window.closes_on, w.site_id, w.system_id))
    # two systems at one address are one line: one visit does both
    shown = {(w.site_id, w.window.closes_on): _window(desk, w, sites[w.site_id]) for w in open_}
    return tuple(shown.values())


def _window(desk: Desk, one: SiteWindow, site: rows.SitePlace) -> WallWindow:
    return WallWindow(
        by=desk.formats.day(one.window.closes_on, near=desk.today),
        where=", ".join(part for part in (site.address, site.locality) if part),
        is_late=one.window.state is WindowState.LATE,
    )


def _dated(desk: Desk, day: date, pattern: str) -> str:
    return str(format_date(day, pattern, locale=desk.formats.locale_name))
