"""What one row of a list says of site, system, contract: each field as said and as we write it."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from dateutil.relativedelta import relativedelta

from servicedesk.exchange.columns import Mapping, field_title
from servicedesk.exchange.positions import Writing
from servicedesk.exchange.sheetfile import column_letters
from servicedesk.exchange.understood import UnderstoodRow
from servicedesk.values.position import PositionSource
from servicedesk.words import say

DEFAULT_VISITS = 3  # three visits a year: common practice, no source

# Words for how treated water leaves the site; common practice, no source
_DISPERSAL = (
    ("spray", r"spray|sprinkler|surface app"),
    ("drip", r"\bdrip"),
    ("pumped", r"pump(?!.?out)|pressure|\blpd\b|mound"),
    ("gravity", r"gravity|conventional|leach|trench|drain\s?field"),
)
_SURVEYED = re.compile(r"\bgps\b|survey|handheld|waypoint", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """One field a row speaks of. `name` is "site.address", `said` as the list says it (None: it is

    silent), `value` what we write for it. Both are plain JSON values. `ref` is the cell.
    """

    name: str
    said: Any
    value: Any
    ref: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """The contract a row asks for; None values are left as they are. `until_on` is excluded.

    `assumed` tells in words what the list does not say.
    """

    from_on: date
    until_on: date
    visits_a_year: int
    price_minor: int | None
    assumed: tuple[str, ...] = ()


def site_wishes(rows: Iterable[UnderstoodRow], *, keep_region: bool) -> tuple[Wish, ...]:
    """What the rows of one site say of it: the first that speaks of a field wins, notes are joined.

    An address is never empty: without one the site is called by its owner or number. The state is
    noted only if `keep_region`: where all rows say the same it tells nothing of a site.
    """
    group = list(rows)
    address = _first(group, "address")
    named = next((row.owner.typed for row in group if row.owner), "") or _first(group, "own_number")
    shown = address or say("No address: {name}", name=named or _first(group, "permit"))
    placed = next((row for row in group if row.position is not None), None)
    place = None
    if placed is not None and placed.position is not None:
        place = [placed.position.lat_deg, placed.position.lon_deg]
    dogs, access = _first(group, "dog"), _access(group)
    return (
        _text(group, "site.own_number", "own_number"),
        Wish(name="site.address", said=address or None, value=shown, ref=_ref(group, "address")),
        _text(group, "site.locality", "locality"),
        _text(group, "site.postcode", "postcode"),
        Wish(
            name="site.position",
            said=place,
            value=place,
            ref=placed.source("position") if placed else "",
        ),
        Wish(name="site.dogs_note", said=dogs or None, value=dogs, ref=_ref(group, "dog")),
        Wish(name="site.access_note", said=access or None, value=access, ref=_ref(group, "access")),
        _note(group, keep_region=keep_region),
    )


def position_source(row: UnderstoodRow, mapping: Mapping) -> PositionSource:
    """How the position of a row is known: measured where the heading says so, else from a map."""
    letters = re.sub(r"\d", "", row.source("position"))
    heading = next((c.heading for c in mapping.choices if column_letters(c.col) == letters), "")
    measured = row.position_writing is not Writing.LINK and bool(_SURVEYED.search(heading))
    return PositionSource.SURVEYED if measured else PositionSource.MAP


def system_wishes(row: UnderstoodRow, *, one_of_several: bool, number: str) -> tuple[Wish, ...]:
    """What a row says of its system. `number`: the site's own number, told apart in the label."""
    label = ""
    if one_of_several:
        own = row.own_number if row.own_number != number else ""
        kind = row.system_kind or row.treatment
        label = ", ".join(part for part in (own, kind) if part)
    dispersal = dispersal_in(row)
    started = row.start_up_on.isoformat() if row.start_up_on else None
    return (
        _said("system.label", label, ""),
        _said("system.permit", row.permit, row.source("permit")),
        _said("system.authority", row.authority, row.source("authority")),
        _said("system.dispersal", dispersal, row.source("dispersal")),
        Wish(
            name="system.bedrooms",
            said=row.bedrooms,
            value=row.bedrooms,
            ref=row.source("bedrooms"),
        ),
        Wish(
            name="system.design_flow_gpd",
            said=row.gallons_day,
            value=row.gallons_day,
            ref=row.source("gallons_day"),
        ),
        Wish(name="system.started_on", said=started, value=started, ref=row.source("start_up")),
    )


