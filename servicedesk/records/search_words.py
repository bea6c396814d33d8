"""The derived table behind search: folded words of what can be looked for."""

from sqlalchemy import Index
from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Kind, Record


class SearchWord(Record):
    """One folded word that leads to a record."""

    __tablename__ = "search_word"
    kind = Kind.DERIVED
    word: Mapped[str]
    table_name: Mapped[str]
    row_id: Mapped[int]
    site_id: Mapped[int | None]
    weight: Mapped[int] = mapped_column(default=1)
    __table_args__ = (
        Index("ix_search_word_word", "word", postgresql_ops={"word": "text_pattern_ops"}),
        Index("ix_search_word_row", "table_name", "row_id"),
        {"sqlite_autoincrement": True},
    )
