"""The chips under a site's name: what one must know before one goes there."""

from collections.abc import Iterable
from dataclasses import dataclass

from servicedesk.desk.office import Desk
from servicedesk.records.contract_rows import ContractRow
from servicedesk.records.site_rows import SiteHead
from servicedesk.values.span import Span
from servicedesk.words import say, say_n
from servicedesk.words.calls import dispersal


@dataclass(frozen=True, slots=True)
class Chip:
    """A short line with its icon: gate, dog, lid, key, clock, contract, kind, hold."""

    kind: str
    text: str


def chips_of(
    desk: Desk, head: SiteHead, contract: ContractRow | None, secrets: Iterable[str] = ()
) -> tuple[Chip, ...]:
    """What stands under the name of a site, the warnings first. Codes are never among them."""
    return tuple(Chip(kind, text) for kind, text in _texts(desk, head, contract, secrets) if text)


def _texts(
    desk: Desk, head: SiteHead, contract: ContractRow | None, secrets: Iterable[str]
) -> Iterable[tuple[str, str]]:
    if head.on_hold:
        yield "hold", say("On hold: unpaid over the limit")
    yield "dog", head.dogs_note
    yield "gate", head.gate_note or (say("Gate code kept") if "gate" in set(secrets) else "")
    yield "lid", head.lids_note
    yield "key", head.access_note
    yield "clock", say("Call before coming") if head.call_before else ""
    yield "clock", visiting_text(desk, head)
    yield "contract", contract_text(desk, contract)
    yield "kind", kind_text(head)


def visiting_text(desk: Desk, head: SiteHead) -> str:
    """Visiting hours: "9:00 am to 4:00 pm"; empty where there are none."""
    opens, closes = head.visiting_from_min, head.visiting_until_min
    time = desk.formats.time
    if opens is not None and closes is not None:
        return say("{from_} to {until}", from_=time(opens), until=time(closes))
    if opens is not None:
        return say("from {time}", time=time(opens))
    return say("until {time}", time=time(closes)) if closes is not None else ""


def contract_text(desk: Desk, contract: ContractRow | None) -> str:
    """As "Contract to Mar 2027, 3 a year"."""
    if contract is None:
        return say("No contract")
    ends = (day for day in (contract.until_on, contract.ended_on) if day is not None)
    last = Span(contract.from_on, min(ends)).last_on
    return say_n(
        "Contract to {month}, {n} a year",
        "Contract to {month}, {n} a year",
        contract.visits_a_year,
        month=desk.formats.month(last),
    )


def kind_text(head: SiteHead) -> str:
    """As "Aerobic with spray"."""
    if not head.treatment:
        return ""
    treatment = say("Aerobic") if head.treatment == "aerobic" else head.treatment.capitalize()
    if not head.dispersal:
        return treatment
    return say(
        "{treatment} with {dispersal}", treatment=treatment, dispersal=dispersal(head.dispersal)
    )