def dispersal_in(row: UnderstoodRow) -> str:
    """spray, drip, pumped, gravity or "" where the words tell none of them."""
    for text in (row.dispersal, row.system_kind, row.treatment):
        for kind, pattern in _DISPERSAL:
            if re.search(pattern, text, re.IGNORECASE):
                return kind
    return ""


def owner_wishes(row: UnderstoodRow) -> tuple[Wish, ...]:
    """What a row says of its owner, the phones left out: they are only ever added."""
    name = row.owner.typed if row.owner else ""
    return (
        _said("owner.name", name, row.source("owner_name")),
        _said("owner.email", ", ".join(row.emails), row.source("email")),
        _said("owner.mail_address", row.billing_address, row.source("billing_address")),
    )


def contract_wishes(row: UnderstoodRow, terms: Terms | None) -> tuple[Wish, ...]:
    """What a row says of its contract; the values are those of `terms`."""
    if terms is None:
        return ()
    often = row.visits_year
    said_often = often.per_year if often and not often.doubtful else None
    price = terms.price_minor
    return (
        Wish(
            name="contract.from_on",
            said=_iso(row.contract_from),
            value=terms.from_on.isoformat(),
            ref=row.source("contract_from"),
        ),
        Wish(
            name="contract.until_on",
            said=_iso(row.contract_last_on),
            value=terms.until_on.isoformat(),
            ref=row.source("contract_until"),
        ),
        Wish(
            name="contract.visits_a_year",
            said=said_often,
            value=terms.visits_a_year,
            ref=row.source("visits_year"),
        ),
        Wish(name="contract.price_minor", said=price, value=price, ref=row.source("price")),
    )


def terms_of(row: UnderstoodRow, today: date) -> Terms | None:
    """The contract a row asks for, None if it speaks of none or owes no visits.

    Where the list does not say when it ends, it is taken to be renewed every year on its day: the
    year that runs now. Everything assumed is told.
    """
    often, price = row.visits_year, row.price
    speaks = often or row.contract_from or row.contract_last_on or (price and price.amount)
    if not speaks or (often and often.none_due):
        return None
    assumed = []
    visits = often.per_year if often else None
    if visits is None:
        visits = DEFAULT_VISITS
        assumed.append(say("{n} visits a year", n=visits))
    elif often and often.doubtful:
        assumed.append(say("{n} visits a year for “{text}”", n=visits, text=often.typed))
    begin, until, more = _span(row, today, visits)
    return Terms(
        from_on=begin,
        until_on=until,
        visits_a_year=visits,
        price_minor=_yearly_price(row, visits),
        assumed=(*assumed, *more),
    )


def _span(row: UnderstoodRow, today: date, visits: int) -> tuple[date, date, list[str]]:
    year = relativedelta(years=1)
    begin = row.contract_from
    if row.contract_last_on is not None:
        until = row.contract_last_on + timedelta(days=1)
        if begin is not None:
            return begin, until, []
        return until - year, until, [say("a contract of one year")]
    assumed = [say("a contract of one year, renewed on its day")]
    if begin is None:
        seen = [visit.on for visit in row.past_visits if visit.on is not None]
        begin = min(seen) if seen else today
        assumed = [
            say("a contract of one year from the first known visit")
            if seen
            else say("a contract of one year from today")
        ]
    if begin <= today:
        begin = begin + relativedelta(years=relativedelta(today, begin).years)
    only = _only_visit(row)
    counted = begin if only is None else _interval_of(begin, only, visits)
    if counted != begin:
        assumed = [say("a contract of one year, counted so that its only known visit is the first")]
    return counted, counted + year, assumed


