"""Files written beside the store at one key: a day's rounds, the week for the wall, a tell list."""

from datetime import date, timedelta

from servicedesk.desk.office import Desk
from servicedesk.desk.places_on_disk import papers_folder
from servicedesk.desk.span_rounds import week_of
from servicedesk.desk.tell_list import TellList, tell_csv
from servicedesk.words import say

Files = tuple[str, tuple[str, ...], str]  # folder, names of the files in it, what is worth knowing


def write_day_files(desk: Desk, day: date) -> Files:
    """The rounds of a day as GPX, GeoJSON and one calendar a technician.

    Raises Trouble if the folder cannot be written.
    """
    from servicedesk.desk.calendars import day_calendars
    from servicedesk.desk.out import Span, rounds_geojson, rounds_gpx

    span = Span(first=day, until=day + timedelta(days=1))
    gpx = rounds_gpx(desk, span)
    files = {
        f"rounds-{day}.gpx": gpx.data,
        f"rounds-{day}.geojson": rounds_geojson(desk, span).data,
    }
    files |= {paper.name: paper.data for paper in day_calendars(desk, day)}
    return _written(desk, files, off_map_text(gpx.off_map))


def write_week_page(desk: Desk, day: date) -> Files:
    """The week of a day on one page for the wall. Raises Trouble if it cannot be written."""
    from servicedesk.desk.week_paper import week_paper

    return _written(desk, {f"week-{week_of(day)[0]}.pdf": week_paper(desk, day)})


def write_tell_csv(desk: Desk, found: TellList, name: str) -> Files:
    """The list for a spreadsheet; `name` is what it is of. Raises Trouble if it cannot be."""
    return _written(desk, {f"tell-{name}.csv": tell_csv(found)})


def off_map_text(addresses: tuple[str, ...]) -> str:
    """Which stops are in no file because nobody knows where they are; empty if none."""
    if not addresses:
        return ""
    return say("Not on the map yet, so not in it: {names}", names=", ".join(addresses))


def _written(desk: Desk, files: dict[str, bytes], note: str = "") -> Files:
    # papers are only needed when somebody prints: their libraries stay out of the start
    from servicedesk.desk.morning import write_papers
    from servicedesk.desk.sheets import Paper

    folder = papers_folder(desk.store.place)
    papers = [Paper(name, data) for name, data in files.items()]
    return str(folder), tuple(path.name for path in write_papers(papers, folder)), note
