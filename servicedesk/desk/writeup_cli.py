"""`servicedesk done`: write up the visit of a day at one site, without a screen."""

import argparse
import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from servicedesk.desk.checking import Wrong, WrongEntry
from servicedesk.desk.office import Desk, open_desk
from servicedesk.desk.places_on_disk import default_store
from servicedesk.desk.sites import site_ids
from servicedesk.desk.writeup import write_up
from servicedesk.desk.writeup_agree import agreeing
from servicedesk.desk.writeup_behind import behind_line, check_names
from servicedesk.desk.writeup_checks import NOT_LOOKED_AT, JobTrouble
from servicedesk.desk.writeup_cli_checks import refuse_nowhere, with_findings
from servicedesk.desk.writeup_cli_parts import part_line, typed_parts
from servicedesk.desk.writeup_entry import (
    JobEntry,
    OwedEntry,
    ReadingEntry,
    VisitEntry,
    first_entry,
    notes_of,
    readings_of,
    with_owed_checks,
)
from servicedesk.desk.writeup_form import VisitForm, visit_form
from servicedesk.desk.writeup_items import (
    ITEM_KINDS,
    as_usual,
    form_items,
    unticked,
    with_numbers,
)
from servicedesk.desk.writeup_parts_told import PartToldAs, parts_told
from servicedesk.records import planning_rows
from servicedesk.trade.check_units import number_of
from servicedesk.trade.reading_shapes import Number
from servicedesk.trade.readings import Part, catalogue
from servicedesk.values.trouble import Trouble
from servicedesk.words import say
from servicedesk.words.jobs import outcome_text


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenUp:
    """What `servicedesk done` wrote: the record of it for `--json`."""

    visit_id: int
    change_id: int
    site: str
    day: str
    arrived: str
    left: str
    jobs: tuple[str, ...]
    readings: tuple[str, ...]
    behind: tuple[str, ...]
    findings: tuple[str, ...]
    parts: tuple[PartToldAs, ...]
    owed: tuple[str, ...]
    not_ticked: tuple[str, ...]


def done_from_shell(chosen: argparse.Namespace, *, print_json: Callable[[object], object]) -> int:
    """Write up the visit of today (or `--today`) at the site. Exit code 0.

    Raises Trouble for a site or visit that cannot be told apart, WrongEntry for a wrong entry.
    """
    desk = open_desk(chosen.store or default_store(), who=chosen.who, today=chosen.today)
    form = visit_form(desk, visit_today(desk, chosen.site))
    refuse_nowhere(form, chosen)
    entry = with_owed_checks(form, _entry(desk, form, chosen))
    try:
        notes = notes_of(desk, form, entry)
    except WrongEntry as wrong:
        raise _all_of(wrong.wrong) from wrong
    changed = write_up(desk, notes)
    told = _told(desk, form, entry, changed.change_id)
    if chosen.json:
        print_json(told)
    else:
        sys.stdout.write("\n".join(_lines(told)) + "\n")
    return 0


def visit_today(desk: Desk, text: str) -> int:
    """The visit of the day at the site that `text` names: address, number, permit or phone.

    A visit that waits goes before one that was written up. Raises Trouble where none or several
    fit, and says which.
    """
    ids = site_ids(desk, text=text)
    with desk.store.read() as session:
        sites = planning_rows.site_places(session, ids)
        visits = [v for v in planning_rows.visits_of_day(session, desk.today) if v.site_id in sites]
    if not sites:
        raise Trouble(
            say("No site is known by “{text}”.", text=text),
            do=say("Give its address, number, permit or phone."),
        )
    exact = {s.id for s in sites.values() if text.strip() in (str(s.number), s.address)}
    if exact:
        visits = [v for v in visits if v.site_id in exact]
    waiting = [v for v in visits if v.state == "planned"] or visits
    if not waiting:
        raise Trouble(
            say("No visit is planned there on {day}.", day=desk.formats.weekday(desk.today)),
            means=_named(sites[i].address for i in ids if not exact or i in exact),
            do=say("Plan it first: servicedesk visit. Or give the day with --today."),
        )
    if len(waiting) > 1:
        raise Trouble(
            say("“{text}” fits several visits of the day.", text=text),
            means=_named(sites[v.site_id].address for v in waiting),
            do=say("Give the whole address, or the number of the site."),
        )
    return waiting[0].id


def _named(addresses: Iterable[str]) -> str:
    some = list(dict.fromkeys(addresses))
    more = say(" and {n} more", n=len(some) - 5) if len(some) > 5 else ""
    return ", ".join(some[:5]) + more + "."


def _all_of(wrong: Iterable[Wrong]) -> Trouble:
    """Every sentence at once: a shell has no fields to walk through."""
    says = dict.fromkeys(one.says for one in wrong)  # two jobs may miss the same
    return Trouble(" ".join(says), means=say("Nothing was written."))


def _entry(desk: Desk, form: VisitForm, chosen: argparse.Namespace) -> VisitEntry:
    entry = first_entry(desk, form)
    troubles = (_job(form, job, chosen, {}) for job in entry.jobs if job.job_id in form.troubles)
    for job in troubles:
        entry = entry.with_job(job)
    found = entry.found()
    leaving = {item.id: True for item in catalogue().parts[Part.LEAVING]}
    return replace(
        entry,
        arrived=chosen.arrived or entry.arrived,
        left=chosen.left or entry.left,
        jobs=tuple(
            job if job.job_id in form.troubles else _job(form, job, chosen, found)
            for job in entry.jobs
        ),
        parts=(*entry.parts, *typed_parts(form, chosen)),
        approved_by=chosen.approved_by,
        approval_owed=chosen.approval_owed or entry.approval_owed,
        owed=(*entry.owed, *(_owed(text) for text in chosen.owed)),
        leaving=leaving if chosen.all_ticked else entry.leaving,
        as_left=chosen.as_left or entry.as_left,
    )


