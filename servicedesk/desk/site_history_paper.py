"""The history of a site on paper: all of it for us, or what its owner of today may see."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from servicedesk.desk.coming import first_upper
from servicedesk.desk.knowledge import cause_names, knowledge_of
from servicedesk.desk.office import Desk
from servicedesk.desk.places_on_disk import papers_folder
from servicedesk.desk.report_content import page_size, shared_of
from servicedesk.desk.report_mail import write_file
from servicedesk.desk.report_parts import item_name
from servicedesk.desk.sitefile import SiteFile, site_file
from servicedesk.desk.sitehistory import HistoryEntry, how_text
from servicedesk.desk.usual import HISTORY_FOR
from servicedesk.records import people_rows, visit_rows
from servicedesk.records.contract_rows import ContractRow
from servicedesk.records.owed_rows import OwedRow
from servicedesk.records.search import words_of
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n
from servicedesk.words.calls import debtor, plain
from servicedesk.words.jobs import beyond_reason, job_title, outcome_text
from servicedesk.words.readings_said import value_text
from servicedesk.words.removed import removed_text

ICONS = {
    "visit": "check",
    "call": "bell",
    "told": "phone",
    "paper": "note",
    "unit": "panel",
    "owed": "owed",
    "contract": "note",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """One thing that happened. `facts` were seen or measured, `words` are what people wrote,
    `inside` what they wrote for us alone.

    `customer_id`: whose contract it is; only that of whoever owns the site now may be shown them.
    """

    kind: str
    on: date
    title: str
    facts: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    inside: tuple[str, ...] = ()
    customer_id: int | None = None

    @property
    def lines(self) -> tuple[str, ...]:
        """All there is to say."""
        return (*self.facts, *self.words, *self.inside)


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteHistory:
    """The history, oldest first. `n_left_out`: lines that name earlier customers."""

    address: str
    facts: tuple[str, ...]
    entries: tuple[Happened, ...]
    owner_since: date | None = None
    n_left_out: int = 0


def site_history(desk: Desk, site_id: int, *, whom: str = "us") -> SiteHistory:
    """Everything of a site in order of time, without any code. Raises Trouble if it is not there.

    `whom` "owner": of the time before the present owner only what was done, seen and measured at
    the system; no calls, no words, no contracts, and never a line that names who was there before.
    Raises ValueError for another receiver.
    """
    if whom not in HISTORY_FOR:
        raise ValueError(f"{whom!r} is none of {HISTORY_FOR}")
    file = site_file(desk, site_id)
    entries = sorted(_entries(desk, file), key=lambda one: one.on)
    whole = SiteHistory(address=file.head.address, facts=_facts(desk, file), entries=tuple(entries))
    return whole if whom == "us" else _for_owner(file, whole)


def history_paper(desk: Desk, site_id: int, *, whom: str = "us") -> bytes:
    """The same as PDF under the company's letterhead, on its size of paper."""
    from servicedesk.papers.site_history import HistoryPaper, PaperEntry, history_pdf

    told = site_history(desk, site_id, whom=whom)
    foot = (desk.company.name, desk.company.invented_note)
    paper = HistoryPaper(
        letterhead=shared_of(desk).letterhead,
        address=told.address,
        facts=told.facts,
        day=say("As of {day}", day=desk.formats.long_day(desk.today)),
        entries=tuple(
            PaperEntry(
                on=one.on,
                day=desk.formats.day(one.on),
                icon=ICONS[one.kind],
                title=one.title,
                lines=one.lines,
            )
            for one in told.entries
        ),
        note=_note(desk, told),
        foot=" · ".join(part for part in foot if part),
    )
    return history_pdf(paper, page_size(desk))


def write_history(desk: Desk, site_id: int, *, whom: str = "us") -> tuple[str, str]:
    """Write the paper beside the store: its folder and name. Raises Trouble where it cannot be."""
    number = site_file(desk, site_id).head.number
    name = f"history-{number}-{desk.today.isoformat()}{'-owner' if whom == 'owner' else ''}.pdf"
    folder = papers_folder(desk.store.place)
    write_file(folder / name, history_paper(desk, site_id, whom=whom))
    return str(folder), name


# what happened


def _entries(desk: Desk, file: SiteFile) -> Iterable[Happened]:
    seen = _looked(desk, file)
    visits = {v.id: v for v in _visits(desk, file)}
    for entry in reversed(file.history):
        if entry.kind == "visit":
            yield _visit(entry, visits[entry.row_id], seen.get(entry.row_id, ()))
        else:
            yield Happened(
                kind=entry.kind,
                on=entry.on,
                title=entry.title,
                words=_joined(entry),
            )
    yield from _units(file, cause_names(desk))
    for owed in (*file.owed, *file.owed_settled):
        yield from _owed(desk, owed)
    for contract in file.contracts:
        yield from _contract(desk, contract)


