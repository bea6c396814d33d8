"""Called by Alembic: runs the steps on the connection that `records.schema` hands over."""

from alembic import context

from servicedesk.records.base import Record

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Record.metadata,
    transactional_ddl=True,
    compare_type=True,
)
context.run_migrations()