def _only_visit(row: UnderstoodRow) -> date | None:
    """The day of the visit where the list tells of one only: the last, and none before it."""
    days = [visit.on for visit in row.past_visits if visit.on is not None]
    return days[0] if len(days) == 1 else None


def _interval_of(begin: date, on: date, visits: int) -> date:
    """The first day of the interval between visits in which `on` lies, not before `begin`.

    The windows before the only known visit are unknown; counted from here they are not late.
    """
    n = 0
    while _step(begin, n + 1, visits) <= on:
        n += 1
    return _step(begin, n, visits)


def _step(begin: date, n: int, visits: int) -> date:
    if 12 % visits == 0:
        return begin + relativedelta(months=n * (12 // visits))
    return begin + timedelta(days=round(n * 365 / visits))


def _yearly_price(row: UnderstoodRow, visits: int) -> int | None:
    price = row.price
    if price is None or price.amount is None:
        return None
    factor = {"visit": visits, "month": 12, "quarter": 4}.get(price.per, 1)
    return price.amount.times(factor).minor


def _note(group: list[UnderstoodRow], *, keep_region: bool) -> Wish:
    lines: list[str] = []
    for row in group:
        lines += row.notes.splitlines()
        if row.owner and row.owner.note:
            lines.append(row.owner.note)
        kind = ", ".join(text for text in (row.system_kind, row.treatment) if text)
        if kind:
            lines.append(f"{field_title('system_kind')}: {kind}")
        if row.dispersal and not dispersal_in(row):
            lines.append(f"{field_title('dispersal')}: {row.dispersal}")
        if row.region and keep_region:
            lines.append(f"{field_title('region')}: {row.region}")
        if row.next_due:
            lines.append(f"{field_title('next_due')}: {row.next_due}")
        if row.price and (row.price.foreign or row.price.amount is None):
            lines.append(f"{field_title('price')}: {row.price.typed}")
        lines += [f"{heading}: {text}" for heading, text in row.extras]
        if row.section:
            lines.append(say("In the list under “{section}”", section=row.section))
    text = "\n".join(dict.fromkeys(line for line in lines if line.strip()))
    return Wish(name="site.note", said=text or None, value=text, ref=_ref(group, "notes"))


def _access(group: list[UnderstoodRow]) -> str:
    key = _first(group, "key")
    lines = [_first(group, "access"), f"{field_title('key')}: {key}" if key else ""]
    return "\n".join(line for line in lines if line)


def _first(group: list[UnderstoodRow], name: str) -> str:
    return next((text for row in group if (text := getattr(row, name))), "")


def _ref(group: list[UnderstoodRow], name: str) -> str:
    return next((ref for row in group if (ref := row.source(name))), "")


def _text(group: list[UnderstoodRow], name: str, field: str) -> Wish:
    return _said(name, _first(group, field), _ref(group, field))


def _said(name: str, text: str, ref: str) -> Wish:
    return Wish(name=name, said=text or None, value=text or None, ref=ref)


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day else None


def wish_title(name: str) -> str:
    """The name of a wished field for people."""
    fields = {
        "site.own_number": "own_number",
        "site.address": "address",
        "site.locality": "locality",
        "site.postcode": "postcode",
        "site.position": "position",
        "site.dogs_note": "dog",
        "site.access_note": "access",
        "site.note": "notes",
        "system.permit": "permit",
        "system.authority": "authority",
        "system.dispersal": "dispersal",
        "system.bedrooms": "bedrooms",
        "system.design_flow_gpd": "gallons_day",
        "system.started_on": "start_up",
        "owner.name": "owner_name",
        "owner.email": "email",
        "owner.mail_address": "billing_address",
        "owner.phone": "phone",
        "contract.from_on": "contract_from",
        "contract.until_on": "contract_until",
        "contract.visits_a_year": "visits_year",
        "contract.price_minor": "price",
        "secret.gate": "gate",
    }
    return say("Label") if name == "system.label" else field_title(fields[name])
