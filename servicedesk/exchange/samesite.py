"""Rows that speak of one thing: several rows a system, several systems a site."""

from servicedesk.exchange.addresses import address_key, folded_text, names_a_house
from servicedesk.exchange.rowreader import Draft
from servicedesk.exchange.understood import PastVisit


def joined(drafts: list[Draft]) -> list[Draft]:
    """One draft per system: rows with the same number, permit, or name and address are joined.

    A row without any of them that only tells of a visit or a note continues the row above.
    The first filled value of a field wins; one that differs further down is a fault of that row.
    Drafts that share a place get the same `site`, counted from 1 in the order of the list.
    """
    systems: list[Draft] = []
    by_key: dict[tuple[str, str], list[Draft]] = {}
    for draft in drafts:
        if not _names_something(draft):
            if systems and (draft.visits or draft.notes or draft.extras or draft.phones):
                _join(systems[-1], draft)
            else:
                draft.complain("nothing")
                systems.append(draft)
            continue
        same = next((one for one in _candidates(draft, by_key) if _is_same(one, draft)), None)
        if same is not None:
            _join(same, draft)
        else:
            systems.append(draft)
        for key in _keys(draft):
            by_key.setdefault(key, []).append(same or draft)
    _number_sites(systems)
    return systems


def _names_something(draft: Draft) -> bool:
    named = draft.text("own_number") or draft.text("permit") or draft.text("address")
    return bool(named or draft.owner)


def _keys(draft: Draft) -> list[tuple[str, str]]:
    keys = []
    if draft.text("own_number"):
        keys.append(("own_number", folded_text(draft.text("own_number"))))
    if draft.text("permit"):
        keys.append(("permit", folded_text(draft.text("permit"))))
    name = folded_text(draft.owner.typed) if draft.owner else ""
    place = address_key(draft.text("address"), draft.text("locality"))
    if name and place:
        keys.append(("name_address", f"{name}|{place}"))
    return keys


def _candidates(draft: Draft, by_key: dict[tuple[str, str], list[Draft]]) -> list[Draft]:
    return [one for key in _keys(draft) for one in by_key.get(key, [])]


def _is_same(one: Draft, other: Draft) -> bool:
    """The same system? Two numbers, two permits or two kinds of system are two systems."""
    for name in ("own_number", "permit"):
        left, right = folded_text(one.text(name)), folded_text(other.text(name))
        if left and right and left != right:
            return False
    places = [address_key(d.text("address"), d.text("locality")) for d in (one, other)]
    if all(places) and places[0] != places[1] and not _part_of(*places):
        # one number at two addresses: not joined; the fault says so
        if not _moved(other):
            other.complain("two addresses", 0, one.text("own_number") or one.text("permit"))
        return False
    if folded_text(one.text("permit")) and one.text("permit") == other.text("permit"):
        return True
    kinds = [folded_text(d.text("system_kind") or d.text("treatment")) for d in (one, other)]
    return not (all(kinds) and kinds[0] != kinds[1])


def _moved(draft: Draft) -> bool:
    return any(fault.code == "two addresses" for _row, fault in draft.faults)


def _part_of(one: str, other: str) -> bool:
    """The same street, once without the town."""
    return one.split("|", maxsplit=1)[0] == other.split("|", maxsplit=1)[0] and (
        one.endswith("|") or other.endswith("|")
    )


def _join(first: Draft, more: Draft) -> None:
    """Add what a further row about the same system says."""
    news = len(first.visits)
    for name, text in more.texts.items():
        mine = first.text(name)
        if not mine:
            first.texts[name] = text
            first.sources.setdefault(name, more.sources.get(name, ""))
        elif folded_text(mine) != folded_text(text) and name not in ("next_due", "address_2"):
            more.complain("differs", 0, f"{text} / {mine}")
    first.owner = first.owner or more.owner
    first.pair = first.pair or more.pair
    first.visits_year = first.visits_year or more.visits_year
    first.price = first.price or more.price
    first.numbers = more.numbers | first.numbers
    first.days = more.days | first.days
    numbers = {phone.e164 or phone.typed for phone in first.phones}
    first.phones += [phone for phone in more.phones if (phone.e164 or phone.typed) not in numbers]
    for mine_list, more_list in (
        (first.emails, more.emails),
        (first.notes, more.notes),
        (first.secrets, more.secrets),
    ):
        mine_list += [text for text in more_list if text not in mine_list]
    first.extras += [extra for extra in more.extras if extra not in first.extras]
    known = {_what(visit) for visit in first.visits}
    first.visits += [visit for visit in more.visits if _what(visit) not in known]
    for name, ref in more.sources.items():
        first.sources.setdefault(name, ref)
    if len(first.visits) == news and not more.faults and _names_something(more):
        more.complain("repeated", 0, str(first.row))
    first.rows += more.rows
    first.faults += more.faults


def _what(visit: PastVisit) -> tuple[object, ...]:
    return (visit.on, visit.either, visit.text, visit.kind)


def _number_sites(systems: list[Draft]) -> None:
    """Give the same `site` to systems with one own number, or at one house."""
    sites: dict[tuple[str, str], int] = {}
    owners: dict[int, Draft] = {}
    for draft in systems:
        keys = _place_keys(draft)
        draft.site = next((sites[key] for key in keys if key in sites), len(owners) + 1)
        first = owners.setdefault(draft.site, draft)
        for key in keys:
            sites.setdefault(key, draft.site)
        names = [folded_text(d.owner.typed) if d.owner else "" for d in (first, draft)]
        if first is not draft and all(names) and names[0] != names[1]:
            draft.complain("two owners", 0, str(first.row))


def _place_keys(draft: Draft) -> list[tuple[str, str]]:
    keys = []
    if draft.text("own_number") and not _moved(draft):
        keys.append(("own_number", folded_text(draft.text("own_number"))))
    place = address_key(draft.text("address"), draft.text("locality"))
    if place:
        name = folded_text(draft.owner.typed) if draft.owner else ""
        keys.append(
            ("place", place) if names_a_house(draft.text("address")) else ("named", name + place)
        )
    return keys
