"""The opening sentence of the day: live numbers, each a link to its place."""

from html import escape

from servicedesk.desk.coming import first_upper
from servicedesk.desk.office import Desk
from servicedesk.desk.phone_page import by_text
from servicedesk.desk.today import Today
from servicedesk.words import say, say_n


def sentence_html(desk: Desk, page: Today) -> str:
    """The sentence as rich text; hrefs are ids of places, "call:12" opens that call."""
    parts = [_out(page), _calls(desk, page), _windows(page), _owed(page), _back(page)]
    told = " &nbsp;".join(part for part in parts if part)
    return f'<span style="font-weight:400">{told}</span>'


def _link(href: str, words: str) -> str:
    return f'<a href="{href}">{escape(words)}</a>'


def _out(page: Today) -> str:
    if not page.rounds:
        return say("No rounds are planned for {link}.", link=_link("rounds", say("today")))
    n_stops = sum(len(one.stops) for one in page.rounds)
    stops = _link("rounds", say_n("{n} stop", "{n} stops", n_stops))
    if any(one.state == "draft" for one in page.rounds):
        return say_n(
            "{n} round with {stops} is planned.",
            "{n} rounds with {stops} are planned.",
            len(page.rounds),
            stops=stops,
        )
    return say_n(
        "{n} person is out with {stops}.",
        "{n} people are out with {stops}.",
        len(page.rounds),
        stops=stops,
    )


def _calls(desk: Desk, page: Today) -> str:
    n = len(page.calls)
    if n == 0:
        return say("No call waits for an answer.")
    calls = _link("phone", say_n("{n} call", "{n} calls", n))
    first = page.calls[0]
    if first.promised_by_at is None:
        return say_n("{calls} waits for an answer.", "{calls} wait for an answer.", n, calls=calls)
    n_late = sum(call.is_late for call in page.calls)
    if n_late:
        late = _link(f"call:{first.id}", say_n("{n} is late", "{n} are late", n_late))
        return say_n(
            "{calls} waits for an answer; {late}.",
            "{calls} wait for an answer; {late}.",
            n,
            calls=calls,
            late=late,
        )
    by = _link(f"call:{first.id}", by_text(desk, first.promised_by_at))
    return say_n(
        "{calls} waits for an answer, promised {by}.",
        "{calls} wait for an answer, the first promised {by}.",
        n,
        calls=calls,
        by=by,
    )


def _windows(page: Today) -> str:
    told = []
    if page.n_late:
        n = page.n_late
        link = _link("ahead", say_n("{n} inspection", "{n} inspections", n))
        told.append(say_n("{link} is late", "{link} are late", n, link=link))
    if page.n_closing_week:
        n = page.n_closing_week
        link = _link("ahead", say_n("{n} window", "{n} windows", n))
        closing = say_n("{link} closes this week", "{link} close this week", n, link=link)
        if page.n_closing_week_no_day:
            n = page.n_closing_week_no_day
            without = _link("rounds", say_n("{n} without a day", "{n} without a day", n))
            closing = say("{closing}, {without}", closing=closing, without=without)
        told.append(closing)
    if not told:
        return say("No inspection window closes this week.")
    return first_upper("; ".join(told)) + "."


def _owed(page: Today) -> str:
    if not page.n_unsent:
        return ""
    link = _link("owed", say_n("{n} report", "{n} reports", page.n_unsent))
    return say_n("{link} is not sent yet.", "{link} are not sent yet.", page.n_unsent, link=link)


def _back(page: Today) -> str:
    if not page.n_back:
        return ""
    link = _link("came_back", say("came back"))
    return say_n("{n} trouble {link}.", "{n} troubles {link}.", page.n_back, link=link)
