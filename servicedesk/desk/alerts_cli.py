"""`servicedesk alerts`: the repeat alerts that a list of past calls would have raised."""

import argparse
import csv
import datetime as dt
import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from servicedesk.desk.alert_lists import PapersRead, papers_read
from servicedesk.trouble.repeats import Alert, Settings, alerts, returns
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n
from servicedesk.words.formats import Formats
from servicedesk.words.reasons import reason_text
from servicedesk.words.repeat_reasons import about

DONE, LOOK = 0, 1
FORMAT = 1
COLUMNS = ("site", "date", "symptom", "level", "chance", "why")


@dataclass(frozen=True, slots=True)
class AlertRow:
    """One row of the answer; `chance` None where only the fixed rule could speak."""

    site: str
    date: dt.date
    symptom: str
    level: str
    chance: float | None
    why: str


@dataclass(frozen=True, slots=True)
class ReturnRow:
    """A call within 14 days after the one before, for the same thing."""

    site: str
    date: dt.date
    symptom: str
    after: dt.date
    days: int


@dataclass(frozen=True, slots=True)
class AlertReport:
    """The whole answer, as `--json` prints it."""

    format: int
    n_calls: int
    n_sites: int
    alerts: tuple[AlertRow, ...]
    returns: tuple[ReturnRow, ...]
    notes: tuple[str, ...]


def alerts_from_shell(
    chosen: argparse.Namespace,
    *,
    print_json: Callable[[Any], None],
    tell: Callable[..., None],
) -> int:
    """Alerts of bare lists (`--calls`, `--sites`). Exit code 1 if a row was left out or doubted.

    Raises Trouble for files and options that cannot be used.
    """
    _refuse_half(chosen)
    today = chosen.today or _today()
    papers = papers_read(chosen.calls, chosen.sites, day_first=chosen.day_first, today=today)
    report = report_on(papers, settings=Settings(chosen.dial), until=chosen.until)
    if chosen.out is not None:
        _write(chosen.out, report.alerts, inputs=(chosen.calls, chosen.sites))
    if chosen.json:
        print_json(report)
    else:
        tell(*_lines(report, chosen.out))
    for note in report.notes:
        sys.stderr.write(note + "\n")
    return LOOK if report.notes else DONE


def report_on(
    papers: PapersRead, *, settings: Settings, until: dt.date | None = None
) -> AlertReport:
    """Alerts and returns of what was read, sites and symptoms in the words of their own rows."""
    kept = [call for call in papers.calls if until is None or call.on <= until]
    found = alerts(kept, papers.sites, settings=settings)
    return AlertReport(
        format=FORMAT,
        n_calls=len(kept),
        n_sites=papers.n_sites,
        alerts=tuple(_alert_row(papers, alert) for alert in found),
        returns=tuple(
            ReturnRow(*papers.words[one.place, one.on, one.symptom], one.after_on, one.days)
            for one in returns(kept)
        ),
        notes=papers.notes,
    )


def _alert_row(papers: PapersRead, alert: Alert) -> AlertRow:
    site, on, symptom = papers.words[alert.place, alert.on, alert.symptom]
    return AlertRow(
        site=site,
        date=on,
        symptom=symptom,
        level=alert.level,
        chance=None if alert.chance is None else round(alert.chance, 4),
        why=reason_text(alert.why, Formats(), {alert.symptom: symptom}),
    )


def _today() -> dt.date:
    """The day of this machine: it only decides the century of years of two digits."""
    from zoneinfo import ZoneInfo

    from servicedesk.values.clock import Clock

    return Clock(ZoneInfo("UTC")).today()


def _refuse_half(chosen: argparse.Namespace) -> None:
    if chosen.calls is None and chosen.sites is None:
        raise Trouble(
            say("No list of calls was named."),
            do=say("Say --calls CALLS.csv --sites SITES.csv."),
        )
    if chosen.calls is None or chosen.sites is None:
        raise Trouble(
            say("Both lists are needed: --calls and --sites."),
            means=say("How often a site calls can only be told with the day it began."),
        )


def _write(out: Path, rows: Iterable[AlertRow], *, inputs: Iterable[Path]) -> None:
    """The alerts as a text table. Raises Trouble if it cannot be written."""
    for one in inputs:
        if out.exists() and out.samefile(one):
            raise Trouble(
                say("{file} is one of the lists themselves; it was not written over.", file=out),
                do=say("Name another file after --out."),
            )
    try:
        with out.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(COLUMNS)
            for row in rows:
                chance = "" if row.chance is None else f"{row.chance:.4f}"
                writer.writerow(
                    (row.site, row.date.isoformat(), row.symptom, row.level, chance, row.why)
                )
    except OSError as error:
        raise Trouble(
            say("{file} cannot be written.", file=out),
            do=say("Check that its folder is there, has room and may be written to."),
        ) from error


def _lines(report: AlertReport, out: Path | None) -> list[str]:
    n_act = sum(row.level == "act" for row in report.alerts)
    lines = [
        say_n("{n} call, ", "{n} calls, ", report.n_calls)
        + say_n("{n} site: ", "{n} sites: ", report.n_sites)
        + say_n("{n} alert to act on, ", "{n} alerts to act on, ", n_act)
        + say_n("{n} to watch.", "{n} to watch.", len(report.alerts) - n_act)
    ]
    lines += [_alert_line(row) for row in report.alerts] if out is None else []
    if report.returns:
        lines.append(
            say_n(
                "{n} call came within two weeks of the one before: not fixed the first time.",
                "{n} calls came within two weeks of the one before: not fixed the first time.",
                len(report.returns),
            )
        )
    if out is not None:
        lines.append(say("Written to {file}.", file=out))
    return lines


def _alert_line(row: AlertRow) -> str:
    level = say("ACT") if row.level == "act" else say("watch")
    chance = about(row.chance)
    ending = f" ({chance})" if chance else ""
    return f"{row.date.isoformat()}  {level}  {row.site}: {row.why}{ending}"