def _owed(text: str) -> OwedEntry:
    """As "west head: low nozzle by Nov 30": what, what it needs, by when."""
    what, _, by = text.partition(" by ")
    what, _, needs = what.partition(": ")
    return OwedEntry(what=what.strip(), needs=needs.strip(), by=by.strip())


def _job(
    form: VisitForm, job: JobEntry, chosen: argparse.Namespace, found: Mapping[str, str]
) -> JobEntry:
    row = next(one for one in form.jobs if one.id == job.job_id)
    job = replace(
        job,
        outcome=chosen.outcome.replace("-", " "),
        could_not=chosen.why.replace("-", " "),
        found=chosen.found or job.found,
        did=chosen.did or job.did,
        told_whom=chosen.told or job.told_whom,
        fix=chosen.fix.replace("-", " ") or job.fix,
    )
    if row.kind not in ITEM_KINDS:
        return with_findings(form, job, chosen)
    items = form_items(form.equipment.get(row.system_id or 0, ()))
    if chosen.as_usual:
        job = replace(job, items=agreeing(as_usual(items), items, found))
    for typed in chosen.reading:
        number, value = _reading(form, row.system_id, typed)
        job = replace(job, readings={**job.readings, number.id: value})
    said = dict(job.items)
    for one in items:
        now = with_numbers(one, said.get(one.item.id), readings_of(job))
        if now is not None:
            said[one.item.id] = now
    return replace(job, items=said)


def _reading(form: VisitForm, system_id: int | None, typed: str) -> tuple[Number, ReadingEntry]:
    """As "chlorine=0.5" or "air-pressure=22 kPa"."""
    name, sign, value = typed.partition("=")
    if not sign:
        raise Trouble(
            say("“{text}” is no reading.", text=typed),
            do=say("Write it like chlorine=0.5 or air-pressure=22 kPa."),
        )
    number = _number(form, system_id, name.strip())
    for unit in sorted(number.units, key=len, reverse=True):
        if value.strip().casefold().endswith(unit.casefold()):
            return number, ReadingEntry(value.strip()[: -len(unit)].strip(), unit)
    return number, ReadingEntry(value.strip(), number.units[0])


def _number(form: VisitForm, system_id: int | None, name: str) -> Number:
    """The reading meant: by its id, else the only one with these words that was taken here."""
    numbers = [n for item in catalogue().items() for n in item.numbers]
    same = [n for n in numbers if name.casefold() in (n.id, n.name.casefold())]
    words = name.casefold().replace("-", " ").split()
    fits = same or [
        n for n in numbers if all(w in f"{n.id} {n.name}".casefold() for w in words) and words
    ]
    if len(fits) > 1:
        fits = [n for n in fits if (system_id or 0, n.id) in form.earlier] or fits
    if len(fits) == 1:
        return fits[0]
    known = ", ".join(n.id for n in (fits or numbers))
    raise Trouble(
        say("“{name}” is no reading we know.", name=name)
        if not fits
        else say("“{name}” may be several readings.", name=name),
        do=say("Give one of: {known}.", known=known),
    )


def _told(desk: Desk, form: VisitForm, entry: VisitEntry, change_id: int) -> WrittenUp:
    return WrittenUp(
        visit_id=entry.visit_id,
        change_id=change_id,
        site=form.site.address,
        day=desk.formats.long_day(form.day),
        arrived=entry.arrived,
        left=entry.left,
        jobs=tuple(
            f"{form.titles[job.job_id]}: {outcome_text(job.outcome, job.could_not)}"
            for job in entry.jobs
        ),
        readings=tuple(
            f"{known.name if known else number}: {typed.text} {typed.unit}"
            for job in entry.jobs
            for number, typed in job.readings.items()
            for known in [number_of(number)]
        ),
        behind=tuple(
            behind_line(trouble.known, job.behind, job.cause_id)
            for job, trouble in _troubles(form, entry)
            if job.behind
        ),
        findings=tuple(_findings(form, entry)),
        parts=parts_told(desk, form.parts, entry),
        owed=tuple(one.what for one in entry.owed),
        not_ticked=unticked(entry.leaving) if entry.leaving else (),
    )


def _troubles(form: VisitForm, entry: VisitEntry) -> Iterable[tuple[JobEntry, JobTrouble]]:
    return ((j, form.troubles[j.job_id]) for j in entry.jobs if j.job_id in form.troubles)


def _findings(form: VisitForm, entry: VisitEntry) -> Iterable[str]:
    for job, trouble in _troubles(form, entry):
        for check_id, said in job.findings.items():
            results = {one.id: one.text for one in trouble.known.checks[check_id].results}
            text = say("not looked at") if said == NOT_LOOKED_AT else results[said]
            yield f"{check_names(trouble.known, [check_id])}: {text}"


def _lines(told: WrittenUp) -> list[str]:
    head = say(
        "Written up: {site}, {day}, in {arrived}, out {left}",
        site=told.site,
        day=told.day,
        arrived=told.arrived,
        left=told.left,
    )
    parts = (part_line(one) for one in told.parts)
    said = (*told.jobs, *told.readings, *told.findings, *told.behind, *parts)
    owed = (say("owed: {what}", what=what) for what in told.owed)
    lines = [head, *(f"  {line}" for line in (*said, *owed))]
    if told.not_ticked:
        lines.append("  " + say("not ticked: {names}", names="; ".join(told.not_ticked)))
    return lines
