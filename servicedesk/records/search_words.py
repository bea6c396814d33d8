"""The derived table behind search: folded words of what can be looked for."""

from sqlalchemy import Index, Text
from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Kind, Record


class SearchWord(Record):
    """One folded word that leads to a record."""

    __tablename__ = "search_word"
    kind = Kind.DERIVED
    # compared by code point on both databases; SQLite does so by itself
    word: Mapped[str] = mapped_column(Text().with_variant(Text(collation="C"), "postgresql"))
    table_name: Mapped[str]
    row_id: Mapped[int]
    site_id: Mapped[int | None]
    weight: Mapped[int] = mapped_column(default=1)
    __table_args__ = (
        # all that a look-up by word reads: a word typed short begins thousands of rows
        Index("ix_search_word_word", "word", "table_name", "row_id", "weight"),
        Index("ix_search_word_row", "table_name", "row_id"),
        {"sqlite_autoincrement": True},
    )
