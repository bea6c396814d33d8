"""`servicedesk renewals`: contracts that end, what they cost, the next price; as a workbook too."""

import argparse
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

from servicedesk.desk.letter_wording import OFFER, check_wording, letter_kind
from servicedesk.desk.office import Desk
from servicedesk.desk.renewal_letters import renewal_letters
from servicedesk.desk.renewals import RenewalLine, RenewalPage, renewals
from servicedesk.desk.renewals_sheet import renewals_book, renewals_csv, visits_text
from servicedesk.desk.report_mail import write_file
from servicedesk.desk.verb_options import desk_of
from servicedesk.desk.year_files import renewals_json, write_renewals
from servicedesk.renewals.price import CALL_FIRST
from servicedesk.values.money import Money
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n
from servicedesk.words.reasons import reason_text
from servicedesk.words.renewal_reasons import decision_text

DONE, LOOK = 0, 1
_MADE: dict[str, Callable[[Desk, RenewalPage], bytes]] = {
    ".xlsx": renewals_book,
    ".csv": renewals_csv,
    ".json": lambda _desk, page: renewals_json(page),
}


def renewals_from_shell(
    chosen: argparse.Namespace,
    *,
    tell: Callable[..., None],
    print_json: Callable[[Any], None],
) -> int:
    """The page in lines or as JSON, the sheet to `--out`; exit code 1 if somebody must be called.

    Raises Trouble for a file that is neither XLSX nor CSV, or cannot be written.
    """
    if chosen.outlook or chosen.pump_outs is not None:
        from servicedesk.desk.outlook_cli import outlook_from_shell

        return outlook_from_shell(chosen, tell=tell, print_json=print_json)
    out: Path | None = chosen.out
    if out is not None and out.suffix and not out.is_dir() and out.suffix.lower() not in _MADE:
        raise Trouble(
            say("{file} is neither .xlsx, .csv nor .json.", file=out),
            do=say("Give the file a name that ends in one of them, or a folder for all three."),
        )
    wording = _wording(chosen.wording)
    if wording is not None:
        check_wording(wording, letter_kind(OFFER).fields)
    desk = desk_of(chosen)
    year = chosen.year or desk.today.year + 1
    until = chosen.until or date(year + 1, 1, 1)
    page = renewals(desk, since=date(year, 1, 1), until=until)
    files = [] if out is None else _write(desk, page, out)
    n_letters = _letters(desk, page, chosen.letters, wording) if chosen.letters else 0
    if chosen.json:
        print_json({"format": 1, "file": out, "n_letters": n_letters, "renewals": page})
    else:
        files += [chosen.letters] if chosen.letters else []
        written = [say("Written: {file}", file=file) for file in files]
        tell(*renewal_lines(desk, page), *written)
    return LOOK if any(line.decision == CALL_FIRST for line in page.lines) else DONE


def _write(desk: Desk, page: RenewalPage, out: Path) -> list[Path]:
    """The file that was asked for, or in a folder all three."""
    made = None if out.is_dir() else _MADE.get(out.suffix.lower())
    if made is None:
        folder, names, _ = write_renewals(desk, page, folder=out)
        return [Path(folder) / name for name in names]
    return [write_file(out, made(desk, page))]


def _letters(desk: Desk, page: RenewalPage, out: Path, wording: str | None) -> int:
    """Write the letters; how many there are."""
    made = renewal_letters(desk, page, wording=wording)
    write_file(out, made.merged)
    return len(made.contract_ids)


def _wording(path: Path | None) -> str | None:
    if path is None:
        return None
    try:
        return path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise Trouble(
            say("{file} cannot be read as text.", file=path),
            do=say("Give a text file, saved as UTF-8."),
        ) from error


def renewal_lines(desk: Desk, page: RenewalPage) -> list[str]:
    """The page in words: totals, what prices rest on, one line a contract."""

    def money(minor: int) -> str:
        return desk.formats.money(Money(minor, page.currency))

    totals = page.totals
    counts = ", ".join(
        f"{decision_text(code)} {n}" for code, n in sorted(totals.n_by_decision.items())
    )
    lines = [
        say_n("{n} contract ends", "{n} contracts end", totals.n)
        + (f": {counts}" if counts else ""),
        say(
            "price now {now}, next year {next}; kept {kept}; {n} cost more than they bring: {lost}",
            now=money(totals.now_minor),
            next=money(totals.next_minor),
            kept=money(totals.kept_minor),
            n=totals.n_losing,
            lost=money(totals.lost_minor),
        ),
        *(reason_text(note, desk.formats) for note in page.notes),
        "",
    ]
    return lines + [_line(desk, page, line) for line in page.lines]


def _line(desk: Desk, page: RenewalPage, line: RenewalLine) -> str:
    names = {"currency": page.currency}
    price, visits = line.price, visits_text(line)

    def money(minor: int) -> str:
        return desk.formats.money(Money(minor, page.currency))

    parts = [
        line.address,
        line.holder,
        say("visits {n}", n=visits) if visits else "",
        say("cost {money}", money=money(line.this_year.total_minor)) if line.this_year else "",
        say("{now}, next year {next}", now=money(price.now_minor), next=money(price.next_minor))
        if price
        else "",
        ", ".join(reason_text(step, desk.formats, names) for step in price.steps) if price else "",
        decision_text(line.decision),
        reason_text(line.why, desk.formats, names) if line.why else "",
        *(reason_text(one, desk.formats, names) for one in line.missing),
    ]
    return f"{line.ends_on.isoformat()}  " + " \u00b7 ".join(part for part in parts if part)
