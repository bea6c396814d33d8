"""The find box: records, things to do with the best one, words in notes and visits."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from servicedesk.desk.cached import cached
from servicedesk.desk.coming import day_text, first_upper
from servicedesk.desk.doing import Asked, Doing, Target, asked_for, things_to_do
from servicedesk.desk.office import Desk
from servicedesk.desk.sites import last_day
from servicedesk.records import (
    call_rows,
    contract_rows,
    finding,
    found_rows,
    people_rows,
    search,
    site_rows,
    visit_rows,
)
from servicedesk.words import say, say_n
from servicedesk.words.calls import plain
from servicedesk.words.jobs import job_title

SITES = 6
OTHERS = 4
NAMES = 60  # of them some lead to sites that are listed already
NOTES = 5
AROUND = 28  # signs of a note shown on either side of the word


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A record: site, customer, contract, technician, part or unit; `site_id` opens a file."""

    kind: str
    row_id: int
    site_id: int | None
    title: str
    line: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """A piece of a note. `kind`: visit, call, owed; `row_id` is the record to open."""

    kind: str
    row_id: int
    site_id: int | None
    snippet: str
    line: str


@dataclass(frozen=True, slots=True)
class FindAnswer:
    """The three groups, each best first, and how many there are in all."""

    records: tuple[Found, ...]
    doings: tuple[Doing, ...]
    notes: tuple[Noted, ...]

    @property
    def count(self) -> int:
        """How many lines there are."""
        return len(self.records) + len(self.doings) + len(self.notes)


def find(desk: Desk, text: str) -> FindAnswer:
    """What `text` leads to. A verb may come first: "print lena thu", "log dry hollow".

    The number of queries does not depend on how much is found; two signs or less find nothing
    but verbs.
    """
    asked = asked_for(desk, text)
    kept = cached(desk, ("find words",), dict[str, finding.Leads])
    with desk.store.read() as session:
        if asked.verbs and finding.leads(session, text, SITES, kept).sites:
            asked = Asked((), None, text)  # a road may be called like a verb
        wanted = asked.rest if asked.verbs else text
        if sum(ch.isalnum() for ch in wanted) < 2:
            return FindAnswer((), things_to_do(desk, asked, None, None), ())
        leads = finding.leads(session, wanted, NAMES, kept)
        site_ids = leads.best_sites(SITES)
        hits = [
            *leads.best_named(NAMES),
            *finding.notes(session, wanted, limit=NOTES),
        ]
        stops = visit_rows.next_stops(session, site_ids, desk.today) if site_ids else {}
        sites = _sites(desk, session, site_ids, stops)
        notes = _notes(desk, session, hits, wanted)
        records = (*sites, *_others(desk, session, hits, {f.row_id for f in sites}))
    best = _best(records, asked)
    stop = stops.get(best.row_id) if best is not None and best.kind == "site" else None
    target = Target(best.kind, best.row_id, best.site_id, best.title) if best else None
    return FindAnswer(records, things_to_do(desk, asked, target, stop), notes)


def _best(records: tuple[Found, ...], asked: Asked) -> Found | None:
    """The record that things are done with: rounds are printed of technicians."""
    if "print_round" in asked.verbs:
        crew = [f for f in records if f.kind == "technician"]
        return next(iter(crew or records), None)
    return next(iter(records), None)


def _sites(
    desk: Desk, session: Any, site_ids: list[int], stops: Mapping[int, visit_rows.VisitRow]
) -> tuple[Found, ...]:
    if not site_ids:
        return ()
    heads = site_rows.heads(session, site_ids)
    owners = people_rows.owners(session, site_ids, desk.today)
    calls = call_rows.counts(session, site_ids)
    found = []
    for site_id in site_ids:
        head, owner, stop = heads[site_id], owners.get(site_id), stops.get(site_id)
        n = calls.get(site_id, 0)
        parts = [
            owner.name if owner else "",
            say_n("{n} call", "{n} calls", n) if n else "",
            _stop_text(desk, stop) if stop else "",
            say("ended") if head.ended_on and head.ended_on <= desk.today else "",
        ]
        line = " · ".join(part for part in parts if part) or head.locality
        title = head.address
        found.append(Found(kind="site", row_id=site_id, site_id=site_id, title=title, line=line))
    return tuple(found)


def _stop_text(desk: Desk, stop: visit_rows.VisitRow) -> str:
    """As "inspection 3 tomorrow, 11:00 am"."""
    work = job_title(stop.jobs[0].kind_of, stop.jobs[0].ordinal) if stop.jobs else say("visit")
    if stop.planned_on is None:
        return say("{work}, no day yet", work=work)
    day = day_text(desk, stop.planned_on)
    if stop.arrive_min is None:
        return say("{work} {day}", work=work, day=day)
    time = desk.formats.time(stop.arrive_min)
    return say("{work} {day}, {time}", work=work, day=day, time=time)


