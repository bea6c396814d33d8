"""Samples: taken, sent to a laboratory, expected back, known; and what a result sets going."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from servicedesk.desk.checking import Wrong, WrongEntry, refuse
from servicedesk.desk.deadline_line import (
    About,
    DeadlineLine,
    Where,
    calendar_of,
    lateness_of,
    of_rule,
    rule_on,
)
from servicedesk.desk.office import Desk
from servicedesk.desk.rules import Rules, rules_of
from servicedesk.desk.writeup_read import reading_of
from servicedesk.duties.deadlines import LAB_RESULT, duty_due, instant_due, result_due
from servicedesk.records import sample_rows as rows
from servicedesk.records.sample_rows import SampleRow
from servicedesk.records.samples import Sample
from servicedesk.records.sites import Site, System
from servicedesk.records.store import Changed
from servicedesk.trade.readings import catalogue
from servicedesk.trade.rule_limits import keeps, limit_for
from servicedesk.trade.rule_shapes import DutyKind, Limit
from servicedesk.values.reading import ReadingState
from servicedesk.values.trouble import Trouble
from servicedesk.words import say
from servicedesk.words.calls import plain
from servicedesk.words.readings_said import range_text, value_text
from servicedesk.words.reasons import reason_text

EXPECTED_DAYS = 10  # five of them BOD5 needs in the incubator; common practice, no source
LOOK_BACK_DAYS = 365
NEW_SYSTEM_DAYS = 730


@dataclass(frozen=True, slots=True, kw_only=True)
class NewSample:
    """A sample as it is taken. `expected_days` until the result is expected back."""

    system_id: int
    item_id: str
    taken_on: date
    taken_by: str = ""
    visit_id: int | None = None
    laboratory_id: int | None = None
    laboratory_number: str = ""
    expected_days: int = EXPECTED_DAYS
    note: str = ""


@dataclass(frozen=True, slots=True)
class SampleSaid:
    """A sample in words: its test, limit, result; `keeps`: does it keep it (None: unknown)."""

    row: SampleRow
    name: str
    limit_text: str
    value_text: str
    keeps: bool | None


def lab_tests() -> tuple[tuple[str, str], ...]:
    """What a laboratory may be asked for: id and name."""
    return tuple((number.id, number.name) for number in catalogue().samples)


def lab_test_name(item_id: str) -> str:
    """What a sample is tested for."""
    number = catalogue().number(item_id)
    return number.name if number is not None else plain(item_id)


def laboratories(desk: Desk) -> tuple[tuple[int, str], ...]:
    """Laboratories among the firms we know: key and name, by name."""
    with desk.store.read() as session:
        return tuple(rows.laboratories(session))


def system_at(desk: Desk, site_id: int, label: str = "") -> int:
    """The system at a site that a sample is of; `label` says which where there are several.

    Raises WrongEntry where it is not clear, or where none stands there.
    """
    with desk.store.read() as session:
        there = rows.systems_at(session, site_id)
    wanted = label.strip().casefold()
    found = [key for key, *names in there if wanted in [n.casefold() for n in names if n]]
    if len(there) == 1 and not wanted:
        return there[0][0]
    if len(found) == 1:
        return found[0]
    names = ", ".join(label or permit for _, label, permit in there)
    says = (
        say("Several systems stand there: name one of {names}.", names=names)
        if there
        else say("No system stands there.")
    )
    raise WrongEntry([Wrong("system", says)])


def take_sample(desk: Desk, entry: NewSample) -> Changed:
    """Write that a sample was taken, with its limit as the rule stands that day.

    Raises WrongEntry for a day to come, a test nobody knows, or a time without end.
    """
    refuse(_wrong(desk, entry))
    with desk.store.read() as session:
        system = session.get(System, entry.system_id)
        site = session.get(Site, system.site_id) if system else None
        address = site.address if site else ""
        rule_id = system.rule_id if system else None
        single_family = system.single_family if system else True
    rule = rule_on(rules_of(desk), rule_id, entry.taken_on)
    limit = limit_for(rule, entry.item_id, single_family=single_family) if rule else None
    low, high = _ends(limit)
    version = rule.valid_from_on.isoformat() if rule and rule.valid_from_on else None
    what = say(
        "Took a sample at {address}: {test}", address=address, test=lab_test_name(entry.item_id)
    )
    number = catalogue().number(entry.item_id)
    with desk.store.change(desk.who, what) as work:
        work.get(System, entry.system_id)
        work.add(
            Sample(
                system_id=entry.system_id,
                visit_id=entry.visit_id,
                item_id=entry.item_id,
                taken_on=entry.taken_on,
                taken_by=entry.taken_by.strip(),
                laboratory_id=entry.laboratory_id,
                laboratory_number=entry.laboratory_number.strip(),
                expected_on=entry.taken_on + timedelta(days=entry.expected_days),
                rule_id=rule_id,
                rule_version=version,
                limit_low=low,
                limit_high=high,
                unit=number.units[0] if number else "",
                note=entry.note.strip(),
            )
        )
    return work.changed


def _ends(limit: Limit | None) -> tuple[str | None, str | None]:
    if limit is None:
        return None, None
    low, high = (None if end is None else f"{end.normalize():f}" for end in (limit.low, limit.high))
    return low, high


def _wrong(desk: Desk, entry: NewSample) -> list[Wrong]:
    wrong = []
    if entry.taken_on > desk.today:
        wrong.append(Wrong("taken_on", say("That day is still to come.")))
    if entry.item_id not in dict(lab_tests()):
        names = ", ".join(item for item, _ in lab_tests())
        wrong.append(Wrong("item_id", say("Say what it is tested for: {names}.", names=names)))
    if not 0 <= entry.expected_days <= 365:
        wrong.append(Wrong("expected_days", say("A result is expected within a year.")))
    return wrong


def write_result(
    desk: Desk, sample_id: int, text: str, *, known_on: date | None = None, seen: int | None = None
) -> Changed:
    """Write what the laboratory found, as typed: "12", "<2", "too many". Known today, or on a day.

    Raises WrongEntry where it is no result, or known before it was taken.
    """
    row = _row(desk, sample_id)
    reading = reading_of(text, row.unit)
    wrong = []
    if reading is None or reading.state is not ReadingState.MEASURED:
        wrong.append(Wrong("value", say("Write the result, such as 12, <2 or too many.")))
    day = known_on or desk.today
    if not row.taken_on <= day <= desk.today:
        wrong.append(Wrong("known_on", say("The result came after the sample, and by today.")))
    refuse(wrong)
    if reading is None:
        raise ValueError("refused above")
    what = say(
        "Result of {test} at {address}", test=lab_test_name(row.item_id), address=row.address
    )
    at = desk.clock.now() if day == desk.today else desk.clock.instant(day, 12 * 60)
    with desk.store.change(desk.who, what) as work:
        sample = work.fresh(Sample, sample_id, seen=seen)
        sample.value, sample.qualifier = reading.value, reading.qualifier.value
        sample.known_at, sample.lost_why = at, ""
    return work.changed


def lose_sample(desk: Desk, sample_id: int, why: str, *, seen: int | None = None) -> Changed:
    """Write that no result will come, and why. Raises WrongEntry without a reason."""
    row = _row(desk, sample_id)
    refuse([] if why.strip() else [Wrong("why", say("Write why no result will come."))])
    what = say(
        "No result of {test} at {address}", test=lab_test_name(row.item_id), address=row.address
    )
    with desk.store.change(desk.who, what) as work:
        work.fresh(Sample, sample_id, seen=seen).lost_why = why.strip()
    return work.changed


def samples_of(desk: Desk, system_id: int) -> tuple[SampleSaid, ...]:
    """The samples of a system, oldest first."""
    with desk.store.read() as session:
        found = rows.samples(session, system_ids=[system_id])
    return tuple(_said(row) for row in found)


def _said(row: SampleRow) -> SampleSaid:
    value = "" if row.known_at is None else value_text(
        row.value, row.unit, row.qualifier, ReadingState.MEASURED
    )  # fmt: skip
    limit = range_text(row.limit_low, row.limit_high)
    return SampleSaid(row, lab_test_name(row.item_id), limit, value, result_keeps(row))


def result_keeps(row: SampleRow) -> bool | None:
    """Does the result keep the limit that stood when it was taken? None: unknown, or no limit."""
    if row.known_at is None or (row.limit_low is None and row.limit_high is None):
        return None
    low, high = (None if end is None else Decimal(end) for end in (row.limit_low, row.limit_high))
    return keeps(Limit(what=row.item_id, every="", low=low, high=high), row.value, row.qualifier)


def _row(desk: Desk, sample_id: int) -> SampleRow:
    with desk.store.read() as session:
        found = rows.samples(session, sample_id=sample_id)
    if not found:
        raise Trouble(
            say("That sample is not in the store any more."),
            do=say("Look under All changes; it can be done again there."),
            exit_code=3,
        )
    return found[0]


def sample_lines(desk: Desk) -> Iterator[DeadlineLine]:
    """Results that are awaited or missing, results out of their limit, first samples due."""
    since = desk.today - timedelta(days=LOOK_BACK_DAYS)
    with desk.store.read() as session:
        found = rows.samples(session, since=since)
        new = rows.without_sample(
            session, started_since=desk.today - timedelta(days=NEW_SYSTEM_DAYS)
        )
    rules = rules_of(desk)
    for row in found:
        if row.known_at is None and not row.lost_why:
            yield _awaited(desk, row)
        elif result_keeps(row) is False and not row.told:
            yield from _outside(desk, row, rules)
    for one in new:
        rule = rule_on(rules, one.rule_id, one.started_on)
        if rule is None:
            continue
        for due in duty_due(rule, DutyKind.FIRST_SAMPLE, one.started_on, calendar_of(desk)):
            day = desk.formats.day(one.started_on, near=desk.today)
            yield of_rule(
                desk, due, rule, kind="sample",
                what=say("First sample of the system started {day}", day=day),
                where=Where(one.site_id, one.address, one.locality),
                about=About(system_id=one.system_id),
            )  # fmt: skip


def _awaited(desk: Desk, row: SampleRow) -> DeadlineLine:
    expected = result_due(row.taken_on, expected_days=(row.expected_on - row.taken_on).days)
    late = lateness_of(desk, row.expected_on)
    why = [reason_text(one, desk.formats) for one in expected.reasons]
    if row.laboratory:
        why.append(say("at {laboratory}", laboratory=row.laboratory))
    words = (
        say("Result is missing: {test}", test=lab_test_name(row.item_id))
        if late.days
        else say("Result is awaited: {test}", test=lab_test_name(row.item_id))
    )
    return DeadlineLine(
        kind="sample",
        duty=LAB_RESULT,
        what=words,
        due_on=row.expected_on,
        days_left=(row.expected_on - desk.today).days,
        site_id=row.site_id,
        address=row.address,
        locality=row.locality,
        confirmed=False,
        own=True,  # when a result is expected is no law
        why=tuple(why),
        ours=late.ours,
        ids=(row.site_id,),
        visit_id=row.visit_id,
        system_id=row.system_id,
        sample_id=row.id,
    )


def _outside(desk: Desk, row: SampleRow, rules: Rules) -> Iterator[DeadlineLine]:
    """What the rule asks for once such a result is known."""
    if row.known_at is None:
        return
    on = desk.clock.day_of(row.known_at)
    rule = rule_on(rules, row.rule_id, on)
    if rule is None:
        return
    words = say(
        "Tell of {test}: {value}, outside its limit",
        test=lab_test_name(row.item_id),
        value=value_text(row.value, row.unit, row.qualifier, ReadingState.MEASURED),
    )
    for due in instant_due(
        rule, DutyKind.EXCEEDANCE, row.known_at, on=on, calendar=calendar_of(desk)
    ):
        yield of_rule(
            desk, due, rule, kind="notice", what=words,
            where=Where(row.site_id, row.address, row.locality),
            about=About(visit_id=row.visit_id, system_id=row.system_id),
        )  # fmt: skip
