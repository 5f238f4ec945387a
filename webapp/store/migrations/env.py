"""Alembic runs this to migrate the connection that webapp.store.database hands over."""

from alembic import context
from sqlmodel import SQLModel

import webapp.store.tables  # noqa: F401  fills the metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=SQLModel.metadata,
    render_as_batch=True,  # SQLite alters a table by making it anew
)
with context.begin_transaction():
    context.run_migrations()
