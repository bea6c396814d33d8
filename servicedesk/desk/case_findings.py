"""What earlier visits and calls found, as results of checks on the units that are there now.

A finding on a unit that was taken out does not speak for its successor. Old papers often name only
the check; its result is then None: looked at, not written down. Inspection items and readings
become check results by the one catalogue (`trade.readings`).
"""

from collections.abc import Iterable
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING

from servicedesk.records import trouble_rows as rows
from servicedesk.trade.faults import Knowledge
from servicedesk.trade.reading_shapes import Grade, Item, Results
from servicedesk.trade.readings import answer_for, catalogue, place_of
from servicedesk.trouble.case import Found

if TYPE_CHECKING:
    from servicedesk.desk.cases import Place


class FindingsOf:
    """Findings of one place, as far as they speak for the units `there`."""

    def __init__(self, known: Knowledge, place: "Place", there: frozenset[int]) -> None:
        self._known = known
        self._place = place
        self._there = there

    def of_call(self, call: rows.CallFacts | None) -> tuple[Found, ...]:
        """What the caller told: answers of the call and findings taken on the phone."""
        if call is None:
            return ()
        said = {
            one.check_id: one.result_id
            for one in self._place.findings
            if one.call_id == call.id and one.visit_id is None
        }
        told = {check: str(answer) for check, answer in call.answers.items()}
        return tuple(self._found({**told, **said}))

    def of_visit(
        self, jobs: Iterable[rows.DoneJob], call: rows.CallFacts | None
    ) -> tuple[Found, ...]:
        """What a visit looked at, and what the call that led to it had told."""
        job_ids = {job.id: job for job in jobs}
        visit_id = next(iter(job_ids.values())).visit_id
        # the strongest word of several: a finding, an item, a check of an old paper
        results: dict[str, str | None] = {}
        for job in job_ids.values():
            results |= dict.fromkeys(job.checks_done)
        for reading in self._place.readings:
            if reading.job_id in job_ids:
                results |= dict(_of_reading(reading))
        for item in self._place.items:
            if item.job_id in job_ids and self._still_there(item.unit_id):
                results |= dict(_of_item(item))
        gone = set()
        for one in self._place.findings:
            if one.visit_id != visit_id:
                continue
            if not self._still_there(one.unit_id):
                gone.add(one.check_id)
            elif one.result_id is None:
                gone.add(one.check_id)  # *not looked at* is no look
            else:
                gone.discard(one.check_id)
                results[one.check_id] = one.result_id
        for check in gone:
            results.pop(check, None)
        looked = tuple(self._found(results, written=False))
        return (*self.of_call(call), *looked)

    def _still_there(self, unit_id: int | None) -> bool:
        return unit_id is None or unit_id in self._there

    def _found(self, results: dict[str, str | None], *, written: bool = True) -> Iterable[Found]:
        """Known checks with known results; without `written` also looks of unknown result."""
        for check_id, result in results.items():
            check = self._known.checks.get(check_id)
            if check is None:
                continue
            if result is None and not written:
                yield Found(check_id, None)
            elif result in {one.id for one in check.results}:
                yield Found(check_id, result)


def _of_item(item: rows.ItemFact) -> Results:
    known = catalogue().item(item.item_id)
    if known is None or item.grade not in set(Grade):
        return ()
    return _answer(known, item)


def _answer(known: Item, item: rows.ItemFact) -> Results:
    exact = next((one for one in known.answers if one.text == item.answer), None)
    said = exact or answer_for(known, Grade(item.grade))
    return said.results if said is not None else ()


def _of_reading(reading: rows.ReadingFact) -> Results:
    number = catalogue().number(reading.item_id)
    if number is None or (number.units and reading.unit != number.units[0]):
        return ()
    try:
        value = Decimal(reading.value)
    except InvalidOperation:
        return ()
    return place_of(number, value).results
