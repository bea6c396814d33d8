"""`servicedesk renewals --outlook`: the twelve months to come, and the list for the hauler."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any

from servicedesk.desk.office import Desk
from servicedesk.desk.report_mail import write_file
from servicedesk.desk.verb_options import desk_of
from servicedesk.desk.year_figures import outlook_lines
from servicedesk.desk.year_lists import outlook_csv, outlook_paper
from servicedesk.desk.year_outlook import Outlook, outlook
from servicedesk.desk.year_pumps import basis_lines, pump_csv, pump_pdf
from servicedesk.desk.year_words import whole
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

DONE = 0


def outlook_from_shell(
    chosen: argparse.Namespace,
    *,
    tell: Callable[..., None],
    print_json: Callable[[Any], None],
) -> int:
    """The months in lines or as JSON; figures to `--out`, the hauler's list to `--pump-outs`.

    Raises Trouble for a file that is neither PDF nor CSV, or cannot be written.
    """
    files: list[Path] = [path for path in (chosen.out, chosen.pump_outs) if path is not None]
    for path in files:
        if path.suffix.lower() not in {".pdf", ".csv"}:
            raise Trouble(
                say("{file} is neither .pdf nor .csv.", file=path),
                do=say("Give the file a name that ends in one of them."),
            )
    desk = desk_of(chosen)
    seen = outlook(desk)
    if chosen.out is not None:
        is_list = chosen.out.suffix.lower() == ".csv"
        write_file(chosen.out, outlook_csv(seen) if is_list else outlook_paper(desk, seen))
    if chosen.pump_outs is not None:
        is_list = chosen.pump_outs.suffix.lower() == ".csv"
        made = pump_csv if is_list else pump_pdf
        write_file(chosen.pump_outs, made(desk, seen.pumps))
    if chosen.json:
        print_json({"format": 1, "files": files, "outlook": seen})
    else:
        tell(*_lines(desk, seen), *(say("Written: {file}", file=path) for path in files))
    return DONE


def _lines(desk: Desk, seen: Outlook) -> list[str]:
    found = list(outlook_lines(desk, seen))
    for one in seen.months:
        tanks = len(seen.pumps.of_month(one.month))
        parts = [
            say("{signed} signed, {expected} from renewals ({low} to {high})",
                signed=whole(desk, one.signed_minor), expected=whole(desk, one.expected_minor),
                low=whole(desk, one.low_minor), high=whole(desk, one.high_minor)),
            say_n("{n} inspection owed", "{n} inspections owed", one.owed),
            say("{wanted} of {there} hours", wanted=round(one.wanted_min / 60),
                there=round(one.there_min / 60)),
            say_n("{n} tank to pump", "{n} tanks to pump", tanks) if tanks else "",
        ]  # fmt: skip
        found.append(f"{one.month:%Y-%m}  " + " · ".join(part for part in parts if part))
    return [*found, *basis_lines(desk, seen.pumps)]
