"""What a line of the sites list says, and with which icon."""

from collections.abc import Sequence
from datetime import date, timedelta
from functools import cache
from typing import Protocol

from servicedesk.desk.office import Desk
from servicedesk.desk.sites import SiteRow
from servicedesk.trade.symptoms import phone_keys
from servicedesk.words import say, say_n
from servicedesk.words.calls import symptom
from servicedesk.words.formats import UNKNOWN

FILTER_ORDER = ("all", "called", "owed", "no day", "quiet", "no contract", "where")
_KIND_ICONS = {"spray": "spray", "drip": "drop", "pumped": "tank", "gravity": "tank"}
MARKS = {
    "done": ("disc", "moss", True),
    "done late": ("diamond", "clay", False),
    "planned": ("disc", "water", False),
    "open": ("disc", "edge", False),
}


def filter_words(name: str) -> str:
    """A filter as its pill says it."""
    return {
        "all": say("All"),
        "called": say("Called twice or more"),
        "owed": say("Owed"),
        "no day": say("No day yet"),
        "quiet": say("Quiet 2 years"),
        "no contract": say("No contract"),
        "where": say("Where is this?"),
    }[name]


@cache
def symptom_icons() -> dict[str, str]:
    """Icon of each symptom: that of the first key of the call form that may mean it."""
    found: dict[str, str] = {}
    for key in phone_keys():
        for one in key.symptoms:
            found.setdefault(one, key.icon)
    return found


def symptom_icon(symptom_id: str) -> str:
    """Icon of a symptom."""
    return symptom_icons().get(symptom_id, "phone")


def kind_icon(row: SiteRow) -> str:
    """Icon of the way the water leaves."""
    for name, icon in _KIND_ICONS.items():
        if row.kind.startswith(name):
            return icon
    return "tank" if row.kind else ""


def inspections_text(marks: Sequence[str]) -> str:
    """As "2 done, 1 planned"."""
    names = {
        "done": say("done"),
        "done late": say("done late"),
        "planned": say("planned"),
        "open": say("no day yet"),
    }
    counts = {name: list(marks).count(name) for name in names}
    texts = [f"{n} {names[name]}" for name, n in counts.items() if n]
    return ", ".join(texts) or say("no contract")


def calls_text(row: SiteRow, desk: Desk) -> str:
    """As "3 calls: High-water alarm Jun 8 ..."."""
    if not row.calls:
        return say("no call in 2 years")
    said = ", ".join(f"{symptom(s)} {desk.formats.day(day)}" for day, s in reversed(row.calls))
    return say_n("{n} call: {said}", "{n} calls: {said}", len(row.calls), said=said)


def owed_text(row: SiteRow) -> str:
    """How much is owed, empty for nothing."""
    return str(row.n_owed) if row.n_owed else ""


def last_visit_text(row: SiteRow, desk: Desk) -> str:
    """The day of the last visit."""
    if row.last_visit_on is None:
        return UNKNOWN
    return desk.formats.day(row.last_visit_on, near=desk.today)


def share_of_two_years(day: date, today: date) -> float:
    """Where a day stands on the axis that ends today: 0 two years back, 1 today."""
    return min(1.0, max(0.0, 1 - (today - day).days / 731))


class Contract(Protocol):
    """What a line about a contract needs of it. Days until are excluded."""

    @property
    def number(self) -> int: ...
    @property
    def from_on(self) -> date: ...
    @property
    def until_on(self) -> date: ...
    @property
    def ended_on(self) -> date | None: ...
    @property
    def stage(self) -> str: ...


def contract_text(row: SiteRow, desk: Desk) -> str:
    """As "contract to Mar 2027"."""
    if row.contract_last_on is None:
        return say("no contract")
    return say("contract to {month}", month=desk.formats.month(row.contract_last_on))


def contract_line(desk: Desk, contract: Contract) -> str:
    """A contract in one line: first and last day that it covers, and how it stands."""
    until_on = contract.until_on
    if contract.ended_on is not None:
        until_on = max(min(until_on, contract.ended_on), contract.from_on + timedelta(days=1))
    if contract.stage == "draft":
        state = say("draft, not signed")
    elif contract.from_on > desk.today:
        state = say("signed, not begun")
    elif until_on <= desk.today:
        state = say("over")
    else:
        state = say("running") if contract.ended_on is None else say("ending")
    return say(
        "Contract {number}: {first} to {last}, {stage}",
        number=contract.number,
        first=desk.formats.day(contract.from_on),
        last=desk.formats.day(until_on - timedelta(days=1)),
        stage=state,
    )
