"""Contracts that end as rows in words, to be shown, sorted and parted."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from servicedesk.desk.apart import apart
from servicedesk.desk.office import Desk
from servicedesk.desk.renew_sent import OfferState
from servicedesk.desk.renewals import FULL_YEAR, RenewalLine
from servicedesk.desk.year_page import YearPage, YearSpan, is_decided, read_year, year_page
from servicedesk.desk.year_words import DRESS, decision_words, exact, signed_percent, whole
from servicedesk.renewals.price import AFTER_VISIT, CALL_FIRST, NOT_RENEW, RAISE, RENEW, RENEWED
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.reason import Reason
from servicedesk.words import say, say_n
from servicedesk.words.reasons import reason_text


@dataclass(frozen=True, slots=True, kw_only=True)
class YearRow:
    """One contract. Money in minor units; None where it is not known.

    `is_above`: called more than twice as often as was to expect. `flags` are whole sentences,
    `short` the same in a few words.
    """

    contract_id: int
    revision: int
    site_id: int | None
    address: str
    holder: str
    locality: str
    ends_on: date
    n_done: int | None
    n_owed: int | None
    n_calls: int
    calls_expected: float | None
    is_above: bool
    cost_minor: int | None
    now_minor: int | None
    kept_minor: int | None
    next_minor: int | None
    rise: str
    short: tuple[str, ...]
    flags: tuple[str, ...]
    decision: str
    words: str
    tone: str
    icon: str
    is_decided: bool
    offer: str

    @property
    def can_be_taken(self) -> bool:
        """May the next contract be made of it as it stands?"""
        return self.next_minor is not None and self.decision not in {RENEWED, NOT_RENEW}


def year_rows(desk: Desk, page: YearPage) -> tuple[YearRow, ...]:
    """The rows in the order of the page."""
    return tuple(_row(desk, page, line) for line in page.page.lines)


def _row(desk: Desk, page: YearPage, line: RenewalLine) -> YearRow:
    price, expected = line.price, line.expected
    tone, icon = DRESS[line.decision]
    decided = is_decided(line)
    following = price if line.decision != NOT_RENEW else None
    return YearRow(
        contract_id=line.contract_id,
        revision=line.revision,
        site_id=line.site_id,
        address=line.address or say("contract {number}", number=line.number),
        holder=line.holder,
        locality=line.locality,
        ends_on=line.ends_on,
        n_done=line.visits_done,
        n_owed=line.visits_owed,
        n_calls=line.n_calls,
        calls_expected=expected.calls if expected else None,
        is_above=expected is not None and line.n_calls > max(1.0, 2 * expected.calls),
        cost_minor=line.this_year.total_minor if line.this_year else None,
        now_minor=price.now_minor if price else None,
        kept_minor=line.kept_minor,
        next_minor=following.next_minor if following else None,
        rise=signed_percent(following.next_minor / following.now_minor - 1) if following else "",
        short=short_flags(desk, line),
        flags=flags_of(desk, page, line),
        decision=line.decision,
        words=decision_words(line.decision, decided=decided),
        tone=tone,
        icon=icon,
        is_decided=decided,
        offer=offer_words(desk, page.offers.get(line.contract_id), line),
    )


def flags_of(desk: Desk, page: YearPage, line: RenewalLine) -> tuple[str, ...]:
    """What should be known before one decides, the weightiest first."""
    names = {"currency": page.page.currency}
    found = []
    if line.why is not None and line.decision not in {RENEWED, NOT_RENEW}:
        found.append(reason_text(line.why, desk.formats, names))
    if line.kept_minor is not None and line.kept_minor < 0:
        found.append(say("cost more than it brought"))
    if line.expected is not None and line.n_calls > max(1.0, 2 * line.expected.calls):
        found.append(say("called {n} times this year", n=line.n_calls))
    if line.price is not None and line.price.hand_minor:
        found.append(say("price set by hand"))
    if line.n_sites > 1:
        found.append(say("{n} sites under one contract", n=line.n_sites))
    if line.decision in {RENEWED, NOT_RENEW} and line.why is not None:
        found.append(reason_text(line.why, desk.formats, names))
    found += [reason_text(one, desk.formats, names) for one in line.missing]
    return tuple(dict.fromkeys(found))


def short_flags(desk: Desk, line: RenewalLine) -> tuple[str, ...]:
    """The reason for what is proposed in a few words, then what else stands out."""
    why = line.why
    found = []
    if why is not None:
        found.append(_SHORT[why.code](desk, why))
    if why is None and line.kept_minor is not None and line.kept_minor < 0:
        found.append(say("cost more than it brought"))
    if line.price is not None and line.price.hand_minor:
        found.append(say("price set by hand"))
    if line.years < FULL_YEAR:
        found.append(say("under a year with us"))
    return tuple(found)


def _about(desk: Desk, minor: int) -> str:
    """In whole units, but a sum below one as it is: no $0 that is something."""
    words = whole(desk, minor)
    return exact(desk, minor) if words == whole(desk, 0) else words


_SHORT: dict[str, Callable[[Desk, Reason], str]] = {
    "renewal_renewed": lambda _d, _r: say("the next contract runs"),
    "renewal_ending": lambda _d, _r: say("written as ending"),
    "renewal_on_hold": lambda _d, _r: say("on hold: unpaid"),
    "renewal_open_calls": lambda _d, r: say_n("{n} call is open", "{n} calls are open", r["n"]),
    "renewal_below_cost": lambda d, r: say("still {money} below cost", money=_about(d, r["minor"])),
    "renewal_cost_grew": lambda d, r: say("cost wants {money} more", money=_about(d, r["minor"])),
    "renewal_capped": lambda _d, _r: say("cost wants more than the cap"),
    "renewal_visits_owed": lambda _d, r: say_n(
        "{n} visit still owed", "{n} visits still owed", r["n"]
    ),
    "renewal_no_price": lambda _d, _r: say("no price is written"),
}


def offer_words(desk: Desk, sent: OfferState | None, line: RenewalLine) -> str:
    """Where the offer stands: sent, answered, when to remind or call; "" where none was sent."""
    if sent is None:
        return ""
    today, day = desk.today, desk.formats.day
    if line.decision in {RENEWED, NOT_RENEW}:
        return say("offer of {day} answered", day=day(sent.sent_on, near=today))
    if sent.next_on <= today:
        if sent.reminded_on is None:
            return say("offered {day}, remind now", day=day(sent.sent_on, near=today))
        return say("reminded {day}, call now", day=day(sent.reminded_on, near=today))
    return say(
        "offered {day}, no answer yet; next step {next}",
        day=day(sent.sent_on, near=today), next=day(sent.next_on, near=today),
    )  # fmt: skip


Key = Callable[[YearRow], tuple[object, ...]]
_ORDER = (CALL_FIRST, RAISE, AFTER_VISIT, RENEW, RENEWED, NOT_RENEW)


def _known_first(value: float | None) -> tuple[bool, float]:
    return value is None, value or 0


SORTS: dict[str, Key] = {
    "site": lambda r: (r.address.casefold(), r.contract_id),
    "ends": lambda r: (r.ends_on, r.contract_id),
    "visits": lambda r: (_known_first(r.n_owed), r.contract_id),
    "calls": lambda r: (-r.n_calls, r.contract_id),
    "cost": lambda r: (_known_first(None if r.cost_minor is None else -r.cost_minor),
                       r.contract_id),
    "kept": lambda r: (_known_first(r.kept_minor), r.contract_id),
    "next": lambda r: (_known_first(None if r.next_minor is None else -r.next_minor),
                       r.contract_id),
    "decision": lambda r: (_ORDER.index(r.decision), r.is_decided, r.ends_on, r.contract_id),
}  # fmt: skip


def sorted_rows(rows: Sequence[YearRow], by: str, *, down: bool = False) -> list[YearRow]:
    """The rows in another order. Raises KeyError for one that does not exist."""
    return sorted(rows, key=SORTS[by], reverse=down)


def shown_rows(rows: Sequence[YearRow], page: YearPage, which: str) -> list[YearRow]:
    """Only some of the rows: "all", "open" (nobody decided), a decision, or by their offer.

    Raises ValueError for another word.
    """
    if which == "all":
        return list(rows)
    if which == "open":
        return [row for row in rows if not row.is_decided]
    if which in _ORDER:
        return [row for row in rows if row.decision == which]
    of_offers = {"to_offer": page.to_offer, "unanswered": page.unanswered,
                 "to_remind": page.to_remind}  # fmt: skip
    if which not in of_offers:
        raise ValueError(f"{which!r} names no rows")
    ids = {line.contract_id for line in of_offers[which]}
    return [row for row in rows if row.contract_id in ids]


@dataclass(frozen=True, slots=True)
class YearSeen:
    """The page with its rows in words: made together, away from the screen."""

    page: YearPage
    rows: tuple[YearRow, ...]


def read_year_seen(desk: Desk, span: YearSpan, *, progress: Progress = quiet) -> YearSeen:
    """The page from the start, with its rows. Raises as `read_year` and `apart` do."""
    return apart(desk, _year_seen, span, progress=progress)


def _year_seen(desk: Desk, span: YearSpan, *, progress: Progress) -> YearSeen:
    page = read_year(desk, span, progress=progress)
    return YearSeen(page, year_rows(desk, page))


def year_seen_again(
    desk: Desk, span: YearSpan, before: YearPage, *, progress: Progress = quiet
) -> YearSeen:
    """The page after a decision or for other days: what that cannot change is taken over."""
    page = year_page(desk, span, before.work.open(), before=before, progress=progress)
    return YearSeen(page, year_rows(desk, page))
