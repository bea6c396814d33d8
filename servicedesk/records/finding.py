"""Look-ups of the find box: as `search`, but names and notes apart, all counted in the database.

Every done visit says some of the same words ("alarm", "quiet"), and thousands of numbers begin with
the same digits. Reading all their rows to throw them away takes longer than a person waits between
two keys; the database drops them faster.
"""

from collections.abc import MutableMapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import (
    CTE,
    ColumnElement,
    Select,
    Subquery,
    and_,
    case,
    func,
    intersect,
    literal,
    select,
    union_all,
)
from sqlalchemy.orm import Session

from servicedesk.records.contracts import ContractSystem
from servicedesk.records.equipment import Unit
from servicedesk.records.people import Contact, Phone, SiteRole
from servicedesk.records.search import Hit, words_of
from servicedesk.records.search_words import SearchWord
from servicedesk.records.sites import Site, System

TO_SITES = ("site", "system", "unit", "contract", "customer", "phone", "contact")
NAMED = ("customer", "phone", "contact", "contract", "technician", "part", "unit")
SITE = "site"
FEW = 600  # leads that are asked for their words one by one
WORDS_KEPT = 8
NOTES = ("visit", "job", "call", "owed")


@dataclass(frozen=True, slots=True)
class Leads:
    """Where words lead: sites and named rows (table and key), each with its rank."""

    sites: dict[int, int]
    named: dict[tuple[str, int], int]

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.sites) + len(self.named)

    @property
    def is_few(self) -> bool:
        """Few enough to be asked for their words one by one."""
        return len(self.sites) <= FEW and len(self.named) <= FEW

    def best_sites(self, limit: int) -> list[int]:
        """The sites, best first, then by key."""
        return sorted(self.sites, key=lambda s: (-self.sites[s], s))[:limit]

    def best_named(self, limit: int) -> list[Hit]:
        """Customers, contracts, technicians, parts and units, best first."""
        hits = [Hit(table, row, rank) for (table, row), rank in self.named.items()]
        return sorted(hits, key=lambda h: (-h.weight, h.table_name, h.row_id))[:limit]


Kept = MutableMapping[str, Leads]
"""What single words lead to, up to some more than FEW of each kind."""


def leads(session: Session, text: str, most: int, kept: Kept | None = None) -> Leads:
    """Where all the words of `text` lead together: the `most` best sites and named rows.

    `kept` holds what single words led to while nothing has changed: who types a word more asks
    for the first ones again.
    """
    words = _longest_first(text)
    if len(words) < 2:
        return _best_of(session, words, most) if words else Leads({}, {})
    found = _some_of(session, words[0], kept)
    if not found.is_few:
        return _best_of(session, words, most)
    for word in words[1:]:
        if not found.count:
            break
        known = kept.get(word) if kept is not None else None
        is_known = known is not None and known.is_few
        one = known if known is not None and is_known else _leads_among(session, word, found)
        found = _both(found, one)
    return found


def sites(session: Session, text: str, *, limit: int) -> list[int]:
    """Sites to which all the words of `text` lead, best first, as `search.find_sites` says."""
    return leads(session, text, limit).best_sites(limit)


def names(session: Session, text: str, *, limit: int) -> list[Hit]:
    """Customers, contracts, technicians, parts and units with all the words, best first."""
    return leads(session, text, limit).best_named(limit)


def _both(first: Leads, second: Leads) -> Leads:
    return Leads(
        {s: w + second.sites[s] for s, w in first.sites.items() if s in second.sites},
        {k: w + second.named[k] for k, w in first.named.items() if k in second.named},
    )


def _some_of(session: Session, word: str, kept: Kept | None) -> Leads:
    """Where one word leads, whole if that is few."""
    if kept is not None and word in kept:
        return kept[word]
    found = _best_of(session, [word], FEW + 1)
    if kept is not None:
        while len(kept) >= WORDS_KEPT:
            kept.pop(next(iter(kept)))
        kept[word] = found
    return found


