"""Seeded truth beside what the program found, on made stores: ``python -m tests.bench.truth``.

For every seeded recurring trouble: was an alert raised since it turned bad, is the part that it
names first as never tested the guilty one, and does its first check speak for the seeded cause? As
known on the day of that first alert. Alerts at other sites are named. Then the seeded model and practice among the patterns. Seeds and size as options;
stores are made in a passing folder.
"""

import argparse
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from sample_db.load import make_sample
from servicedesk.desk.alert_evidence import Evidence, evidence_at, thread_at
from servicedesk.desk.alert_facts import facts, place_key, raised
from servicedesk.desk.alert_lines import alert_lines
from servicedesk.desk.alerts import look_for_alerts
from servicedesk.desk.cases import place_of
from servicedesk.desk.office import Desk, open_desk
from servicedesk.desk.patterns import patterns
from servicedesk.trade.faults import knowledge
from servicedesk.trouble.repeats import Alert
from servicedesk.trouble.table import table

DAY = date(2026, 10, 14)
SEEDS = (1, 2, 3, 4)


@dataclass(frozen=True, slots=True)
class Seeded:
    """One seeded trouble and what became of it. `calls_to_alert`: until the first alert."""

    address: str
    kind: str
    n_calls: int
    level: str
    calls_to_alert: int | None
    stands: bool
    first_check: str
    first_is_never: bool
    first_is_direct: bool
    first_part_is_it: bool


@dataclass(slots=True)
class Found:
    """Everything about one seed."""

    seed: int
    seeded: list[Seeded] = field(default_factory=list)
    others_ever: list[str] = field(default_factory=list)
    others_stand: list[str] = field(default_factory=list)
    months: float = 0.0
    model: str = ""
    practice: str = ""


def found_at(seed: int, folder: Path, *, size: str = "small") -> Found:
    """Make the store of a seed and look at it."""
    store = folder / f"{size}-{seed}.store"
    truth = make_sample(store, size=size, seed=seed, today=DAY).truth
    desk = open_desk(store, today=DAY)
    given = facts(desk)
    ever = raised(desk, given)
    look_for_alerts(desk)
    standing = {place_key(line.site_id or 0, line.system_id): line for line in alert_lines(desk)}
    found = Found(seed, months=(DAY - min(call.on for call in given.calls)).days / 30.44)
    places = {}
    for one in truth.recurring:
        key = place_key(one["site_id"], one["system_id"])
        places[key] = one
        raised_there = [a for a in ever if a.place == key and a.on >= one["bad_on"]]
        found.seeded.append(_seeded(desk, one, raised_there, stands=key in standing))
    names = {a.place: a for a in ever if a.place not in places}
    found.others_ever = sorted({f"{place} {alert.symptom}" for place, alert in names.items()})
    found.others_stand = sorted(
        f"{line.address}: {line.symptom} ({line.level})"
        for key, line in standing.items()
        if key not in places
    )
    _patterns(desk, truth, found)
    desk.store.close()
    return found


def _seeded(desk: Desk, one: dict[str, Any], alerts: Sequence[Alert], *, stands: bool) -> Seeded:
    first = alerts[0] if alerts else None
    days = _days_of(desk, one["system_id"], one["call_ids"])
    evidence = None
    if len(days) >= 2:
        # as it was known at the first alert, or at the second call where there was none
        evidence = _as_of(desk, one, first.on if first is not None else days[1])
    check = evidence.first_check if evidence is not None else ""
    part = evidence.untested[0] if evidence is not None and evidence.untested else ""
    return Seeded(
        address=one["address"],
        kind=one["kind"],
        n_calls=len(days),
        level="act" if any(a.level == "act" for a in alerts) else first.level if first else "",
        calls_to_alert=None if first is None else sum(day <= first.on for day in days),
        stands=stands,
        first_check=check,
        first_is_never=check in one["never"],
        first_is_direct=check in table(knowledge()).direct[one["cause"]],
        first_part_is_it=part == one["component"],
    )


