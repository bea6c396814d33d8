"""trouble that comes back: what an alert is about, own knowledge, visits of a permit."""

from alembic import op
import sqlalchemy as sa

import servicedesk.records.base

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

# a table made anew on SQLite must go on never giving a key out twice, also of rows that went
ANEW = {"sqlite_autoincrement": True}


def upgrade() -> None:
    op.create_table(
        "own_entry",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("kind_of", sa.Text(), nullable=False),
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("body", sa.JSON(none_as_null=True), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("ended_on", sa.Date(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_own_entry")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_own_entry_kind_of"), "own_entry", ["kind_of"], unique=False)
    op.create_index(op.f("ix_own_entry_entry_id"), "own_entry", ["entry_id"], unique=False)
    op.add_column("system", sa.Column("permit_visits", sa.Integer(), nullable=True))
    op.add_column(
        "company", sa.Column("learn_since_at", servicedesk.records.base.UtcInstant(), nullable=True)
    )
    _alert()


def _alert() -> None:
    # alerts that stand get the empty text; new ones get theirs from the program, not from here
    for name in ("symptom", "judged"):
        op.add_column("alert", sa.Column(name, sa.Text(), nullable=False, server_default=""))
    highest = _highest_key("alert")
    with op.batch_alter_table("alert", table_kwargs=ANEW) as batch:
        for name in ("symptom", "judged"):
            batch.alter_column(name, existing_type=sa.Text(), server_default=None)
        for name, target in (("site_id", "site"), ("call_id", "call"), ("settled_call_id", "call")):
            batch.add_column(sa.Column(name, sa.Integer(), nullable=True))
            batch.create_foreign_key(
                op.f(f"fk_alert_{name}"), target, [name], ["id"], ondelete="RESTRICT"
            )
            batch.create_index(op.f(f"ix_alert_{name}"), [name], unique=False)
    _keep_highest_key("alert", highest)


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
