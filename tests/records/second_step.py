"""A second migration for tests only: there is but one step yet, and upgrading must work before the next."""

import shutil
from importlib.resources import files
from pathlib import Path

STEP = '''"""A step of the tests: a plain new column and a column made not empty in place."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("part", sa.Column("shelf_life_days", sa.Integer(), nullable=True))
    with op.batch_alter_table("site") as batch:
        batch.alter_column("note", existing_type=sa.Text(), nullable=True)
'''


def with_a_second_step(folder: Path, step: str = STEP) -> Path:
    """A copy of the program's migrations with one more step, for `schema` to look at."""
    copy = folder / "migrations"
    shutil.copytree(str(files("servicedesk.records").joinpath("migrations")), copy)
    (copy / "versions" / "0002_a_step_of_the_tests.py").write_text(step, encoding="utf-8")
    return copy
