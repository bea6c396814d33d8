"""Which row of a list speaks of which record: by the remembered key, then by the records."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from servicedesk.exchange.addresses import address_key, folded_text, names_a_house
from servicedesk.exchange.names import ORGANISATION
from servicedesk.exchange.understood import UnderstoodRow
from servicedesk.records.brought_rows import Book, BroughtNow, CustomerNow

Key = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """What a row was recognized as: keys of standing records, None where they are new.

    `base` is what a list last said of that system. `lead`: the first row of its site.
    """

    row: UnderstoodRow
    lead: bool
    site_id: int | None
    system_id: int | None
    base: BroughtNow | None


def row_keys(row: UnderstoodRow) -> tuple[Key, ...]:
    """What to recognize a row by, surest first; never empty for a row that names anything."""
    if row.keys:
        return row.keys
    place = address_key(row.address, row.locality)
    if place:
        return (("address", place),)
    return (("name", folded_text(row.owner.typed)),) if row.owner else ()


@dataclass(slots=True)
class _Index:
    """Standing records by what a row may name."""

    book: Book
    list_name: str
    brought: dict[Key, list[BroughtNow]] = field(default_factory=dict)
    latest: dict[int, BroughtNow] = field(default_factory=dict)
    permits: dict[str, list[int]] = field(default_factory=dict)
    sites: dict[Key, list[int]] = field(default_factory=dict)
    systems_at: dict[int, list[int]] = field(default_factory=dict)
    claimed: set[int] = field(default_factory=set)


def matched(rows: Iterable[UnderstoodRow], book: Book, list_name: str) -> tuple[Match, ...]:
    """The record of each row, in their order; each system is given out once.

    A row goes to the system the same key led to last time; else to one with its permit; else to a
    site with its number, its name and address, or its house, and there to the system that fits.
    Linear in rows and records.
    """
    index = _index(book, list_name)
    sites: dict[int, int | None] = {}
    found: list[Match] = []
    for row in rows:
        lead = row.site not in sites
        system_id = _system(index, row, sites.get(row.site))
        if system_id is not None:
            index.claimed.add(system_id)
            site_id: int | None = book.systems[system_id].site_id
        else:
            site_id = sites.get(row.site) or _site(index, row)
        if sites.get(row.site) is None:
            sites[row.site] = site_id
        base = index.latest.get(system_id) if system_id is not None else None
        found.append(Match(row=row, lead=lead, site_id=site_id, system_id=system_id, base=base))
    return tuple(found)


def _index(book: Book, list_name: str) -> _Index:
    index = _Index(book, list_name)
    # what this list said comes before what others said, the latest before older
    order = sorted(book.brought, key=lambda b: (b.list_name == list_name, b.seen_on, b.id))
    for one in order:
        if one.system_id is None or one.system_id not in book.systems:
            continue
        index.latest[one.system_id] = one
        for kind, text in one.cells.get("keys", ()):
            index.brought.setdefault((kind, text), []).append(one)
    for system in book.systems.values():
        index.systems_at.setdefault(system.site_id, []).append(system.id)
        if system.permit:
            index.permits.setdefault(folded_text(system.permit), []).append(system.id)
    for site in book.sites.values():
        place = address_key(site.address, site.locality)
        keys: list[Key] = [("own_number", folded_text(site.own_number or ""))]
        for owner_id in site.owner_ids:
            if owner_id in book.customers and place:
                name = folded_text(book.customers[owner_id].name)
                keys.append(("name_address", f"{name}|{place}"))
        if place and names_a_house(site.address):
            keys.append(("place", place))
        for key in keys:
            if key[1]:
                index.sites.setdefault(key, []).append(site.id)
    return index


def _system(index: _Index, row: UnderstoodRow, site_id: int | None) -> int | None:
    """The standing system of a row that no other row has, None if it is new."""
    for key in row_keys(row):
        candidates = [b.system_id for b in reversed(index.brought.get(key, ()))]
        found = _best(index, row, [c for c in candidates if c is not None])
        if found is not None:
            return found
    if row.permit:
        found = _best(index, row, index.permits.get(folded_text(row.permit), []))
        if found is not None:
            return found
    site_id = site_id or _site(index, row)
    return None if site_id is None else _best(index, row, index.systems_at.get(site_id, []))


def _best(index: _Index, row: UnderstoodRow, candidates: list[int]) -> int | None:
    """The free system that fits best: same permit, then same label, then the first."""
    permit = folded_text(row.permit)

    def fits(system_id: int) -> bool:
        its = folded_text(index.book.systems[system_id].permit or "")
        return system_id not in index.claimed and not (permit and its and permit != its)

    def rank(system_id: int) -> tuple[bool, bool]:
        system = index.book.systems[system_id]
        kind = folded_text(row.system_kind or row.treatment)
        same_permit = bool(permit) and folded_text(system.permit or "") == permit
        same_kind = bool(kind) and kind in folded_text(system.label)
        return (not same_permit, not same_kind)

    free = [system_id for system_id in dict.fromkeys(candidates) if fits(system_id)]
    return min(free, key=rank) if free else None


def _site(index: _Index, row: UnderstoodRow) -> int | None:
    """The standing site a row names, None if it is new."""
    place = address_key(row.address, row.locality)
    keys = [*row.keys]
    if place and names_a_house(row.address):
        keys.append(("place", place))
    for key in keys:
        for site_id in index.sites.get(key, ()):
            # one number at two houses is two sites
            stands = index.book.sites[site_id]
            its = address_key(stands.address, stands.locality)
            if key[0] != "own_number" or not place or not its or _same_street(place, its):
                return site_id
    return None


def _same_street(one: str, other: str) -> bool:
    return one.split("|", maxsplit=1)[0] == other.split("|", maxsplit=1)[0]


# --- customers


@dataclass(slots=True)
class People:
    """Customers by name, standing and new, so that one owner of two sites is written once.

    New ones have negative keys.
    """

    book: Book
    by_name: dict[str, list[int]] = field(default_factory=dict)
    signs: dict[int, frozenset[str]] = field(default_factory=dict)
    is_organization: dict[int, bool] = field(default_factory=dict)
    new: dict[int, UnderstoodRow] = field(default_factory=dict)
    at_site: dict[int, list[int]] = field(default_factory=dict)
    phones: dict[int, set[str]] = field(default_factory=dict)  # of new ones, as rows bring them

    @classmethod
    def of(cls, book: Book) -> "People":
        """The customers of the book."""
        people = cls(book)
        for customer in book.customers.values():
            people._add(customer.id, customer.name, _signs(customer), customer.kind_of)
        return people

    def owner(self, match: Match) -> int | None:
        """The customer a row names as owner: a standing key, a negative new one, None if none.

        Equal names are one customer if both are the same organization, if they share a phone, an
        e-mail or a mailing address, or if they own the same site; two households of one name stay
        two.
        """
        row = match.row
        known = match.base.cells.get("customer_id") if match.base else None
        if known is not None and known in self.book.customers:
            return int(known)
        if row.owner is None:
            return None
        name, signs = folded_text(row.owner.typed), _signs_of(row)
        owners = self.book.sites[match.site_id].owner_ids if match.site_id else ()
        here = {*owners, *self.at_site.get(row.site, ())}
        for key in self.by_name.get(name, ()):
            organization = row.owner.kind == ORGANISATION and self.is_organization[key]
            if key in here or organization or signs & self.signs[key]:
                self.signs[key] |= signs
                self._stands(row, key)
                return key
        if match.lead and len(owners) == 1 and owners[0] in self.book.customers:
            return owners[0]  # the owner stands under another spelling, or there is a new one
        key = -len(self.new) - 1
        self.new[key] = row
        kind = "organization" if row.owner.kind == ORGANISATION else "household"
        self._add(key, row.owner.typed, signs, kind)
        self._stands(row, key)
        return key

    def _stands(self, row: UnderstoodRow, key: int) -> None:
        self.at_site.setdefault(row.site, []).append(key)

    def _add(self, key: int, name: str, signs: frozenset[str], kind: str) -> None:
        self.by_name.setdefault(folded_text(name), []).append(key)
        self.signs[key] = signs
        self.is_organization[key] = kind == "organization"


def _signs(customer: CustomerNow) -> frozenset[str]:
    return frozenset(
        sign
        for sign in (
            *(e164 or folded_text(typed) for _id, e164, typed in customer.phones),
            (customer.email or "").casefold(),
            folded_text(customer.mail_address or ""),
        )
        if sign
    )


def _signs_of(row: UnderstoodRow) -> frozenset[str]:
    return frozenset(
        sign
        for sign in (
            *(phone.e164 or folded_text(phone.typed) for phone in row.phones),
            ", ".join(row.emails).casefold(),
            folded_text(row.billing_address),
        )
        if sign
    )


def missing_rows(book: Book, list_name: str, found: Iterable[Match]) -> tuple[BroughtNow, ...]:
    """What this list held the last time and holds no more: reported, never ended."""
    seen = {match.system_id for match in found}
    lost: Mapping[int, BroughtNow] = {
        one.system_id: one
        for one in book.brought
        if one.list_name == list_name
        and one.system_id is not None
        and one.system_id in book.systems
        and one.site_id in book.sites
        and one.system_id not in seen
    }
    return tuple(lost.values())
