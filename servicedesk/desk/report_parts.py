"""The sections of a report: what needs attention, readings, checks, work, owed, as left."""

from collections.abc import Iterable
from datetime import date

from servicedesk.desk.office import Desk
from servicedesk.papers.report_rows import Mark, ReportRow, ReportSection
from servicedesk.records.report_rows import ItemSaid, JobFacts, OwedSaid, ReadingSaid
from servicedesk.trade.check_units import number_of
from servicedesk.trade.checks import checks
from servicedesk.trade.readings import Part, catalogue, checks_of
from servicedesk.words import say
from servicedesk.words.calls import debtor, plain
from servicedesk.words.readings_said import is_outside, place_text, range_text, value_text

NOT_LOOKED_AT = "not looked at"
BAD = ("failed", "watch")


def grade_text(grade: str) -> str:
    """How an item stands, in words."""
    texts = {
        "good": say("in order"),
        "watch": say("to be watched"),
        "failed": say("not in order"),
        NOT_LOOKED_AT: say("not looked at"),
    }
    return texts.get(grade, grade)


def item_name(item_id: str) -> str:
    """What an inspection item is called."""
    item = catalogue().item(item_id)
    return item.name if item is not None else plain(item_id)


def _in_order(items: Iterable[ItemSaid]) -> list[ItemSaid]:
    """Items in the order of a visit."""
    places = {item.id: n for n, item in enumerate(catalogue().items())}
    return sorted(items, key=lambda one: places.get(one.item_id, len(places)))


def _answer(one: ItemSaid) -> str:
    return ". ".join(part.strip().rstrip(".") for part in (one.answer, one.note) if part.strip())


def attention_section(job: JobFacts, to_kind: str) -> ReportSection | None:
    """What is not in order comes first; for the owner it is said where all is well, too."""
    if job.kind != "inspection" or not job.items:
        return None
    bad = [one for grade in BAD for one in _in_order(job.items) if one.grade == grade]
    outside = [one for one in job.readings if _place(one) in ("below", "above")]
    if not bad and not outside:
        text = say("Everything that was looked at is in order.") if to_kind == "owner" else ""
        return ReportSection(title=say("In short"), text=(text,)) if text else None
    rows = [
        ReportRow((item_name(one.item_id), _answer(one), grade_text(one.grade)), _mark(one.grade))
        for one in bad
    ]
    rows += [
        ReportRow((reading_name(one), _value(one), _place_said(one)), "watch") for one in outside
    ]
    return _item_section(say("What needs attention"), tuple(rows))


def _item_section(title: str, rows: tuple[ReportRow, ...]) -> ReportSection:
    """What, found, how it stands; without the middle column where nothing was written there."""
    if any(row.cells[1] for row in rows):
        heads, widths = (say("What"), say("Found"), say("How it stands")), (0.45, 0.34, 0.21)
        return ReportSection(title=title, head=heads, widths=widths, rows=rows)
    narrow = tuple(ReportRow((row.cells[0], row.cells[2]), row.mark, row.strong) for row in rows)
    heads_only = (say("What"), say("How it stands"))
    return ReportSection(title=title, head=heads_only, widths=(0.79, 0.21), rows=narrow)


def _mark(grade: str) -> Mark:
    marks: dict[str, Mark] = {"good": "good", "watch": "watch", "failed": "failed"}
    return marks.get(grade, "open")


def reading_name(one: ReadingSaid) -> str:
    """What was measured."""
    number = catalogue().number(one.item_id) or number_of(one.item_id)
    return number.name if number is not None else plain(one.item_id)


def _value(one: ReadingSaid) -> str:
    return value_text(one.value, one.unit, one.qualifier, one.state)


def _place(one: ReadingSaid) -> str | None:
    return is_outside(one.value, one.qualifier, one.state, one.limit_low, one.limit_high)


def _place_said(one: ReadingSaid) -> str:
    has_range = one.limit_low is not None or one.limit_high is not None
    return place_text(_place(one), one.state, has_range=has_range)


def readings_section(job: JobFacts) -> ReportSection | None:
    """Every reading with its unit, its range as it stood that day, and where it lies in words."""
    if not job.readings:
        return None
    return ReportSection(
        title=say("Readings"),
        head=(say("What was measured"), say("Reading"), say("Usual range"), say("Remark")),
        widths=(0.36, 0.22, 0.18, 0.24),
        rows=tuple(_reading_row(one) for one in job.readings),
        note=say(
            "A reading outside its range is a finding to explain, not a verdict: where and when "
            "it was taken matters, and the permit of the system decides."
        ),
    )