def _best_of(session: Session, words: Sequence[str], most: int) -> Leads:
    """The `most` best sites and named rows to which all words lead, in one question.

    Ranked and cut off by the database: thousands of rows that nobody sees stay there.
    """
    of_sites, of_names = [], []
    for n, word in enumerate(words):
        hits = _hits(word, f"hits_{n}")
        ways = _ways_from(hits)
        table, here = literal(SITE).label("table_name"), ways.c.site_id.label("row_id")
        best = func.max(ways.c.rank).label("rank")
        of_sites.append(select(table, here, best).group_by(ways.c.site_id))
        names = (hits.c.table_name, hits.c.row_id, hits.c.rank)
        of_names.append(select(*names).where(hits.c.table_name.in_(NAMED)))
    cut = [_of_all(each, most) for each in (of_sites, of_names)]
    found = Leads({}, {})
    for table_name, row_id, rank in session.execute(union_all(*cut)):
        if table_name == SITE:
            found.sites[row_id] = rank
        else:
            found.named[table_name, row_id] = rank
    return found


def _of_all(each: Sequence[Select[Any]], most: int) -> Select[Any]:
    """The best rows that are in every one of these, with the sum of their ranks."""
    if len(each) == 1:
        all_of = each[0].subquery()
        rank: ColumnElement[int] = all_of.c.rank
        rows = select(all_of.c.table_name, all_of.c.row_id, rank.label("rank"))
    else:
        all_of = union_all(*each).subquery()
        rank = func.sum(all_of.c.rank)
        key = (all_of.c.table_name, all_of.c.row_id)
        rows = select(*key, rank.label("rank")).group_by(*key)
        rows = rows.having(func.count() == len(each))
    ordered = rows.order_by(rank.desc(), all_of.c.table_name, all_of.c.row_id).limit(most)
    return select(ordered.subquery())


def _leads_among(session: Session, word: str, few: Leads) -> Leads:
    """Where one word leads among a few: from them to their words, not the other way round."""
    found = Leads({}, {})
    # as expressions: the rows are to be looked up by their keys, not all that the word begins
    plain = SearchWord.word + ""
    begins = (plain >= word, plain < _upper(word))
    if few.sites:
        ways = _ways_to(sorted(few.sites))
        is_row = and_(
            SearchWord.table_name == ways.c.table_name, SearchWord.row_id == ways.c.row_id
        )
        query = (
            select(ways.c.site_id, func.max(_rank(word)))
            .join(SearchWord, is_row)
            .where(*begins)
            .group_by(ways.c.site_id)
        )
        found.sites.update((row[0], row[1]) for row in session.execute(query))
    if few.named:
        query = (
            select(SearchWord.table_name, SearchWord.row_id, func.max(_rank(word)))
            .where(
                SearchWord.table_name.in_({table for table, _ in few.named}),
                SearchWord.row_id.in_(sorted({row_id for _, row_id in few.named})),
                *begins,
            )
            .group_by(SearchWord.table_name, SearchWord.row_id)
        )
        found.named.update(((row[0], row[1]), row[2]) for row in session.execute(query))
    return found


def _longest_first(text: str) -> list[str]:
    """The words of a text; the longest leaves the least to look at for the others."""
    return sorted(set(words_of(text)), key=lambda w: (-len(w), w))


def _rank(word: str) -> ColumnElement[int]:
    """What a row counts for a word: names more than notes, a whole word one more."""
    return SearchWord.weight * 2 + case((SearchWord.word == word, 1), else_=0)


def _hits(word: str, name: str) -> CTE:
    """Rows of names with a word that begins with `word`, each with its best rank."""
    return (
        select(SearchWord.table_name, SearchWord.row_id, func.max(_rank(word)).label("rank"))
        .where(*_begins(word), _table_in((*TO_SITES, "technician", "part")))
        .group_by(SearchWord.table_name, SearchWord.row_id)
        .cte(name)
    )


