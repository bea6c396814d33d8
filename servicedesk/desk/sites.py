"""The Sites place: all sites as a list, and where each one is."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from dateutil.relativedelta import relativedelta

from servicedesk.desk.office import Desk
from servicedesk.desk.phones_said import phone_of
from servicedesk.desk.windows import current_windows
from servicedesk.records import (
    call_rows,
    contract_rows,
    finding,
    owed_rows,
    people_rows,
    search,
    visit_rows,
)
from servicedesk.records import (
    site_rows as rows,
)
from servicedesk.records.sites import Site
from servicedesk.records.store import Changed
from servicedesk.values.position import Position, PositionSource
from servicedesk.values.trouble import Trouble
from servicedesk.words import say
from servicedesk.words.calls import dispersal

FILTERS = ("all", "called", "owed", "no day", "quiet", "where", "no contract")
SORTS = ("address", "owner", "locality", "kind", "calls", "owed", "last visit", "number")
CALL_YEARS = 2
ALL = 1_000_000


def site_ids(
    desk: Desk,
    *,
    text: str = "",
    filter: str = "all",  # noqa: A002 - the word of the screen
    sort: str | None = None,
    descending: bool = False,
    among: Iterable[int] | None = None,
) -> list[int]:
    """Keys of the sites to list, in order: those that pass `filter` and hold all words of `text`.

    `filter` is one of FILTERS, `sort` one of SORTS; without `sort` the best match of `text` comes
    first, or the address order where there is no text. `among` keeps only these keys (sites that
    a calculation picked). Two or three queries at most a word, whatever the number of sites.
    """
    with desk.store.read() as session:
        ids = rows.sorted_ids(
            session,
            filter_name=filter,
            sort=sort or "address",
            descending=descending,
            day=desk.today,
            since=calls_since(desk),
        )
        if among is not None:
            kept = set(among)
            ids = [i for i in ids if i in kept]
        if not text.strip():
            return ids
        best = finding.sites(session, text, limit=ALL)
    if sort is None:
        passing = set(ids)
        return [i for i in best if i in passing]
    found = set(best)
    return [i for i in ids if i in found]


def filter_counts(desk: Desk) -> dict[str, int]:
    """How many sites each filter lets through, by name (one query)."""
    with desk.store.read() as session:
        return rows.filter_counts(session, FILTERS, day=desk.today, since=calls_since(desk))


def without_a_day(desk: Desk) -> list[int]:
    """Sites with an inspection that is due and has no day yet, for `among` of `site_ids`."""
    due = (w for w in current_windows(desk) if w.window.is_due and w.planned_on is None)
    return sorted({w.site_id for w in due})


def calls_since(desk: Desk) -> datetime:
    """From when on calls count in the list: two years back."""
    return desk.clock.instant(desk.today - relativedelta(years=CALL_YEARS), 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteRow:
    """A line of the list of sites.

    `calls`: (day, first symptom) of the last two years, oldest first. `inspections`: one word for
    each visit of this contract year: done, done late, planned, open. `position_state`: known,
    guessed or none. `contract_last_on`: its last day, None where no contract runs.
    """

    id: int
    revision: int
    number: int
    address: str
    locality: str
    owner: str
    phone: str
    kind: str
    calls: tuple[tuple[date, str], ...]
    n_owed: int
    last_visit_on: date | None
    inspections: tuple[str, ...]
    contract_last_on: date | None
    on_hold: bool
    position: Position | None
    position_state: str
    place_text: str


def site_rows(desk: Desk, ids: Iterable[int]) -> list[SiteRow]:
    """The lines of these sites in the order given; keys without a site are left out.

    The number of queries does not depend on how many are asked for.
    """
    wanted = list(ids)
    with desk.store.read() as session:
        heads = rows.heads(session, wanted)
        owners = people_rows.owners(session, wanted, desk.today)
        marks = call_rows.marks(session, wanted, calls_since(desk))
        owed = owed_rows.open_counts(session, wanted)
        last = visit_rows.last_visits(session, wanted)
        contracts = contract_rows.running(session, wanted, desk.today)
        inspections = contract_rows.inspections(session, {c.id for c in contracts.values()})
    by_contract: dict[tuple[int, int], list[contract_rows.InspectionRow]] = {}
    for one in inspections:
        by_contract.setdefault((one.site_id, one.contract_id), []).append(one)
    found = []
    for i in wanted:
        if i not in heads:
            continue
        head, owner, contract = heads[i], owners.get(i), contracts.get(i)
        seen_at = last.get(i)
        found.append(
            SiteRow(
                id=i,
                revision=head.revision,
                number=head.number,
                address=head.address,
                locality=head.locality,
                owner=owner.name if owner else "",
                phone=phone_of(owner),
                kind=dispersal(head.dispersal),
                calls=tuple((desk.clock.day_of(m.called_at), m.symptom) for m in marks.get(i, ())),
                n_owed=owed.get(i, 0),
                last_visit_on=desk.clock.day_of(seen_at) if seen_at else None,
                inspections=_marks(desk, contract, by_contract),
                contract_last_on=last_day(contract.until_on) if contract else None,
                on_hold=head.on_hold,
                position=position_of(head),
                position_state=position_state(head),
                place_text=place_text(head),
            )
        )
    return found


def last_day(until_on: date) -> date:
    """The last day of a span whose end is stored excluded."""
    return until_on - relativedelta(days=1)


def _marks(
    desk: Desk,
    contract: contract_rows.ContractRow | None,
    by_contract: Mapping[tuple[int, int], list[contract_rows.InspectionRow]],
) -> tuple[str, ...]:
    """One word for each inspection of the contract year that `desk.today` lies in."""
    if contract is None:
        return ()
    begin = contract_year(contract.from_on, desk.today)
    end = begin + relativedelta(years=1)
    visits: dict[int, str] = {}
    for one in by_contract.get((contract.site_id, contract.id), ()):
        on = desk.clock.day_of(one.arrived_at) if one.arrived_at else one.planned_on
        if on is None or not begin <= on < end:
            continue
        if one.outcome == "done":
            late = one.window_until is not None and on >= one.window_until
            visits[one.visit_id] = "done late" if late else "done"
        elif one.visit_state == "planned":
            visits.setdefault(one.visit_id, "planned")
    marks = list(visits.values())
    return tuple(marks + ["open"] * (contract.visits_a_year - len(marks)))


def contract_year(from_on: date, day: date) -> date:
    """The first day of the contract year in which `day` lies, counted from the anchor."""
    years = relativedelta(day, from_on).years
    return from_on + relativedelta(years=years)


def position_of(head: rows.SiteHead) -> Position | None:
    """Where the site is, None if nobody knows."""
    if head.lat_deg is None or head.lon_deg is None:
        return None
    return Position(head.lat_deg, head.lon_deg)


def position_state(head: rows.SiteHead) -> str:
    """known, guessed or none."""
    if position_of(head) is None:
        return "none"
    return "guessed" if head.position_source == PositionSource.GUESSED else "known"


def place_text(head: rows.SiteHead) -> str:
    """How its place came to be known, as the list says it."""
    if position_state(head) != "known":
        return say("place guessed")
    texts = {
        PositionSource.SURVEYED.value: say("surveyed"),
        PositionSource.MAP.value: say("from a map"),
        PositionSource.ADDRESS.value: say("from an address"),
    }
    return texts.get(head.position_source or "", say("source not noted"))


# --- where is this?


def where_is_this(desk: Desk) -> list[SiteRow]:
    """Sites without a position or with a guessed one, in order of village, then street."""
    found = site_rows(desk, site_ids(desk, filter="where"))
    return sorted(found, key=lambda r: search.folded(r.locality))


def set_position(
    desk: Desk,
    site_id: int,
    position: Position | None,
    source: PositionSource | None,
    *,
    seen: int | None = None,
    found: str = "",
) -> Changed:
    """Write where a site is, and how that is known; `position` None forgets it.

    `found` is what it was found as ("118 Dry Hollow Lane, Old Tessing"): it stays in the change.
    Raises Trouble if the site changed since `seen`.
    """
    with desk.store.read() as session:
        address = address_of(rows.heads(session, [site_id]), site_id)
    sentence = (
        say("Forgot the place of {address}", address=address)
        if position is None
        else say("Placed {address} at {found}", address=address, found=found)
        if found
        else say("Placed {address}", address=address)
    )
    with desk.store.change(desk.who, sentence) as work:
        site = work.fresh(Site, site_id, seen=seen)
        site.lat_deg = None if position is None else position.lat_deg
        site.lon_deg = None if position is None else position.lon_deg
        known = source or PositionSource.GUESSED
        site.position_source = None if position is None else known.value
    return work.changed


def address_of(heads: Mapping[int, rows.SiteHead], site_id: int) -> str:
    """The address of a site that was read. Raises Trouble if it is not in the store any more."""
    if site_id not in heads:
        raise Trouble(
            say("That site is not in the store any more."),
            do=say("Look under All changes; it can be done again there."),
            exit_code=3,
        )
    return heads[site_id].address