def _others(desk: Desk, session: Any, hits: list[search.Hit], shown: set[int]) -> tuple[Found, ...]:
    """Customers without a site in the list, contracts, technicians, parts, units."""
    ids = _by_table(hits)
    found = _customers(desk, session, ids, shown)
    # each the best first: no more of a kind can be shown. Nothing is asked where nothing was found
    if some := ids["contract"][:OTHERS]:
        found += [_contract(desk, c) for c in contract_rows.contracts(session, some).values()]
    if some := ids["technician"][:OTHERS]:
        found += [
            Found(kind="technician", row_id=key, site_id=None, title=name, line=say("technician"))
            for key, name in found_rows.technicians(session, some).items()
        ]
    if some := ids["part"][:OTHERS]:
        found += [_part(p) for p in found_rows.parts(session, some).values()]
    if some := ids["unit"][:OTHERS]:
        found += [_unit(u) for u in found_rows.units(session, some).values()]
    rank = {(hit.table_name, hit.row_id): n for n, hit in enumerate(hits)}
    found.sort(key=lambda f: (rank.get((f.kind, f.row_id), len(hits)), f.kind, f.row_id))
    return tuple(found[:OTHERS])


def _customers(
    desk: Desk, session: Any, ids: Mapping[str, list[int]], shown: set[int]
) -> list[Found]:
    """Found by their own words, a number or a contact."""
    found = set(ids["customer"])
    if ids["phone"] or ids["contact"]:
        found |= found_rows.customers_of(session, ids["phone"], ids["contact"])
    if not found:
        return []
    return [
        Found(
            kind="customer",
            row_id=c.id,
            site_id=next(iter(c.site_ids), None),
            title=c.name,
            line=c.phone,
        )
        for c in people_rows.customers(session, found, desk.today).values()
        if not shown & set(c.site_ids)
    ]


def _by_table(hits: Iterable[search.Hit]) -> Mapping[str, list[int]]:
    tables = (
        "customer", "phone", "contact", "contract", "technician", "part", "unit",
        "visit", "job", "call", "owed",
    )  # fmt: skip
    found: dict[str, list[int]] = {table: [] for table in tables}
    for hit in hits:
        if hit.table_name in found:
            found[hit.table_name].append(hit.row_id)
    return found


def _contract(desk: Desk, contract: contract_rows.ContractFound) -> Found:
    month = desk.formats.month(last_day(contract.until_on))
    parts = (contract.address, contract.holder, say("to {month}", month=month))
    return Found(
        kind="contract",
        row_id=contract.id,
        site_id=contract.site_id,
        title=say("Contract {number}", number=contract.number),
        line=" · ".join(part for part in parts if part),
    )


def _unit(unit: found_rows.UnitFound) -> Found:
    named = {"component": plain(unit.component), "serial": unit.serial}
    return Found(
        kind="unit",
        row_id=unit.id,
        site_id=unit.site_id,
        title=say("{component}, serial {serial}", **named),
        line=unit.address,
    )


def _part(part: found_rows.PartFound) -> Found:
    """As "part F-220 · 6 shelf, 2 T1"."""
    where = ", ".join(say("{n} {place}", n=n, place=place) for place, n in part.stock)
    line = say("part {number} · {where}", number=part.number, where=where or say("none in stock"))
    return Found(kind="part", row_id=part.id, site_id=None, title=part.name, line=line)


# --- words in notes


def _notes(desk: Desk, session: Any, hits: list[search.Hit], text: str) -> tuple[Noted, ...]:
    ids = _by_table(hits)
    found: list[found_rows.NoteFound] = []
    for table, read in (
        ("visit", found_rows.visit_notes),
        ("job", found_rows.job_notes),
        ("call", found_rows.call_notes),
        ("owed", found_rows.owed_notes),
    ):
        found += read(session, ids[table]) if ids[table] else []
    words = search.words_of(text)
    noted = [(_day(desk, note), _noted(desk, note, words)) for note in found]
    # the latest note is the one that still holds
    noted.sort(key=lambda pair: (pair[0] or date.min, pair[1].row_id), reverse=True)
    return tuple(one for _, one in noted[:NOTES])


def _day(desk: Desk, note: found_rows.NoteFound) -> date | None:
    return desk.clock.day_of(note.at) if note.at is not None else note.on


def _noted(desk: Desk, note: found_rows.NoteFound, words: list[str]) -> Noted:
    day = desk.formats.day(_day(desk, note), near=desk.today)
    kind = "visit" if note.table_name == "job" else note.table_name
    texts = {
        "visit": say("visit of {day}", day=day),
        "call": say("call of {day}", day=day),
        "owed": say("owed since {day}", day=day),
    }
    parts = (texts[kind], note.who if kind == "visit" else "", note.address)
    return Noted(
        kind=kind,
        row_id=note.visit_id if kind == "visit" and note.visit_id else note.row_id,
        site_id=note.site_id,
        snippet=snippet(note.texts, words),
        line=first_upper(", ".join(part for part in parts if part)),
    )


def snippet(texts: Iterable[str], words: list[str]) -> str:
    """The piece of the first text that holds one of the folded words, cut at words, with dots."""
    best = ""
    for text in texts:
        plain_text = " ".join(text.split())
        best = best or plain_text
        at = _place_of(plain_text, words)
        if at is not None:
            return _cut(plain_text, at)
    return _cut(best, 0)


def _place_of(text: str, words: list[str]) -> int | None:
    start = 0
    for piece in text.split(" "):
        folded = search.words_of(piece)
        if any(one.startswith(word) for one in folded for word in words):
            return start
        start += len(piece) + 1
    return None


def _cut(text: str, at: int) -> str:
    begin = 0 if at <= AROUND else text.rfind(" ", 0, at - AROUND) + 1
    end = len(text)
    if at + 2 * AROUND < len(text):
        space = text.find(" ", at + 2 * AROUND)
        end = len(text) if space < 0 else space
    return ("…" if begin else "") + text[begin:end] + ("…" if end < len(text) else "")
