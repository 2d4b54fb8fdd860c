"""Alembic's entry: runs the revisions on the connection the store hands in.

Only the developer's `alembic` command comes without one; it gets a throw-away database in memory, at the newest
revision, which is what `alembic check` and `alembic revision --autogenerate` compare with the store's tables.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

from alembic import context
from alembic.operations import Operations
from alembic.runtime.migration import MigrationContext
from sqlalchemy import Connection, MetaData, create_engine


def _tables() -> MetaData:
    """The tables to compare with. Named by text: migrations must not depend on today's tables."""
    handed: MetaData | None = context.config.attributes.get("metadata")
    if handed is not None:
        return handed
    found: MetaData = import_module("partsdb.store.schema").METADATA
    return found


def _run(connection: Connection) -> None:
    settings: dict[str, Any] = {"target_metadata": _tables(), "render_as_batch": True, "compare_type": True}
    context.configure(connection=connection, compare_server_default=True, **settings)
    with context.begin_transaction():
        context.run_migrations()


def _newest(connection: Connection) -> None:
    """Builds the newest revision, for a developer who wants to see what has changed since."""
    at = MigrationContext.configure(connection)
    with Operations.context(at):
        for script in reversed(list(context.script.walk_revisions())):
            script.module.upgrade()
    at.stamp(context.script, "head")


handed_in: Connection | None = context.config.attributes.get("connection")
if handed_in is not None:
    _run(handed_in)
else:
    with create_engine("sqlite://").connect() as fresh:
        _newest(fresh)
        _run(fresh)
