"""One more migration for tests only: upgrading must work before the next real step is written."""

import shutil
from importlib.resources import files
from pathlib import Path

from servicedesk.records import schema

TODAY = schema.HEAD
NEXT = f"{int(TODAY) + 1:04}"
STEP = f'''"""A step of the tests: a plain new column and a column made not empty in place."""

import sqlalchemy as sa
from alembic import op

revision = "{NEXT}"
down_revision = "{TODAY}"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("part", sa.Column("shelf_life_days", sa.Integer(), nullable=True))
    with op.batch_alter_table("site") as batch:
        batch.alter_column("note", existing_type=sa.Text(), nullable=True)
'''


def with_one_more_step(folder: Path, step: str = STEP) -> Path:
    """A copy of the program's migrations with one more step, for `schema` to look at."""
    copy = folder / "migrations"
    shutil.copytree(str(files("servicedesk.records").joinpath("migrations")), copy)
    (copy / "versions" / f"{NEXT}_a_step_of_the_tests.py").write_text(step, encoding="utf-8")
    return copy
