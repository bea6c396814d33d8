"""Forms of the year: a price by hand, why a contract ends, another span, letters."""

from collections.abc import Sequence
from functools import partial
from typing import Any

from servicedesk.desk.checking import Wrong, refuse
from servicedesk.desk.letter_wording import OFFER, REMINDER
from servicedesk.desk.office import Desk
from servicedesk.desk.renew import let_end, set_price
from servicedesk.desk.renew_offers import WAYS
from servicedesk.desk.renewals import RenewalLine
from servicedesk.desk.year_page import YearPage, YearSpan, span_between
from servicedesk.desk.year_rows import YearRow
from servicedesk.desk.year_words import exact
from servicedesk.values.money import Money
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.window.widgets.setup_form import EntryForm
from servicedesk.words import say, say_n

DRAFT, SEND = "draft", "send"


def ask_price(form: EntryForm, desk: Desk, line: RenewalLine) -> None:
    """The price of the next year, set by hand."""
    now = line.price.now_minor if line.price else None
    computed = line.price.computed_minor if line.price else None
    hint = (
        say("Now {now}; computed {computed}. It is kept until you set another one.",
            now=exact(desk, now), computed=exact(desk, computed))
        if now is not None and computed is not None
        else say("No price is written yet.")
    )  # fmt: skip
    spec = FieldSpec(
        name="price", label=say("Price for a year"), kind="money", currency=desk.company.currency
    )
    following = line.price.next_minor if line.price else None
    form.open_form(
        say("Own price for {address}", address=line.address),
        (spec,),
        {"price": following},
        partial(_write_price, desk, line.contract_id),
        button=say("Set this price"),
        hint=hint,
        seen=line.revision,
    )


def _write_price(desk: Desk, contract_id: int, values: dict[str, Any], seen: int | None) -> object:
    minor = values["price"]
    if minor is None or minor <= 0:
        refuse([Wrong("price", say("A contract needs a price above zero."))])
    return set_price(desk, contract_id, Money(minor, desk.company.currency), seen=seen)


def ask_end(form: EntryForm, desk: Desk, line: RenewalLine) -> None:
    """Why a contract is not renewed."""
    form.open_form(
        say("Do not renew {address}", address=line.address),
        (FieldSpec(name="why", label=say("Why"), hint=say("as: house sold, another company")),),
        {},
        partial(_write_end, desk, line.contract_id),
        button=say("Let it end"),
        hint=say("It runs until {day}; then the site has no contract.",
                 day=desk.formats.day(line.ends_on)),
        seen=line.revision,
    )  # fmt: skip


def _write_end(desk: Desk, contract_id: int, values: dict[str, Any], seen: int | None) -> object:
    why = str(values.get("why") or "")
    if not why.strip():
        refuse([Wrong("why", say("Write a few words: they are asked for later."))])
    return let_end(desk, contract_id, why, seen=seen)


class AskedSpan:
    """A span that was entered; it changes nothing in the store."""

    def __init__(self, span: YearSpan) -> None:
        self.span = span
        self.rows: dict[str, frozenset[int]] = {}


def ask_span(form: EntryForm, span: YearSpan) -> None:
    """First and last day on which contracts end. What was entered comes with `written`."""
    form.open_form(
        say("Contracts that end"),
        (
            FieldSpec(name="first_on", label=say("From"), kind="day"),
            FieldSpec(name="last_on", label=say("To, with that day"), kind="day"),
        ),
        {"first_on": span.first_on, "last_on": span.last_on},
        _read_span,
        button=say("Show these"),
        hint=say("By the last day of the contract."),
    )


def _read_span(values: dict[str, Any], _seen: int | None) -> object:
    return AskedSpan(span_between(values["first_on"], values["last_on"]))


class AskedLetters:
    """Letters that were asked for; writing them is long work of its own."""

    def __init__(self, kind: str, ids: Sequence[int], how: str, *, sends: bool) -> None:
        self.kind, self.ids, self.how, self.sends = kind, tuple(ids), how, sends
        self.rows: dict[str, frozenset[int]] = {}


def ask_letters(form: EntryForm, page: YearPage, ticked: Sequence[YearRow]) -> None:
    """Which letters, how they go, and whether they leave now or are only looked at."""
    n_offer, n_remind = len(page.to_offer), len(page.to_remind)
    kinds = [
        (OFFER, say_n("{n} offer not sent yet", "{n} offers not sent yet", n_offer)),
        (REMINDER, say_n("{n} reminder: no answer yet", "{n} reminders: no answer yet", n_remind)),
    ]  # fmt: skip
    if ticked:
        n = len(ticked)
        kinds.insert(0, ("ticked", say_n("{n} offer, as ticked", "{n} offers, as ticked", n)))
    ways = tuple((way, _way_words(way)) for way in WAYS)
    leave = (
        (DRAFT, say("Only look at them: drafts without number")),
        (SEND, say("They leave now: numbered and kept in the register")),
    )
    form.open_form(
        say("Letters"),
        (
            FieldSpec(name="kind", label=say("Which"), kind="choice", options=tuple(kinds)),
            FieldSpec(name="leave", label=say("Leaving"), kind="choice", options=leave),
            FieldSpec(name="how", label=say("How they go"), kind="choice", options=ways),
        ),
        {"kind": "ticked" if ticked else OFFER, "leave": DRAFT, "how": "letter"},
        partial(_read_letters, page, tuple(row.contract_id for row in ticked)),
        button=say("Write the letters"),
        hint=say("Offers go to what is to be raised or renewed; whom you want to call first is "
                 "left out."),
    )  # fmt: skip


def _read_letters(
    page: YearPage, ticked: tuple[int, ...], values: dict[str, Any], _seen: int | None
) -> object:
    kind = values["kind"]
    lines = page.to_remind if kind == REMINDER else page.to_offer
    ids = ticked if kind == "ticked" else tuple(line.contract_id for line in lines)
    if not ids:
        refuse([Wrong("kind", say("There is none of these: nothing was written."))])
    letter = REMINDER if kind == REMINDER else OFFER
    return AskedLetters(letter, ids, values["how"], sends=values["leave"] == SEND)


def _way_words(way: str) -> str:
    return {
        "email": say("by e-mail"),
        "letter": say("by letter"),
        "paper": say("on paper"),
        "in person": say("in person"),
    }[way]
