"""Look-ups of the find box: as `search`, but names and notes apart and counted in the database.

Every done visit says some of the same words ("alarm", "quiet"). Reading all their rows to throw
them away takes longer than a person waits between two keys; the database drops them faster.
"""

from collections.abc import Sequence

from sqlalchemy import ColumnElement, CompoundSelect, Select, func, intersect, select
from sqlalchemy.orm import Session

from servicedesk.records.search import Hit, _sites_of, words_of
from servicedesk.records.search_words import SearchWord

TO_SITES = ("site", "system", "unit", "contract", "customer", "phone", "contact")
NAMED = ("customer", "phone", "contact", "contract", "technician", "part", "unit")
NOTES = ("visit", "job", "call", "owed")


def sites(session: Session, text: str, *, limit: int) -> list[int]:
    """Sites to which all the words of `text` lead, best first, as `search.find_sites` says."""
    score: dict[int, int] | None = None
    # the longest word first: it leaves the least to look at
    for word in sorted(set(words_of(text)), key=lambda w: (-len(w), w)):
        found = _sites_of(session, _names(session, word, TO_SITES))
        if score is not None:
            found = {s: w + found[s] for s, w in score.items() if s in found}
        score = found
        if not score:
            return []
    known = score or {}
    return sorted(known, key=lambda s: (-known[s], s))[:limit]


def names(session: Session, text: str, *, limit: int) -> list[Hit]:
    """Customers, contracts, technicians, parts and units with all the words, best first."""
    score: dict[tuple[str, int], int] | None = None
    for word in sorted(set(words_of(text)), key=lambda w: (-len(w), w)):
        found = _names(session, word, NAMED)
        if score is not None:
            found = {key: w + found[key] for key, w in score.items() if key in found}
        score = found
        if not score:
            return []
    hits = [Hit(table, row, weight) for (table, row), weight in (score or {}).items()]
    return sorted(hits, key=lambda h: (-h.weight, h.table_name, h.row_id))[:limit]


def _names(session: Session, word: str, tables: Sequence[str]) -> dict[tuple[str, int], int]:
    """Rows of these tables with a word that begins with `word`; a whole word counts one more."""
    query = select(
        SearchWord.table_name, SearchWord.row_id, SearchWord.word, SearchWord.weight
    ).where(*_begins(word), _table_in(tables))
    found: dict[tuple[str, int], int] = {}
    for table, row_id, whole, weight in session.execute(query):
        key = (table, row_id)
        found[key] = max(found.get(key, 0), weight * 2 + (whole == word))
    return found


def notes(session: Session, text: str, *, limit: int) -> list[Hit]:
    """The latest `limit` visits, jobs, calls and owed things whose texts hold all the words.

    Words of one or two letters are still being typed and do not count; alone they find nothing.
    """
    words = {word for word in words_of(text) if len(word) > 2}
    if not words:
        return []
    each = [_noted(word) for word in sorted(words)]
    found: Select[str, int] | CompoundSelect[str, int] = each[0]
    if len(each) > 1:
        found = intersect(*each)
    rows = found.subquery()
    place = (
        func.row_number()
        .over(partition_by=rows.c.table_name, order_by=rows.c.row_id.desc())
        .label("place")
    )
    ranked = select(rows.c.table_name, rows.c.row_id, place).subquery()
    query = (
        select(ranked.c.table_name, ranked.c.row_id)
        .where(ranked.c.place <= limit)
        .order_by(ranked.c.table_name, ranked.c.row_id.desc())
    )
    return [Hit(row[0], row[1], 1) for row in session.execute(query)]


def _noted(word: str) -> Select[str, int]:
    return (
        select(SearchWord.table_name, SearchWord.row_id)
        .where(*_begins(word), _table_in(NOTES))
        .distinct()
    )


def _begins(word: str) -> tuple[ColumnElement[bool], ColumnElement[bool]]:
    upper = word[:-1] + chr(ord(word[-1]) + 1)
    return SearchWord.word >= word, SearchWord.word < upper


def _table_in(tables: Sequence[str]) -> ColumnElement[bool]:
    # as an expression: SQLite would otherwise read a whole table's words by their index
    return (SearchWord.table_name + "").in_(tables)
