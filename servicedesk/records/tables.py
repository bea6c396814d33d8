"""All tables in one place, so that metadata is complete wherever it is needed."""

from functools import cache

from servicedesk.records import (  # noqa: F401 (importing makes the tables known)
    alerts,
    attachments,
    calls,
    changes,
    company,
    contracts,
    equipment,
    owed,
    own_entries,
    papers_sent,
    parts,
    people,
    rounds,
    samples,
    search_words,
    sites,
    told,
    visits,
)
from servicedesk.records.base import Kind, Record


@cache
def models(*kinds: Kind) -> tuple[type[Record], ...]:
    """The mapped classes of the given kinds (all, if none is given), in order of dependence."""
    by_table = {
        str(mapper.class_.__tablename__): mapper.class_ for mapper in Record.registry.mappers
    }
    ordered = [by_table[t.name] for t in Record.metadata.sorted_tables if t.name in by_table]
    return tuple(m for m in ordered if not kinds or m.kind in kinds)


@cache
def model_of(table_name: str) -> type[Record]:
    """The mapped class of a table. Raises KeyError for a name that is no table."""
    return {m.__tablename__: m for m in models()}[table_name]
