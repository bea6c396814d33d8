"""What the paper of a sale inspection says: from the visit as written up, part by part."""

from collections.abc import Iterable, Mapping
from datetime import date

from servicedesk.desk.office import Desk
from servicedesk.desk.report_content import (
    Corrects,
    Shared,
    Signed,
    company_license_text,
    place_of_job,
    receiver_lines,
    signed_lines,
    visited_on,
    visitor_text,
)
from servicedesk.desk.report_parts import (
    NOT_LOOKED_AT,
    grade_text,
    item_name,
    owed_section,
    readings_section,
    work_section,
)
from servicedesk.papers.report_rows import Fact, Mark
from servicedesk.papers.sale_inspection import SaleInspection, SalePart
from servicedesk.records import site_rows
from servicedesk.records.report_rows import ItemSaid, JobFacts
from servicedesk.records.site_rows import UnitRow
from servicedesk.records.visit_rows import LookRow, looks_at
from servicedesk.trade.cautions import caution_texts
from servicedesk.trade.check_units import component_of_check
from servicedesk.trade.checks import checks
from servicedesk.trade.components import components
from servicedesk.trade.readings import catalogue, checks_of
from servicedesk.words import say
from servicedesk.words.calls import plain

CAUTIONS = ("no-entry", "open-riser-fall", "chlorine-handling")
_WORST = ("failed", "watch", "good")
_MARKS: Mapping[str, Mark] = {"failed": "failed", "watch": "watch", "good": "good"}


def sale_of(
    desk: Desk,
    job: JobFacts,
    shared: Shared,
    *,
    to_kind: str,
    to_whom: str = "",
    number: int | None = None,
    signed: Signed | None = None,
    corrects: Corrects | None = None,
) -> SaleInspection:
    """The paper of a sale inspection; no number: a draft. `to_whom`: who ordered it.

    Without `to_whom` it goes to whoever gets the reports of the day of the visit.
    """
    on = visited_on(desk, job)
    by = signed or Signed()
    parts, others, unseen = _state(desk, job, on)
    to = tuple(line.strip() for line in to_whom.splitlines() if line.strip())
    said = _number(desk, number, corrects)
    return SaleInspection(
        letterhead=shared.letterhead,
        to=to or receiver_lines(job, to_kind, on),
        place=place_of_job(job),
        number=said[0],
        changed=said[1],
        day=desk.formats.long_day(desk.today),
        visited=desk.formats.long_day(on),
        facts=tuple(_facts(desk, job, shared, on)),
        parts=parts,
        others=others,
        unseen=unseen,
        readings=readings_section(job),
        work=work_section(job),
        owed=owed_section(desk, job, on),
        cautions=caution_texts(CAUTIONS),
        signed=signed_lines(by) if by.name else (),
        foot=f"{desk.company.name} · {job.address}",
        invented=desk.company.invented_note,
    )


def _number(
    desk: Desk, number: int | None, corrects: Corrects | None
) -> tuple[str, tuple[str, ...]]:
    if number is None:
        return say("Draft, not sent"), ()
    if corrects is None or corrects.number is None:
        return say("Report {n}", n=number), ()
    sent = desk.formats.day(corrects.sent_on)
    named = say("This report takes the place of report {n}, sent {day}.", n=corrects.number,
                day=sent)  # fmt: skip
    first = say("Report {n}, corrects report {first}", n=number, first=corrects.number)
    return first, (named, *corrects.changed)


def _facts(desk: Desk, job: JobFacts, shared: Shared, on: date) -> Iterable[Fact]:
    f = desk.formats
    yield Fact(say("Visited on"), f.long_day(on))
    yield Fact(say("Visited by"), visitor_text(job, shared, on))
    yield Fact(say("Company license"), company_license_text(shared, on))
    yield Fact(say("Permit"), job.permit or say("not written down"))
    kinds = " · ".join(plain(part) for part in (job.treatment, job.dispersal) if part)
    if kinds:
        yield Fact(say("System"), kinds)
    if job.weather:
        yield Fact(say("Weather"), job.weather)


