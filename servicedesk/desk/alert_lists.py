"""Lists of calls and sites as facts for the repeat rules: which site, which word is the same.

The office's own words stand as they are; spelled alike but for case, spaces and hyphens they are
one symptom. They are not mapped to symptoms of the fault knowledge: an office that writes "alarm"
and "high water" means two things by it.
"""

import re
import unicodedata
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from servicedesk.exchange.bare_lists import (
    ListedCall,
    ListedSite,
    read_calls,
    read_sites,
    rows_text,
)
from servicedesk.trouble.call_facts import CallFact, SiteFact
from servicedesk.words import say, say_n

SHOWN_SITES = 5


@dataclass(frozen=True, slots=True)
class PapersRead:
    """Facts of two lists. `words`: a call (place, day, symptom key) as its row writes it."""

    calls: tuple[CallFact, ...]
    sites: tuple[SiteFact, ...]
    n_sites: int
    words: Mapping[tuple[str, date, str], tuple[str, date, str]]
    notes: tuple[str, ...]


def papers_read(
    calls_file: Path, sites_file: Path, *, day_first: bool | None, today: date
) -> PapersRead:
    """Both lists, and a note for every row that is doubted. Raises Trouble as the readers do."""
    calls, call_notes = read_calls(calls_file, day_first=day_first, today=today)
    sites, site_notes = read_sites(sites_file, day_first=day_first, today=today)
    key_of = _SiteKeys(site.site for site in sites)
    starts = _starts(sites, key_of)
    words: dict[tuple[str, date, str], tuple[str, date, str]] = {}
    facts = []
    for call in calls:
        fact = CallFact(key_of(call.site), call.on, folded(call.symptom))
        words.setdefault((fact.place, fact.on, fact.symptom), (call.site, call.on, call.symptom))
        facts.append(fact)
    notes = [*call_notes, *site_notes, *_twice(sites, key_of, sites_file.name)]
    notes += _doubted(calls, starts, key_of, calls_file.name, sites_file.name)
    if not calls:
        notes.append(say("{file} holds no calls.", file=calls_file.name))
    elif not any(starts.values()):
        notes.append(
            say("No site has a start date: the fixed rule decides, and no chances are told.")
        )
    places = starts.keys() | {fact.place for fact in facts}
    listed = tuple(SiteFact(place, start) for place, start in starts.items())
    return PapersRead(tuple(facts), listed, len(places), words, tuple(notes))


def folded(word: str) -> str:
    """One key for all spellings that differ in case, spaces, hyphens or a mark at the end."""
    plain = unicodedata.normalize("NFKC", word).casefold()
    parted = re.sub(r"(?<=\w)[-_‐‑–](?=\w)", " ", plain)
    return " ".join(parted.split()).rstrip(".,;:!? ") or plain


class _SiteKeys:
    """The key of a site: its name without regard to case and spaces, where that is one site."""

    def __init__(self, listed: Iterable[str]) -> None:
        self._written = set(listed)
        self._n = Counter(_plain(name) for name in self._written)

    def __call__(self, name: str) -> str:
        return name if self._n[_plain(name)] > 1 else _plain(name)


def _plain(name: str) -> str:
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def _starts(sites: Iterable[ListedSite], key_of: _SiteKeys) -> dict[str, date | None]:
    """The earliest start of each listed site, None where none can be read."""
    starts: dict[str, date | None] = {}
    for site in sites:
        key = key_of(site.site)
        days = [day for day in (starts.get(key), site.start_on) if day is not None]
        starts[key] = min(days, default=None)
    return starts


def _twice(sites: Iterable[ListedSite], key_of: _SiteKeys, file: str) -> list[str]:
    """Sites that stand there more than once with different days."""
    rows: defaultdict[str, list[ListedSite]] = defaultdict(list)
    for site in sites:
        rows[key_of(site.site)].append(site)
    return [
        say(
            "{file}, {rows}: {site} begins on different days; the earliest is taken.",
            file=file,
            rows=rows_text(site.row for site in those),
            site=those[0].site,
        )
        for those in rows.values()
        if len({site.start_on for site in those}) > 1
    ]


def _doubted(
    calls: Iterable[ListedCall],
    starts: Mapping[str, date | None],
    key_of: _SiteKeys,
    calls_file: str,
    sites_file: str,
) -> list[str]:
    """Calls of sites that are not listed, and calls before the start of their site."""
    unlisted: list[ListedCall] = []
    early: list[ListedCall] = []
    for call in calls:
        key = key_of(call.site)
        if key not in starts:
            unlisted.append(call)
        elif (start := starts[key]) is not None and call.on < start:
            early.append(call)
    notes = []
    if unlisted:
        names = {key_of(call.site): call.site for call in unlisted}
        notes.append(_unlisted(names, unlisted, calls_file, sites_file))
    if early:
        notes.append(
            say(
                "{file}, {rows}: the call is dated before its site began ({names}). "
                "Counted from the first call of all.",
                file=calls_file,
                rows=rows_text(call.row for call in early),
                names=_some(dict.fromkeys(call.site for call in early)),
            )
        )
    return notes


def _unlisted(
    names: Mapping[str, str], calls: Iterable[ListedCall], calls_file: str, sites_file: str
) -> str:
    return say_n(
        "{file}, {rows}: {n} site is not in {sites} ({names}). Counted from the first call of all.",
        "{file}, {rows}: {n} sites are not in {sites} ({names}). "
        "Counted from the first call of all.",
        len(names),
        file=calls_file,
        rows=rows_text(call.row for call in calls),
        sites=sites_file,
        names=_some(names.values()),
    )


def _some(names: Iterable[str]) -> str:
    every = list(names)
    shown = ", ".join(every[:SHOWN_SITES])
    if len(every) <= SHOWN_SITES:
        return shown
    return say("{names} and {n} more", names=shown, n=len(every) - SHOWN_SITES)