def _joined(entry: HistoryEntry) -> tuple[str, ...]:
    """Short things in one line; what somebody said in a line of its own."""
    if entry.kind == "paper":
        return (" · ".join(entry.lines),) if entry.lines else ()
    return tuple(line for line in (entry.who, *entry.lines) if line)


def _visits(desk: Desk, file: SiteFile) -> list[visit_rows.VisitRow]:
    with desk.store.read() as session:
        return visit_rows.visits_of(session, [file.head.id])


def _looked(desk: Desk, file: SiteFile) -> dict[int, tuple[str, ...]]:
    """What was looked at and measured at each visit, in words."""
    checks = knowledge_of(desk).checks
    found: dict[int, tuple[str, ...]] = {}
    with desk.store.read() as session:
        looks = visit_rows.looks_at(session, [s.id for s in file.systems])
        ids = [e.row_id for e in file.history if e.kind == "visit"]
        readings = visit_rows.readings_of(session, ids)
        parts = visit_rows.parts_used(session, ids)
    seen: dict[int, list[str]] = {}
    for look in looks:
        if look.visit_id is not None and look.result_id is not None:
            check = checks.get(look.check_id)
            name = check.name if check is not None else plain(look.check_id)
            seen.setdefault(look.visit_id, []).append(_said(name, plain(look.result_id)))
    for visit_id, lines in seen.items():
        found[visit_id] = (" · ".join(lines),)
    for visit_id, taken in readings.items():
        values = (
            _said(item_name(one.item_id),
                  value_text(one.value, one.unit, one.qualifier, one.state))
            for one in taken
        )  # fmt: skip
        found[visit_id] = (*found.get(visit_id, ()), " · ".join(values))
    for visit_id, used in parts.items():
        line = say("Parts: {parts}", parts=", ".join(used))
        found[visit_id] = (*found.get(visit_id, ()), line)
    return found


def _said(what: str, found: str) -> str:
    """As "Sludge depth: 12 in"; a question keeps its own mark."""
    if what.endswith("?"):
        return say("{question} {found}", question=what, found=found)
    return say("{what}: {found}", what=what, found=found)


def _visit(entry: HistoryEntry, visit: visit_rows.VisitRow, looked: tuple[str, ...]) -> Happened:
    """What came of each job and what was seen are facts; what was written in words is not."""
    came = [
        say("{job}: {outcome}", job=first_upper(job_title(job.kind_of, job.ordinal)),
            outcome=outcome_text(job.outcome, job.could_not))
        for job in visit.jobs
        if job.outcome is not None
    ]  # fmt: skip
    title, facts = (came[0], []) if len(came) == 1 == len(visit.jobs) else (entry.title, came)
    said = ((beyond_reason(job.found, job.could_not), job.did) for job in visit.jobs)
    words = [text for pair in said for text in pair if text.strip()]
    words += [visit.as_left] if visit.as_left.strip() else []
    return Happened(
        kind="visit",
        on=entry.on,
        title=" · ".join(part for part in (title, visit.technician) if part),
        facts=(*facts, *looked),
        words=tuple(words),
        inside=(visit.note,) if visit.note.strip() else (),
    )


def _units(file: SiteFile, causes: Mapping[str, str]) -> Iterable[Happened]:
    """What went in and what came out, each day's together."""
    went_in: dict[date, list[str]] = {}
    came_out: dict[date, list[str]] = {}
    for part in file.components:
        for life in (one for chain in part.chains for one in chain):
            unit = life.unit
            about = [
                unit.maker,
                unit.model,
                say("serial {n}", n=unit.serial) if unit.serial else "",
            ]
            told = " ".join(word for word in about if word)
            name = f"{part.name} ({told})" if told else part.name
            if unit.installed_on is not None:
                went_in.setdefault(unit.installed_on, []).append(name)
            if unit.removed_on is not None:
                why = say("{unit}: {why}", unit=name, why=removed_text(unit.removed_why, causes))
                came_out.setdefault(unit.removed_on, []).append(why if unit.removed_why else name)
    for title, by_day in ((say("Removed"), came_out), (say("Installed"), went_in)):
        for day, names in by_day.items():
            yield Happened(kind="unit", on=day, title=title, facts=("; ".join(names),))