def _state(
    desk: Desk, job: JobFacts, on: date
) -> tuple[tuple[SalePart, ...], tuple[SalePart, ...], tuple[str, ...]]:
    """Each part that stood there on the day, what else was looked at, what was not seen."""
    if job.system_id is None:
        return (), (), (say("Which system was looked at is not written down."),)
    with desk.store.read() as session:
        units = [u for u in site_rows.units(session, [job.system_id]) if _stood(u, on)]
        made = looks_at(session, [job.system_id])
    looks = [look for look in made if look.visit_id == job.visit_id]
    order = {name: n for n, name in enumerate(components())}
    units.sort(key=lambda u: (order.get(u.component, len(order)), u.installed_on or date.min, u.id))
    there = {unit.component: unit for unit in units}
    said = _by_component(job.items, there)
    parts = tuple(_part(desk, unit, said, looks, there) for unit in units)
    unseen = [say("{part}: not looked at", part=part.name) for part in parts if part.mark == "open"]
    of_no_part = [item for item in job.items if not _components(item.item_id, there)]
    unseen += [
        ": ".join(p for p in (item_name(item.item_id), item.note.strip()) if p)
        for item in of_no_part
        if item.grade == NOT_LOOKED_AT
    ]
    if job.outcome == "partly":
        unseen.insert(0, say("Not all of it could be looked at this time."))
    others = tuple(_other(item) for item in of_no_part if item.grade in _WORST)
    return parts, others, tuple(unseen)


def _other(item: ItemSaid) -> SalePart:
    """An item that is about no part written down: how it stands, what was found."""
    found = ". ".join(p.strip() for p in (item.answer, item.note) if p.strip())
    mark = _MARKS[item.grade]
    return SalePart(item_name(item.item_id), "", grade_text(item.grade), found, mark)


def _stood(unit: UnitRow, on: date) -> bool:
    begun = unit.installed_on is None or unit.installed_on <= on
    return begun and (unit.removed_on is None or unit.removed_on > on)


def _components(item_id: str, there: Mapping[str, UnitRow]) -> tuple[str, ...]:
    """The kinds of component of those there that an item is about."""
    item = catalogue().item(item_id)
    if item is None:
        return ()
    kinds = (component_of_check(check, there) for check in checks_of(item))
    return tuple(dict.fromkeys(kind for kind in kinds if kind is not None))


def _by_component(
    items: Iterable[ItemSaid], there: Mapping[str, UnitRow]
) -> Mapping[str, list[ItemSaid]]:
    found: dict[str, list[ItemSaid]] = {}
    for item in items:
        for component in _components(item.item_id, there):
            found.setdefault(component, []).append(item)
    return found


def _part(
    desk: Desk,
    unit: UnitRow,
    said: Mapping[str, list[ItemSaid]],
    looks: Iterable[LookRow],
    there: Mapping[str, UnitRow],
) -> SalePart:
    items = said.get(unit.component, [])
    seen = [item for item in items if item.grade in _WORST]
    mine = [look for look in looks if _is_about(look, unit, there)]
    made = [look for look in mine if look.result_id is not None]
    texts = [
        say("{what}: {answer}", what=item_name(item.item_id),
            answer=item.answer or grade_text(item.grade))
        for item in seen
    ]  # fmt: skip
    texts += [_look_text(look) for look in made if not _said_by(look, seen)]
    name = components()[unit.component].name if unit.component in components() else plain(
        unit.component
    )  # fmt: skip
    since = desk.formats.month(unit.installed_on) if unit.installed_on else ""
    what = ", ".join(
        part for part in (unit.model, say("since {month}", month=since) if since else "") if part
    )
    grade = next((g for g in _WORST if any(item.grade == g for item in seen)), "")
    state, mark = _standing(unit, grade, is_seen=bool(seen or made))
    return SalePart(name[:1].upper() + name[1:], what, state, "; ".join(texts), mark)


def _standing(unit: UnitRow, grade: str, *, is_seen: bool) -> tuple[str, Mark]:
    """How a part stands in words: the worst that was said, what is patched, or not seen."""
    if unit.state == "failed":
        return say("failed"), "failed"
    if unit.state == "patched":
        return say("patched, not lasting"), "watch"
    if grade:
        return grade_text(grade), _MARKS[grade]
    if is_seen:
        return say("looked at, see beside"), ""
    return say("not looked at"), "open"


def _is_about(look: LookRow, unit: UnitRow, there: Mapping[str, UnitRow]) -> bool:
    if look.unit_id is not None:
        return look.unit_id == unit.id
    return component_of_check(look.check_id, there) == unit.component


def _said_by(look: LookRow, items: Iterable[ItemSaid]) -> bool:
    """Does an item say the same already?"""
    ids = (catalogue().item(item.item_id) for item in items)
    return any(look.check_id in checks_of(item) for item in ids if item is not None)


def _look_text(look: LookRow) -> str:
    check = checks().get(look.check_id)
    if check is None:
        return plain(look.check_id)
    result = next((r.text for r in check.results if r.id == look.result_id), "")
    text = say("{what}: {answer}", what=check.name, answer=result) if result else check.name
    return f"{text} ({look.note.strip()})" if look.note.strip() else text
