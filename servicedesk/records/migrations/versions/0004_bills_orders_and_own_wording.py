"""bills with their source, orders of parts, contracts that change hands, own wording of letters.

And a wider index of the words that are looked for.
"""

import sqlalchemy as sa
from alembic import op

import servicedesk.records.base

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

# a table made anew on SQLite must go on never giving a key out twice, also of rows that went
ANEW = {"sqlite_autoincrement": True}


def upgrade() -> None:
    _part_order()
    op.add_column("part", sa.Column("lead_days", sa.Integer(), nullable=True))
    op.add_column("part_line", sa.Column("price_minor", sa.Integer(), nullable=True))
    _written("company", "texts", sa.JSON(none_as_null=True), "{}")
    for name in ("kind_of", "waived_why"):
        op.add_column("bill_line", sa.Column(name, sa.Text(), nullable=False, server_default=""))
    _pointers(
        "bill_line",
        (("visit_id", "visit"), ("part_line_id", "part_line")),
        plain=("kind_of", "waived_why"),
    )
    _pointers("contract", (("taken_from_id", "firm"), ("handed_to_id", "firm")))
    _words_covered()


def _part_order() -> None:
    day = sa.Date()
    op.create_table(
        "part_order",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("supplier_id", sa.Integer(), nullable=True),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("unit_cost_minor", sa.Integer(), nullable=True),
        sa.Column("ordered_on", day, nullable=False),
        sa.Column("expected_on", day, nullable=True),
        sa.Column("arrived_on", day, nullable=True),
        sa.Column("given_up_on", day, nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        *(
            sa.ForeignKeyConstraint(
                [name], [f"{target}.id"], name=op.f(f"fk_part_order_{name}"), ondelete="RESTRICT"
            )
            for name, target in (("part_id", "part"), ("supplier_id", "firm"))
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part_order")),
        sa.UniqueConstraint("uid", name=op.f("uq_part_order_uid")),
        sqlite_autoincrement=True,
    )
    for name in ("part_id", "supplier_id", "number"):
        op.create_index(op.f(f"ix_part_order_{name}"), "part_order", [name], unique=False)


def _words_covered() -> None:
    """The index of words holds all that a look-up reads of a row."""
    name = op.f("ix_search_word_word")
    op.drop_index(name, table_name="search_word")
    op.create_index(name, "search_word", ["word", "table_name", "row_id", "weight"], unique=False)


def _written(table: str, name: str, kind: sa.types.TypeEngine[object], empty: str) -> None:
    """A column that is never empty: rows that stand get `empty`, new ones what the program says."""
    op.add_column(table, sa.Column(name, kind, nullable=False, server_default=empty))
    _made_anew(table, plain=(name,), kind=kind)


def _pointers(
    table: str, pointers: tuple[tuple[str, str], ...], plain: tuple[str, ...] = ()
) -> None:
    _made_anew(table, pointers, plain)


def _made_anew(
    table: str,
    pointers: tuple[tuple[str, str], ...] = (),
    plain: tuple[str, ...] = (),
    kind: sa.types.TypeEngine[object] | None = None,
) -> None:
    highest = _highest_key(table)
    with op.batch_alter_table(table, table_kwargs=ANEW) as batch:
        for name in plain:
            batch.alter_column(name, existing_type=kind or sa.Text(), server_default=None)
        for name, target in pointers:
            batch.add_column(sa.Column(name, sa.Integer(), nullable=True))
            batch.create_foreign_key(
                op.f(f"fk_{table}_{name}"), target, [name], ["id"], ondelete="RESTRICT"
            )
            batch.create_index(op.f(f"ix_{table}_{name}"), [name], unique=False)
    _keep_highest_key(table, highest)


def _highest_key(table: str) -> int:
    """The highest key that SQLite ever gave out there; 0 elsewhere, where nothing is made anew."""
    if op.get_bind().dialect.name != "sqlite":
        return 0
    asked = sa.text("SELECT seq FROM sqlite_sequence WHERE name = :t")
    return int(op.get_bind().execute(asked, {"t": table}).scalar() or 0)


def _keep_highest_key(table: str, highest: int) -> None:
    if highest:
        values = {"t": table, "n": highest}
        op.get_bind().execute(sa.text("DELETE FROM sqlite_sequence WHERE name = :t"), values)
        op.get_bind().execute(sa.text("INSERT INTO sqlite_sequence VALUES (:t, :n)"), values)
