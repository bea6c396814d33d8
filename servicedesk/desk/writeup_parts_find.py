"""A part meant by what somebody types or scans, and those offered before a letter is typed."""

from collections.abc import Iterable
from heapq import nsmallest

from servicedesk.desk.writeup_parts import CALLED, PartsHere, Spelled
from servicedesk.records.search import folded, words_of
from servicedesk.records.stock_rows import PartRow

MOST_SHOWN = 6
MOST_OFFERED = 4


def made_ready(here: PartsHere) -> None:
    """Spell the catalogue now, where nobody waits for a key: the first search is then as fast."""
    _ = here.called, here.spelled


def exact(here: PartsHere, text: str) -> PartRow | None:
    """The part with this barcode, number, supplier's number or name, if only one has it."""
    wanted = folded(text).strip()
    for field in CALLED:
        found = here.called[field].get(wanted, ())
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
    starts = [f" {word}" for word in words]
    fits = (one for one in here.spelled if all(start in one.words for start in starts))
    ranked = nsmallest(most, ((*_rank(here, one, words), one.part.id) for one in fits))
    return tuple(here.catalogue[one[-1]] for one in ranked)


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
    of_causes = [part.id for kind in kinds for part in here.current if part.part_kind == kind]
    there = set(written)
    ids = dict.fromkeys(i for i in (*of_causes, *here.takes) if i not in there)
    return tuple(here.catalogue[i] for i in ids if i in here.catalogue)[:MOST_OFFERED]


def _rank(here: PartsHere, one: Spelled, words: list[str]) -> tuple[int, int, str]:
    if one.number.startswith("".join(words)):
        place = 0
    elif one.name.startswith(words[0]):
        place = 1
    else:
        place = 2
    return place, -here.left(one.part.id, here.truck_place_id), one.part.number
