"""The page of what came back: the lists, and one alert with its thread and its causes."""

from dataclasses import dataclass

from servicedesk.desk.alert_lines import AlertDetail, AlertLine, alert_detail, alert_lines
from servicedesk.desk.alerts import OPEN, PUT_OFF, SETTLED
from servicedesk.desk.coming import day_text
from servicedesk.desk.office import Desk
from servicedesk.desk.put_check import is_put
from servicedesk.desk.threads import TroubleThread, threads_of_site
from servicedesk.desk.trouble_view import TroubleView, trouble_view
from servicedesk.records import company_rows, visit_rows
from servicedesk.words import say
from servicedesk.words.alert_reasons import state_text


@dataclass(frozen=True, slots=True, kw_only=True)
class AlertLists:
    """All alerts, most pressing first: those that want somebody, put off, settled; the dial."""

    open: tuple[AlertLine, ...]
    put_off: tuple[AlertLine, ...]
    settled: tuple[AlertLine, ...]
    dial: int


@dataclass(frozen=True, slots=True, kw_only=True)
class AlertPage:
    """One alert with what stands behind it now.

    `thread` None: its calls belong to no thread any more. `view` None: nobody said which of
    several systems calls. `next_visit`: "Thu" or "" where none is planned. `is_put`: the check to
    begin with is owed there already and goes with it.
    """

    detail: AlertDetail
    thread: TroubleThread | None
    view: TroubleView | None
    next_visit: str
    is_put: bool = False


def alert_lists(desk: Desk) -> AlertLists:
    """The lists of the page (a fixed number of queries)."""
    every = alert_lines(desk, settled=True)
    with desk.store.read() as session:
        company = company_rows.the_company(session)
    waits = {PUT_OFF, SETTLED}
    return AlertLists(
        open=tuple(line for line in every if line.state not in waits),
        put_off=tuple(line for line in every if line.state == PUT_OFF),
        settled=tuple(line for line in every if line.state == SETTLED),
        dial=company.alert_dial if company is not None else 0,
    )


def alert_page(desk: Desk, alert_id: int, *, with_fleet: bool = False) -> AlertPage:
    """One alert. Raises Trouble if it is not there.

    `with_fleet`: ask anew what the fleet says if nobody asked when it was raised (seconds).
    """
    detail = alert_detail(desk, alert_id, with_fleet=with_fleet)
    line = detail.line
    thread = None
    next_visit = ""
    if line.site_id is not None:
        thread = _thread(desk, detail)
        with desk.store.read() as session:
            stop = visit_rows.next_stops(session, [line.site_id], desk.today).get(line.site_id)
        if stop is not None and stop.planned_on is not None:
            next_visit = day_text(desk, stop.planned_on)
    checks = {one.id: one for one in reversed(detail.never_done)}
    first = checks.get(detail.first_check) or next(iter(detail.never_done), None)
    return AlertPage(
        detail=detail,
        thread=thread,
        view=trouble_view(desk, thread) if thread is not None else None,
        next_visit=next_visit,
        is_put=bool(first and line.site_id and is_put(desk, line.site_id, first)),
    )


def _thread(desk: Desk, detail: AlertDetail) -> TroubleThread | None:
    """The thread that holds the alert's newest call."""
    site_id = detail.line.site_id
    threads = threads_of_site(desk, site_id) if site_id is not None else ()
    for call_id, _ in reversed(detail.calls):
        for one in threads:
            if one.thread.has(call_id):
                return one
    symptom = detail.line.symptom
    return next((one for one in threads if one.thread.lead == symptom), None)


def standing_text(desk: Desk, line: AlertLine) -> str:
    """How it stands: "open", "looked at by Ines, Oct 14", "put off until Nov 2 by Ines: why".

    For a year from the repair of its root cause also "watching since Sep 3".
    """
    stands = _standing(desk, line)
    if line.watching_since is None:
        return stands
    since = desk.formats.day(line.watching_since, near=desk.today)
    return say("{how} · root cause repaired, watching since {day}", how=stands, day=since)


def _standing(desk: Desk, line: AlertLine) -> str:
    words = state_text(line.state)
    if line.state == OPEN or line.dealt_at is None:
        return words
    day = desk.formats.day(desk.clock.day_of(line.dealt_at), near=desk.today)
    if line.state == PUT_OFF:
        until = desk.formats.day(line.put_off_until, near=desk.today)
        words = say("put off until {day}", day=until)
    by = say("{what} by {who}, {day}", what=words, who=line.dealt_by, day=day)
    judged = {"right": say("it was one trouble"), "wrong": say("it was not one trouble")}
    parts = [line.dealt_why, judged.get(line.judged, "")]
    why = "; ".join(part for part in parts if part)
    return say("{what}: {why}", what=by, why=why) if why else by
