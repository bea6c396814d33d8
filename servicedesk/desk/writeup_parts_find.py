"""A part meant by what somebody types or scans, and those offered before a letter is typed."""

from collections.abc import Iterable

from servicedesk.desk.writeup_parts import PartsHere
from servicedesk.records.search import folded, words_of
from servicedesk.records.stock_rows import PartRow

MOST_SHOWN = 6
MOST_OFFERED = 4


def exact(here: PartsHere, text: str) -> PartRow | None:
    """The part with this barcode, number, supplier's number or name, if only one has it."""
    wanted = folded(text)
    if not wanted:
        return None
    for field in ("barcode", "number", "name", "supplier_number"):
        found = [p for p in _current(here) if folded(getattr(p, field)) == wanted]
        if len(found) == 1:
            return found[0]
    return None


def matches(here: PartsHere, text: str, *, most: int = MOST_SHOWN) -> tuple[PartRow, ...]:
    """Parts of whose number or name every typed word begins a word, the likeliest first.

    A number that begins so goes first, then a name that begins so, then what lies on the truck.
    """
    whole = exact(here, text)
    if whole is not None and folded(whole.barcode) == folded(text):
        return (whole,)
    words = words_of(text)
    if not words:
        return ()
    ranked = sorted(
        (_rank(here, part, words), part.number, part.id)
        for part in _current(here)
        if _fits(here, part, words)
    )
    return tuple(here.catalogue[part_id] for _, _, part_id in ranked[:most])


def only_match(here: PartsHere, text: str) -> PartRow | None:
    """The part meant where nobody can choose: the exact one, else the only one that fits."""
    fits = matches(here, text, most=2)
    return exact(here, text) or (fits[0] if len(fits) == 1 else None)


def offered(here: PartsHere, causes: Iterable[str | None], written: Iterable[int | None]) -> (
    tuple[PartRow, ...]
):  # fmt: skip
    """Parts to take with one key: those of the causes named, then what inspections here took.

    What is written already is not offered again.
    """
    kinds = [
        kind
        for cause_id in causes
        if cause_id is not None and cause_id in here.known.causes
        for kind in here.known.causes[cause_id].parts
    ]
    of_causes = [part.id for kind in kinds for part in _current(here) if part.part_kind == kind]
    there = set(written)
    ids = dict.fromkeys(i for i in (*of_causes, *here.takes) if i not in there)
    return tuple(here.catalogue[i] for i in ids if i in here.catalogue)[:MOST_OFFERED]


def _current(here: PartsHere) -> list[PartRow]:
    parts = here.catalogue.values()
    return [p for p in parts if p.ended_on is None or p.ended_on > here.day]


def _fits(here: PartsHere, part: PartRow, words: list[str]) -> bool:
    return all(any(one.startswith(word) for one in here.words[part.id]) for word in words)


def _rank(here: PartsHere, part: PartRow, words: list[str]) -> tuple[int, int]:
    if words_of(part.number)[: len(words)] == words or here.words[part.id][0].startswith(words[0]):
        place = 0
    elif words_of(part.name)[0].startswith(words[0]):
        place = 1
    else:
        place = 2
    return place, -here.left(part.id, here.truck_place_id)
