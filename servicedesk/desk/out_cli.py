"""`servicedesk out`: rounds and sites leave the house, from the shell."""

import argparse
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from servicedesk.desk.verb_options import Tell, add_place, add_span, desk_of, span_of
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

if TYPE_CHECKING:
    from servicedesk.desk.office import Desk

DONE, LOOK = 0, 1
FORMATS = ("gpx", "geojson", "ics", "csv", "pdf")


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """What went out, where, and which places are not on the map and so not in it."""

    files: tuple[str, ...]
    n_rounds: int
    n_stops: int
    n_sites: int = 0
    off_map: tuple[str, ...] = ()


def add_out_verb(
    verbs: Any,
    *,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> None:
    """`out` with its options."""
    verb = verbs.add_parser(
        "out", help=say("write rounds and sites as GPX, GeoJSON, calendars, a list or paper")
    )
    add_place(verb)
    verb.add_argument(
        "--format", dest="format_", choices=FORMATS, required=True,
        help=say("ics: one calendar a technician; pdf: route sheets, of a week one page for the "
                 "wall"),
    )  # fmt: skip
    add_span(verb)
    verb.add_argument("--out", metavar="FILE", type=Path, required=True, help=say("where it goes"))
    verb.add_argument("--technician", metavar="NAME", action="append", default=[],
                      help=say("only this one's rounds; may be given again"))  # fmt: skip
    verb.add_argument("--sites", action="store_true",
                      help=say("GPX and GeoJSON: all sites beside the rounds"))  # fmt: skip
    verb.add_argument("--secrets", action="store_true", help=say("print gate codes on the sheets"))
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))
    verb.set_defaults(do=lambda chosen: out_from_shell(chosen, tell=tell, print_json=print_json))


def out_from_shell(
    chosen: argparse.Namespace, *, tell: Tell, print_json: Callable[[Any], None]
) -> int:
    """Write the file. Exit code 1 if a stop's place is only guessed and so not in it.

    Raises Trouble if there are no rounds in these days, or nothing can be written there.
    """
    from servicedesk.desk.span_rounds import leads_named, rounds_of_span

    desk = desk_of(chosen)
    first, until = span_of(chosen, desk)
    leads = leads_named(desk, chosen.technician, first) if chosen.technician else None
    rounds = rounds_of_span(desk, first, until, lead_ids=leads)
    # sites alone are worth a file, and so is a week's page without any round
    is_empty = not any(one.stops for one in rounds)
    if is_empty and not (chosen.sites or (chosen.format_ == "pdf" and chosen.week)):
        raise Trouble(
            say("There are no rounds with stops in these days."),
            do=say("Plan them first: servicedesk morning, or servicedesk plan --take"),
            exit_code=LOOK,
        )
    written = _write(desk, chosen, first, until, leads)
    if chosen.json:
        print_json(asdict(written))
    else:
        tell(*_lines(written))
    return LOOK if written.off_map else DONE


def _write(
    desk: "Desk",
    chosen: argparse.Namespace,
    first: date,
    until: date,
    leads: frozenset[int] | None,
) -> Written:
    from servicedesk.desk.morning import write_papers
    from servicedesk.desk.out import Span, rounds_csv, rounds_geojson, rounds_gpx
    from servicedesk.desk.sheets import Paper
    from servicedesk.desk.span_rounds import rounds_of_span

    out: Path = chosen.out
    if chosen.format_ in ("gpx", "geojson", "csv"):
        writers = {"gpx": rounds_gpx, "geojson": rounds_geojson, "csv": rounds_csv}
        span = Span(first=first, until=until, lead_ids=leads, with_sites=chosen.sites)
        made = writers[chosen.format_](desk, span)
        write_papers([Paper(out.name, made.data)], out.parent, option="--out FILE")
        return Written(
            files=(str(out),),
            n_rounds=made.n_rounds,
            n_stops=made.n_stops,
            n_sites=made.n_sites,
            off_map=made.off_map,
        )
    papers = _papers(desk, chosen, first, until, leads)
    paths = write_papers(papers, out.parent, option="--out FILE")
    rounds = rounds_of_span(desk, first, until, lead_ids=leads)
    return Written(
        files=tuple(str(path) for path in paths),
        n_rounds=len(rounds),
        n_stops=sum(len(one.stops) for one in rounds),
    )


def _papers(
    desk: "Desk",
    chosen: argparse.Namespace,
    first: date,
    until: date,
    leads: frozenset[int] | None,
) -> list[Any]:
    """Calendars (each technician's name in its file's name if there are several), or the PDF."""
    from servicedesk.desk.sheets import Paper

    out: Path = chosen.out
    if chosen.format_ == "ics":
        from servicedesk.desk.calendars import span_calendars

        made = span_calendars(desk, first, until, lead_ids=leads)
        if len(made) == 1:
            return [Paper(out.name, made[0].data)]
        head = f"visits-{first}-" if until - first == timedelta(days=1) else (
            f"visits-{first}-{until - timedelta(days=1)}-"
        )  # fmt: skip
        return [Paper(f"{out.stem}-{one.name.removeprefix(head)}", one.data) for one in made]
    if chosen.week:
        from servicedesk.desk.week_paper import week_paper

        return [Paper(out.name, week_paper(desk, first))]
    from servicedesk.desk.sheets import day_route_sheets

    return [Paper(out.name, day_route_sheets(desk, first, leads, secrets=chosen.secrets))]


def _lines(written: Written) -> list[str]:
    lines = [say("Written: {file}", file=file) for file in written.files]
    parts = [
        say_n("{n} round", "{n} rounds", written.n_rounds),
        say_n("{n} stop", "{n} stops", written.n_stops),
    ]
    if written.n_sites:
        parts.append(say_n("{n} site", "{n} sites", written.n_sites))
    lines.append(", ".join(parts))
    if written.off_map:
        from servicedesk.desk.out_files import off_map_text

        lines.append(f"! {off_map_text(written.off_map)}")
    return lines
