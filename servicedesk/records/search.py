"""Search: folded words with prefix look-up, alike on both databases."""

import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, RowMapping, delete, insert, select
from sqlalchemy.orm import Session

from servicedesk.records.base import Record, table_of
from servicedesk.records.calls import Call
from servicedesk.records.company import Technician
from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.equipment import Unit
from servicedesk.records.owed import Owed
from servicedesk.records.parts import Part
from servicedesk.records.people import Contact, Customer, Phone, SiteRole
from servicedesk.records.search_words import SearchWord
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import Job, Visit

_FOLDED = str.maketrans(
    {"ß": "ss", "ø": "o", "Ø": "o", "ł": "l", "Ł": "l", "æ": "ae", "Æ": "ae", "đ": "d", "ı": "i"}
)
_WORD = re.compile(r"[^\W_]+")
FEW = 500  # keys that one statement may carry
_DIGITS = re.compile(r"\D+")


@lru_cache(maxsize=4096)  # lists fold the same names again with every key
def folded(text: str) -> str:
    """`text` without case and accents: "Łódź" gives "lodz"."""
    plain = unicodedata.normalize("NFKD", text.translate(_FOLDED))
    return "".join(c for c in plain if not unicodedata.combining(c)).casefold()


def words_of(text: str | None) -> list[str]:
    """The folded words of a text."""
    return _WORD.findall(folded(text or ""))


def digits_of(*texts: str | None) -> list[str]:
    """Every end of a number from four digits on: any piece of it is then the start of a word."""
    found = set()
    for text in texts:
        digits = _DIGITS.sub("", text or "")
        found |= {digits[start:] for start in range(len(digits) - 3)}
    return sorted(found)


@dataclass(frozen=True, slots=True)
class _Source:
    """Which words of a row lead to it. Weight 3: a name of it; 1: a word in a note."""

    model: type[Record]
    strong: Callable[[RowMapping], Iterable[str]]
    weak: Callable[[RowMapping], Iterable[str]]
    site_column: str | None = None


def _none(_row: RowMapping) -> Iterable[str]:
    return ()


SOURCES = (
    _Source(
        Site,
        lambda r: [
            *words_of(r["address"]),
            *words_of(r["locality"]),
            *words_of(r["postcode"]),
            str(r["number"]),
            *words_of(r["own_number"]),
        ],
        lambda r: [*words_of(r["note"]), *words_of(r["access_note"])],
        "id",
    ),
    _Source(
        System,
        lambda r: [*words_of(r["permit"]), *digits_of(r["permit"]), *words_of(r["label"])],
        _none,
        "site_id",
    ),
    _Source(
        Customer,
        lambda r: [*words_of(r["name"]), *words_of(r["own_number"])],
        lambda r: [*words_of(r["email"]), *words_of(r["note"])],
    ),
    _Source(Contact, lambda r: words_of(r["name"]), lambda r: words_of(r["email"])),
    _Source(Phone, lambda r: digits_of(r["e164"], r["typed"]), _none),
    _Source(Contract, lambda r: [str(r["number"]), *words_of(r["own_number"])], _none),
    _Source(Technician, lambda r: words_of(r["name"]), _none),
    _Source(Part, lambda r: [*words_of(r["name"]), *words_of(r["number"])], _none),
    _Source(Unit, lambda r: words_of(r["serial"]), _none),
    _Source(Owed, _none, lambda r: words_of(r["what"]), "site_id"),
    _Source(
        Call,
        _none,
        lambda r: [
            *words_of(r["own_words"]),
            *words_of(r["caller"]),
            *words_of(r["where_said"]),
            *digits_of(r["caller_phone"]),
        ],
        "site_id",
    ),
    _Source(Visit, _none, lambda r: [*words_of(r["note"]), *words_of(r["as_left"])], "site_id"),
    _Source(Job, _none, lambda r: [*words_of(r["found"]), *words_of(r["did"])]),
)
_BY_TABLE = {source.model.__tablename__: source for source in SOURCES}


def _rows_for(source: _Source, row: RowMapping) -> list[dict[str, Any]]:
    strong = set(source.strong(row))
    weights = {word: 1 for word in source.weak(row) if len(word) > 2} | dict.fromkeys(strong, 3)
    return [
        {
            "word": word,
            "table_name": source.model.__tablename__,
            "row_id": row["id"],
            "site_id": row[source.site_column] if source.site_column else None,
            "weight": weight,
        }
        for word, weight in sorted(weights.items())
        if word
    ]


def index_rows(connection: Connection, rows: Mapping[str, Iterable[int]]) -> None:
    """Index the touched rows anew, in the transaction that touched them."""
    for table, ids in rows.items():
        source = _BY_TABLE.get(table)
        if source is None:
            continue
        columns = source.model.__table__
        for some in _batches(sorted(ids)):
            connection.execute(
                delete(table_of(SearchWord)).where(
                    SearchWord.table_name == table, SearchWord.row_id.in_(some)
                )
            )
            found = connection.execute(select(columns).where(columns.c.id.in_(some))).mappings()
            _insert(connection, [w for row in found for w in _rows_for(source, row)])