def _owed(desk: Desk, owed: OwedRow) -> Iterable[Happened]:
    about = [say("owed by: {who}", who=debtor(owed.debtor))]
    if owed.workaround:
        about.append(say("meanwhile: {what}", what=owed.workaround))
    if owed.needs:
        about.append(say("needs: {what}", what=owed.needs))
    if owed.by_on is not None:
        about.append(say("by {day}", day=desk.formats.day(owed.by_on)))
    title = say("Owed: {what}", what=owed.what)
    yield Happened(kind="owed", on=owed.since_on, title=title, words=tuple(about))
    if owed.state != "open" and owed.settled_on is not None:
        end = say("Declined: {what}", what=owed.what)
        if owed.state == "settled":
            end = say("Settled: {what}", what=owed.what)
        by = " ".join(p for p in (owed.answered_by, how_text(owed.answered_how)) if p)
        words = (by,) if owed.state == "declined" and by else ()
        yield Happened(kind="owed", on=owed.settled_on, title=end, words=words)


def _contract(desk: Desk, one: ContractRow) -> Iterable[Happened]:
    f = desk.formats
    last = one.until_on - timedelta(days=1)
    span = say("{first} to {last}", first=f.day(one.from_on), last=f.day(last))
    visits = say_n("{n} visit a year", "{n} visits a year", one.visits_a_year)
    yield Happened(
        kind="contract",
        on=one.from_on,
        title=say("Contract {n}, {span}", n=one.number, span=span),
        words=(say("{who}, {visits}", who=one.holder, visits=visits),),
        customer_id=one.holder_id,
    )
    if one.ended_on is not None:
        yield Happened(
            kind="contract",
            on=one.ended_on,
            title=say("Contract {n} ended", n=one.number),
            words=(one.ended_why,) if one.ended_why else (),
            customer_id=one.holder_id,
        )


def _facts(desk: Desk, file: SiteFile) -> tuple[str, ...]:
    """Permit, kind and start of each system."""
    lines = []
    for system in file.systems:
        parts = [system.label, say("permit {n}", n=system.permit) if system.permit else ""]
        parts.append(say("{n} gallons a day", n=system.design_flow_gpd)
                     if system.design_flow_gpd else "")  # fmt: skip
        if system.started_on is not None:
            parts.append(say("in use since {day}", day=desk.formats.day(system.started_on)))
        lines.append(first_upper(" · ".join(part for part in parts if part)))
    return tuple(line for line in lines if line)


# what an owner may see


def _for_owner(file: SiteFile, whole: SiteHistory) -> SiteHistory:
    owners = [p for p in file.people_now if p.role == "owner"]
    if not owners:
        raise Trouble(
            say("No owner is known at {address}.", address=whole.address),
            do=say("Write who owns it first, then print the history for them."),
        )
    since = _since(file, owners)
    now = {p.customer_id for p in owners}
    named = _names_before(file)
    n_left_out = 0
    kept: list[Happened] = []
    for one in whole.entries:
        if one.customer_id is not None and one.customer_id not in now:
            continue
        shown = replace(one, inside=())
        if since is not None and one.on < since:
            if one.kind not in ("visit", "unit"):
                continue
            shown = replace(shown, words=())  # the thing itself, nothing that people said
        if _names(shown.title, named):
            n_left_out += 1
            continue
        facts = tuple(line for line in shown.facts if not _names(line, named))
        words = tuple(line for line in shown.words if not _names(line, named))
        n_left_out += len(shown.lines) - len(facts) - len(words)
        kept.append(replace(shown, facts=facts, words=words))
    return replace(whole, entries=tuple(kept), owner_since=since, n_left_out=n_left_out)


def _since(file: SiteFile, owners: list[people_rows.RoleRow]) -> date | None:
    """Since when the place is theirs; None where nobody was there before them."""
    begun = [p.from_on for p in owners if p.from_on is not None]
    ended = [p.until_on for p in file.people if p.role == "owner" and p.until_on is not None]
    return max(begun, default=None) or max((day for day in ended), default=None)


def _names_before(file: SiteFile) -> frozenset[str]:
    """Words that name who was here before and is no more; too short ones name nobody."""
    there = {word for p in file.people_now for word in words_of(p.name)}
    gone: list[people_rows.RoleRow] = [p for p in file.people if p not in file.people_now]
    known_now = {p.customer_id for p in file.people_now}
    words = {w for p in gone if p.customer_id not in known_now for w in words_of(p.name)}
    return frozenset(word for word in words - there if len(word) > 2)


def _names(text: str, named: frozenset[str]) -> bool:
    return not named.isdisjoint(words_of(text))


def _note(desk: Desk, told: SiteHistory) -> str:
    parts = []
    if told.owner_since is not None:
        day = desk.formats.day(told.owner_since)
        parts.append(say("Before {day} only the work at the system is shown.", day=day))
    if told.n_left_out:
        parts.append(
            say_n(
                "{n} line that names other people is left out.",
                "{n} lines that name other people are left out.",
                told.n_left_out,
            )
        )
    return " ".join(parts)