def _as_of(desk: Desk, one: dict[str, Any], on: date) -> Evidence:
    """The evidence as it would have stood on the day of the alert."""
    then = replace(desk, clock=replace(desk.clock, fixed_day=on))
    place = place_of(then, system_id=one["system_id"])
    calls = [c for c in place.calls if desk.clock.day_of(c.called_at) <= on]
    thread = thread_at(then, place, calls[-1].id)
    return evidence_at(then, place, thread, (one["symptom"],), as_of=on)


def _days_of(desk: Desk, system_id: int, call_ids: Sequence[int]) -> list[date]:
    place = place_of(desk, system_id=system_id)
    wanted = set(call_ids)
    days = [desk.clock.day_of(c.called_at) for c in place.calls if c.id in wanted]
    return [day for n, day in enumerate(days) if n == 0 or day - days[n - 1] > timedelta(days=14)]


def _patterns(desk: Desk, truth: Any, found: Found) -> None:
    page = patterns(desk).patterns
    for number, pattern in enumerate(page, 1):
        times = pattern.row.times
        told = f"{number}. {pattern.title}, {pattern.row.flag}"
        if times is not None:
            told += f", {times.best:.1f} times ({times.low:.1f} to {times.high:.1f})"
        if pattern.kind == "model" and truth.model["name"] in pattern.title:
            found.model = told
        if pattern.kind == "practice" and not found.practice:
            found.practice = told


def as_markdown(some: Sequence[Found]) -> str:
    """The table as Markdown, and below it the alerts at other sites by name."""
    lines = ["| seed | seeded truth | what the program found |", "|---|---|---|"]
    for one in some:
        lines += [f"| {one.seed} | {_truth(s)} | {_answer(s)} |" for s in one.seeded]
        lines.append(f"| {one.seed} | a model that fails early | {one.model or 'not found'} |")
        lines.append(f"| {one.seed} | a bad practice | {one.practice or 'not found'} |")
    lines += ["", *_sums(some)]
    for one in some:
        lines.append("")
        lines.append(f"Seed {one.seed}, alerts that stand at other sites: {len(one.others_stand)}")
        lines += [f"- {name}" for name in one.others_stand]
        rate = len(one.others_ever) / one.months
        lines.append(
            f"- over {one.months:.0f} months {len(one.others_ever)} other places in all,"
            f" {rate:.2f} a month"
        )
    return "\n".join(lines)


def _truth(one: Seeded) -> str:
    return f"{one.address}: {one.kind}, {one.n_calls} calls"


def _answer(one: Seeded) -> str:
    check = f"first check {one.first_check or '-'}"
    if one.first_is_direct:
        check += " (speaks for the seeded cause)"
    part = "names the guilty part first" if one.first_part_is_it else "another part first"
    if one.calls_to_alert is None:
        return f"**no alert**; {check}; {part}"
    stands = "" if one.stands else ", quiet by now"
    return f"{one.level} at call {one.calls_to_alert}{stands}; {check}; {part}"


def _sums(some: Sequence[Found]) -> list[str]:
    seeded = [s for one in some for s in one.seeded]
    twice = [s for s in seeded if s.n_calls >= 2]
    told = [s for s in seeded if s.calls_to_alert is not None]
    told_first = (
        f"With two calls or more: {len(twice)}. Of these the part named first as never tested is the"
        f" guilty one: {sum(s.first_part_is_it for s in twice)}; the first check speaks directly for"
        f" the seeded cause: {sum(s.first_is_direct for s in twice)}, and is one that the seeding"
        f" forbids there: {sum(s.first_is_never for s in twice)}."
    )
    return [f"Alert raised: {len(told)} of {len(seeded)}.", told_first]


def main() -> None:
    """Print the table."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--seeds", type=int, nargs="+", default=list(SEEDS))
    options.add_argument("--size", default="small")
    chosen = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        some = [found_at(seed, Path(folder), size=chosen.size) for seed in chosen.seeds]
    print(as_markdown(some))


if __name__ == "__main__":
    main()