def _reading_row(one: ReadingSaid) -> ReportRow:
    outside = _place(one) in ("below", "above")
    return ReportRow(
        (
            reading_name(one),
            _value(one),
            range_text(one.limit_low, one.limit_high),
            _place_said(one),
        ),
        strong=outside,
    )


def checked_section(job: JobFacts, to_kind: str) -> ReportSection | None:
    """Every item that was looked at, and those that were not.

    For the owner what is in order is one paragraph; the authority gets each item in a row.
    """
    if not job.items:
        return None
    items = _in_order(job.items)
    if to_kind == "owner":
        return _checked_for_owner(items)
    rows = tuple(
        ReportRow((item_name(one.item_id), _answer(one), grade_text(one.grade)), _mark(one.grade))
        for one in items
    )
    return _item_section(say("Checked"), rows)


def _checked_for_owner(items: list[ItemSaid]) -> ReportSection:
    good = [one for one in items if one.grade == "good"]
    not_seen = [one for one in items if one.grade == NOT_LOOKED_AT]
    texts = []
    if good:
        texts.append(say("In order: {items}.", items=_names(good)))
    if not_seen:
        texts.append(say("Not looked at this time: {items}.", items=_names(not_seen)))
    return ReportSection(title=say("What we looked at"), text=tuple(texts))


def _names(items: Iterable[ItemSaid]) -> str:
    return "; ".join(_lower(item_name(one.item_id)) for one in items)


def _lower(name: str) -> str:
    """A name inside a sentence; letters that stay large (BOD5, DO) are left alone."""
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]


def finding_section(job: JobFacts) -> ReportSection | None:
    """Checks that were made beside the items of the inspection."""
    said = {
        check
        for one in job.items
        if (item := catalogue().item(one.item_id)) is not None
        for check in checks_of(item)
    }
    rows = []
    for one in job.findings:
        check = checks().get(one.check_id)
        if check is None or one.check_id in said or one.result_id is None:
            continue
        results = {result.id: result.text for result in check.results}
        text = results.get(one.result_id, plain(one.result_id))
        rows.append(ReportRow((check.name, ". ".join(p for p in (text, one.note) if p))))
    if not rows:
        return None
    return ReportSection(
        title=say("Checks made"),
        head=(say("Check"), say("Result")),
        widths=(0.5, 0.5),
        rows=tuple(rows),
    )


def work_section(job: JobFacts) -> ReportSection | None:
    """What was found and done in words, and the parts used."""
    texts = []
    if job.found.strip():
        texts.append(say("Found: {text}", text=job.found.strip()))
    if job.no_fault_found:
        texts.append(say("No fault was found."))
    if job.did.strip():
        texts.append(say("Done: {text}", text=job.did.strip()))
    if job.fix == "patched":
        texts.append(say("Patched: this is not lasting."))
    if job.parts:
        texts.append(say("Parts: {parts}", parts=", ".join(job.parts)))
    return ReportSection(title=say("Work"), text=tuple(texts)) if texts else None


def owed_on(job: JobFacts, on: date) -> tuple[OwedSaid, ...]:
    """What was owed at the site at the end of a day."""
    return tuple(
        one
        for one in job.owed
        if one.since_on <= on and (one.settled_on is None or one.settled_on > on)
    )


def owed_section(desk: Desk, job: JobFacts, on: date) -> ReportSection | None:
    """What is still to be done after the visit, by whom, by when."""
    owed = owed_on(job, on)
    if not owed:
        return None
    f = desk.formats
    rows = []
    for one in owed:
        needs = say("needs {what}", what=one.needs) if one.needs else ""
        until = say("until then: {what}", what=one.workaround) if one.workaround else ""
        what = " · ".join(part for part in (one.what, needs, until) if part)
        by = f.day(one.by_on) if one.by_on else say("no day set")
        rows.append(ReportRow((what, debtor(one.debtor), by)))
    return ReportSection(
        title=say("Still to be done"),
        head=(say("What"), say("By whom"), say("By")),
        widths=(0.62, 0.18, 0.20),
        rows=tuple(rows),
    )


def left_section(job: JobFacts) -> ReportSection | None:
    """How the system was left, and the list before leaving."""
    texts = [job.as_left.strip()] if job.as_left.strip() else []
    if job.leaving:
        items = catalogue().parts[Part.LEAVING]
        open_ = [one.name for one in items if not job.leaving.get(one.id, False)]
        if open_:
            names = "; ".join(_lower(name) for name in open_)
            texts.append(say("Not ticked before leaving: {items}.", items=names))
        else:
            texts.append(say("The whole list before leaving was gone through and ticked."))
    return ReportSection(title=say("As left"), text=tuple(texts)) if texts else None