def _ways_from(hits: CTE) -> Subquery:
    """Every way from a row to a site, with the rank of the row."""
    row_id, rank = hits.c.row_id, hits.c.rank

    def of(table: str) -> ColumnElement[bool]:
        return hits.c.table_name == table

    here = SiteRole.until_on.is_(None)
    return union_all(
        select(row_id.label("site_id"), rank).where(of("site")),
        select(System.site_id, rank).join(hits, System.id == row_id).where(of("system")),
        select(System.site_id, rank)
        .join(Unit, Unit.system_id == System.id)
        .join(hits, Unit.id == row_id)
        .where(of("unit")),
        select(System.site_id, rank)
        .join(ContractSystem, ContractSystem.system_id == System.id)
        .join(hits, ContractSystem.contract_id == row_id)
        .where(of("contract")),
        select(SiteRole.site_id, rank)
        .join(hits, SiteRole.customer_id == row_id)
        .where(of("customer"), here),
        select(SiteRole.site_id, rank)
        .join(Phone, Phone.customer_id == SiteRole.customer_id)
        .join(hits, Phone.id == row_id)
        .where(of("phone"), here),
        select(SiteRole.site_id, rank)
        .join(Contact, Contact.customer_id == SiteRole.customer_id)
        .join(hits, Contact.id == row_id)
        .where(of("contact"), here),
    ).subquery()


def _ways_to(site_ids: Sequence[int]) -> Subquery:
    """Every row that leads to one of these sites."""

    def way(table: str, site_id: Any, row_id: Any) -> Select[Any]:
        names = (site_id.label("site_id"), literal(table).label("table_name"))
        return select(*names, row_id.label("row_id")).where(site_id.in_(site_ids))

    here = SiteRole.until_on.is_(None)
    who = SiteRole.customer_id
    return union_all(
        way("site", Site.id, Site.id),
        way("system", System.site_id, System.id),
        way("unit", System.site_id, Unit.id).join(Unit, Unit.system_id == System.id),
        way("contract", System.site_id, ContractSystem.contract_id).join(
            ContractSystem, ContractSystem.system_id == System.id
        ),
        way("customer", SiteRole.site_id, who).where(here),
        way("phone", SiteRole.site_id, Phone.id).join(Phone, Phone.customer_id == who).where(here),
        way("contact", SiteRole.site_id, Contact.id)
        .join(Contact, Contact.customer_id == who)
        .where(here),
    ).subquery()


def notes(session: Session, text: str, *, limit: int) -> list[Hit]:
    """The latest `limit` visits, jobs, calls and owed things whose texts hold all the words.

    Words of one or two letters are still being typed and do not count; alone they find nothing.
    """
    words = {word for word in words_of(text) if len(word) > 2}
    if not words:
        return []
    if len(words) == 1:
        return _latest_noted(session, words.pop(), limit)
    each = [_noted(word) for word in sorted(words)]
    rows = intersect(*each).subquery()
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


def _latest_noted(session: Session, word: str, limit: int) -> list[Hit]:
    """As `notes` of one word: the latest of each table without sorting all that the word begins."""
    found = [hit for table in NOTES for hit in _latest_in(session, word, table, limit)]
    return sorted(found, key=lambda h: (h.table_name, -h.row_id))


def _latest_in(session: Session, word: str, table: str, limit: int) -> list[Hit]:
    # a row may hold several words that begin so (a number all its ends): some more are read,
    # twice as many again where those were of too few rows
    latest = (
        select(SearchWord.row_id)
        .where(*_begins(word), _table_in((table,)))
        .order_by(SearchWord.row_id.desc())
    )
    n_read = 4 * limit
    while True:
        rows = list(session.scalars(latest.limit(n_read)))
        ids = list(dict.fromkeys(rows))
        if len(ids) >= limit or len(rows) < n_read:
            return [Hit(table, row_id, 1) for row_id in ids[:limit]]
        n_read *= 2


def _noted(word: str) -> Select[str, int]:
    return (
        select(SearchWord.table_name, SearchWord.row_id)
        .where(*_begins(word), _table_in(NOTES))
        .distinct()
    )


def _begins(word: str) -> tuple[ColumnElement[bool], ColumnElement[bool]]:
    return SearchWord.word >= word, SearchWord.word < _upper(word)


def _upper(word: str) -> str:
    """The first text behind all that begin with `word`."""
    return word[:-1] + chr(ord(word[-1]) + 1)


def _table_in(tables: Sequence[str]) -> ColumnElement[bool]:
    # as an expression: SQLite would otherwise read a whole table's words by their index
    return (SearchWord.table_name + "").in_(tables)
