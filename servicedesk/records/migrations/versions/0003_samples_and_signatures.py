"""samples sent to a laboratory, signatures of reports."""

import sqlalchemy as sa
from alembic import op

import servicedesk.records.base

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    _sample()
    _signature()


def _sample() -> None:
    text, day = sa.Text(), sa.Date()
    pointers = (("system_id", "system"), ("visit_id", "visit"), ("laboratory_id", "firm"))
    op.create_table(
        "sample",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("uid", text, nullable=False),
        sa.Column("system_id", sa.Integer(), nullable=False),
        sa.Column("visit_id", sa.Integer(), nullable=True),
        sa.Column("item_id", text, nullable=False),
        sa.Column("taken_on", day, nullable=False),
        sa.Column("taken_by", text, nullable=False),
        sa.Column("laboratory_id", sa.Integer(), nullable=True),
        sa.Column("laboratory_number", text, nullable=False),
        sa.Column("expected_on", day, nullable=False),
        sa.Column("rule_id", text, nullable=True),
        sa.Column("rule_version", text, nullable=True),
        sa.Column("limit_low", text, nullable=True),
        sa.Column("limit_high", text, nullable=True),
        sa.Column("known_at", servicedesk.records.base.UtcInstant(), nullable=True),
        sa.Column("value", text, nullable=False),
        sa.Column("unit", text, nullable=False),
        sa.Column("qualifier", text, nullable=False),
        sa.Column("lost_why", text, nullable=False),
        sa.Column("note", text, nullable=False),
        *(
            sa.ForeignKeyConstraint(
                [name], [f"{target}.id"], name=op.f(f"fk_sample_{name}"), ondelete="RESTRICT"
            )
            for name, target in pointers
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sample")),
        sa.UniqueConstraint("uid", name=op.f("uq_sample_uid")),
        sqlite_autoincrement=True,
    )
    for name in ("system_id", "visit_id", "laboratory_id", "taken_on"):
        op.create_index(op.f(f"ix_sample_{name}"), "sample", [name], unique=False)


def _signature() -> None:
    op.create_table(
        "report_signature",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("signed_by", sa.Text(), nullable=False),
        sa.Column("license", sa.Text(), nullable=False),
        sa.Column("signed_at", servicedesk.records.base.UtcInstant(), nullable=False),
        sa.ForeignKeyConstraint(
            ["job_id"], ["job.id"], name=op.f("fk_report_signature_job_id"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_report_signature")),
        sqlite_autoincrement=True,
    )
    op.create_index(
        op.f("ix_report_signature_job_id"), "report_signature", ["job_id"], unique=False
    )
