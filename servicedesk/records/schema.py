"""Makes the tables, and brings an older store up to date. Alembic does the work."""

from importlib.resources import files
from importlib.resources.abc import Traversable

from sqlalchemy import Connection, inspect, text

HEAD = "0004"  # the newest step under migrations/versions; a test holds it true
MIGRATIONS: Traversable = files("servicedesk.records").joinpath("migrations")


def version_of(connection: Connection) -> str | None:
    """The version of the tables in this database, None if it holds none of ours."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    row = connection.execute(text("SELECT version_num FROM alembic_version")).first()
    return None if row is None else str(row[0])


def known_versions() -> tuple[str, ...]:
    """All steps this program knows, oldest first."""
    names = (entry.name for entry in MIGRATIONS.joinpath("versions").iterdir())
    return tuple(sorted(n.split("_")[0] for n in names if n[:4].isdigit()))


def upgrade(connection: Connection) -> None:
    """Run the steps that are missing, inside the caller's transaction."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    # a percent sign in the folder's name would be read as a placeholder
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, HEAD)