def rebuild(connection: Connection) -> None:
    """Make the whole index anew from the records."""
    connection.execute(delete(table_of(SearchWord)))
    for source in SOURCES:
        found = connection.execute(select(source.model.__table__)).mappings()
        _insert(connection, [w for row in found for w in _rows_for(source, row)])


def _insert(connection: Connection, words: list[dict[str, Any]]) -> None:
    if words:
        connection.execute(insert(table_of(SearchWord)), words)


def _batches(ids: list[int], size: int = 500) -> Iterable[list[int]]:
    for start in range(0, len(ids), size):
        yield ids[start : start + size]


@dataclass(frozen=True, slots=True)
class Hit:
    """A record that all the words looked for lead to."""

    table_name: str
    row_id: int
    weight: int


def find(session: Session, text: str, *, limit: int = 20) -> list[Hit]:
    """Records whose words begin with all the words of `text`, best first, then by table and key.

    Words that look like a piece of a phone number or permit are matched as digits.
    """
    wanted = words_of(text)
    if not wanted:
        return []
    score: dict[tuple[str, int], int] | None = None
    # the longest word first: it leaves the least to look at for the others
    for word in sorted(wanted, key=len, reverse=True):
        found = _prefix(session, word, among=score)
        score = found if score is None else _both(score, found)
        if not score:
            return []
    hits = [Hit(table, row, weight) for (table, row), weight in (score or {}).items()]
    return sorted(hits, key=lambda h: (-h.weight, h.table_name, h.row_id))[:limit]


def find_sites(session: Session, text: str, *, limit: int = 50) -> list[int]:
    """Sites to which all the words of `text` lead, by themselves or through their people.

    A word may stand at the site, its systems and units, the people there now, their phone
    numbers, or a contract.
    Best first, then by key. Empty text finds nothing.
    """
    wanted = words_of(text)
    score: dict[int, int] | None = None
    for word in wanted:
        found = _sites_of(session, _prefix(session, word))
        score = (
            found if score is None else {s: w + found[s] for s, w in score.items() if s in found}
        )
        if not score:
            return []
    return sorted(score or {}, key=lambda s: (-(score or {})[s], s))[:limit]


def _prefix(
    session: Session, word: str, *, among: Mapping[tuple[str, int], int] | None = None
) -> dict[tuple[str, int], int]:
    """Rows with a word that begins with `word`; a whole word counts one more.

    Where only few rows are left (`among`), no others are read.
    """
    upper = word[:-1] + chr(ord(word[-1]) + 1)
    query = (
        select(SearchWord.table_name, SearchWord.row_id, SearchWord.word, SearchWord.weight)
        # a range, not LIKE: both databases then compare by code point and use the index
        .where(SearchWord.word >= word, SearchWord.word < upper)
    )
    if among is not None and len(among) <= FEW:
        query = query.where(SearchWord.row_id.in_(sorted({row_id for _, row_id in among})))
    found: dict[tuple[str, int], int] = {}
    for row in session.execute(query):
        key = (row.table_name, row.row_id)
        found[key] = max(found.get(key, 0), row.weight * 2 + (row.word == word))
    return found


def _both(
    first: dict[tuple[str, int], int], second: dict[tuple[str, int], int]
) -> dict[tuple[str, int], int]:
    return {key: weight + second[key] for key, weight in first.items() if key in second}


def _sites_of(session: Session, rows: dict[tuple[str, int], int]) -> dict[int, int]:
    """The sites that rows stand for, each with its best weight."""
    by_table: dict[str, dict[int, int]] = {}
    for (table, row_id), weight in rows.items():
        by_table.setdefault(table, {})[row_id] = weight
    found: dict[int, int] = {}

    def note(site_id: int, weight: int) -> None:
        found[site_id] = max(found.get(site_id, 0), weight)

    for row_id, weight in by_table.get("site", {}).items():
        note(row_id, weight)
    for row in _chunked(session, select(System.site_id, System.id), System.id, by_table, "system"):
        note(row[0], by_table["system"][row[1]])
    picked = select(System.site_id, Unit.id).join(Unit, Unit.system_id == System.id)
    for row in _chunked(session, picked, Unit.id, by_table, "unit"):
        note(row[0], by_table["unit"][row[1]])
    covers = select(System.site_id, ContractSystem.contract_id).join(
        ContractSystem, ContractSystem.system_id == System.id
    )
    for row in _chunked(session, covers, ContractSystem.contract_id, by_table, "contract"):
        note(row[0], by_table["contract"][row[1]])
    customers = dict(by_table.get("customer", {}))
    for model, table in ((Phone, "phone"), (Contact, "contact")):
        picked = select(model.customer_id, model.id)
        for row in _chunked(session, picked, model.id, by_table, table):
            weight = by_table[table][row[1]]
            customers[row[0]] = max(customers.get(row[0], 0), weight)
    by_table["customers"] = customers
    roles = select(SiteRole.site_id, SiteRole.customer_id).where(SiteRole.until_on.is_(None))
    for row in _chunked(session, roles, SiteRole.customer_id, by_table, "customers"):
        note(row[0], customers[row[1]])
    return found


def _chunked(
    session: Session, query: Any, column: Any, by_table: dict[str, dict[int, int]], table: str
) -> Iterable[Any]:
    for some in _batches(sorted(by_table.get(table, {}))):
        yield from session.execute(query.where(column.in_(some)))
