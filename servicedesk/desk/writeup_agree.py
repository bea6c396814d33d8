"""Do inspection items, readings and findings of one visit say the same of a check?"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from servicedesk.desk.writeup_checks import NOT_LOOKED_AT, JobTrouble
from servicedesk.desk.writeup_items import FormItem, placed
from servicedesk.desk.writeup_notes import JobNotes
from servicedesk.records.writeup_rows import ItemRow
from servicedesk.trade.check_units import measures
from servicedesk.trade.reading_shapes import Results
from servicedesk.trade.readings import Placed, catalogue
from servicedesk.values.reading import Reading
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class Said:
    """Two answers to one check: `mine` at the job, `other` somewhere else."""

    job_id: int
    check: str
    mine: str
    other: str
    where: str


def result_of_reading(check_id: str, reading: Reading | None) -> str | None:
    """The result that a number means at a check; None where no range of ours decides it."""
    number = measures().get(check_id)
    at = _placed(number.id, reading) if number is not None else None
    said = dict(at.results) if at is not None else {}
    return said.get(check_id)


def results_of_items(
    items: Mapping[str, ItemRow], readings: Mapping[str, Reading]
) -> dict[str, tuple[str, str]]:
    """What inspection items say of checks: result and the item's name, by check. Numbers last."""
    found: dict[str, tuple[str, str]] = {}
    for item in catalogue().items():
        row = items.get(item.id)
        for answer in item.answers if row is not None else ():
            if row is not None and (answer.grade.value, answer.text) == (row.grade, row.answer):
                found.update({check: (result, item.name) for check, result in answer.results})
        for number in item.numbers:
            reading = readings.get(number.id)
            at = _placed(number.id, reading)
            if at is not None:
                found.update({check: (result, item.name) for check, result in at.results})
    return found


def agreeing(
    usual: Mapping[str, ItemRow], items: Iterable[FormItem], findings: Mapping[str, str]
) -> dict[str, ItemRow]:
    """The rows of "as usual" where the visit's own checks say nothing else.

    An item that a check contradicts takes the answer that says the same as the check, or is left
    open where none does.
    """
    found = dict(usual)
    for one in items:
        row = usual.get(one.item.id)
        said = next((a for a in one.answers if row is not None and a.text == row.answer), None)
        if said is None or _all_so(said.results, findings):
            continue
        fits = [a for a in one.answers if _all_so(a.results, findings) and a.results]
        named = [a for a in fits if any(check in findings for check, _ in a.results)]
        if named:
            found[one.item.id] = ItemRow(named[0].grade.value, named[0].text)
        else:
            found.pop(one.item.id)
    return found


def _all_so(results: Results, findings: Mapping[str, str]) -> bool:
    return all(findings.get(c, said) in (said, NOT_LOOKED_AT) for c, said in results)


def _placed(number_id: str, reading: Reading | None) -> Placed | None:
    value = reading.number() if reading is not None else None
    if reading is None or value is None or not value.is_finite():
        return None
    return placed(number_id, reading)


def disagreements(jobs: Iterable[tuple[JobNotes, JobTrouble | None]]) -> list[Said]:
    """Each check of a trouble that its own number, an item or another job contradicts."""
    some = [(job, trouble) for job, trouble in jobs if job.outcome != "could not"]
    by_items: dict[str, tuple[str, str]] = {}
    for job, trouble in some:
        if trouble is None:
            by_items.update(results_of_items(job.items, job.readings))
    found: list[Said] = []
    seen: dict[tuple[int | None, str], str] = {}
    for job, trouble in some:
        for check, mine in job.findings.items() if trouble is not None else ():
            if trouble is None or mine == NOT_LOOKED_AT or check not in trouble.known.checks:
                continue
            number = measures().get(check)
            measured = result_of_reading(check, job.readings.get(number.id) if number else None)
            if measured is not None and measured != mine:
                found.append(Said(job.job_id, check, mine, measured, say("its number")))
            other = by_items.get(check)
            if other is not None and other[0] != mine:
                where = say("“{item}” of the inspection", item=other[1])
                found.append(Said(job.job_id, check, mine, other[0], where))
            before = seen.setdefault((trouble.system_id, check), mine)
            if before != mine:
                found.append(Said(job.job_id, check, mine, before, say("the other job")))
    return found
