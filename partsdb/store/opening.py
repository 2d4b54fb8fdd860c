"""Opening the database: made, checked and brought up to date by the program itself."""

from __future__ import annotations

import contextlib
import os
import uuid
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, insert, select

from partsdb.errors import StoreTrouble
from partsdb.store import dialect, schema
from partsdb.store.columns import moment_text
from partsdb.store.repository import Store

if TYPE_CHECKING:
    from alembic.config import Config

PATIENCE = 5.0
"""How long to wait for another writer [s]."""


def default_path() -> Path:
    """The database's place: PARTSDB_DB, or parts.db in the user's data folder."""
    named = os.environ.get("PARTSDB_DB")
    if named:
        return Path(named).expanduser()
    from platformdirs import user_data_path

    return user_data_path("partsdb", appauthor=False) / "parts.db"


def open_store(path: Path, *, now: datetime, wait: float = PATIENCE) -> Store:
    """Opens the database, making or upgrading it first where that is needed. Use it as a context manager.

    An upgrade first makes a copy beside the file. wait: patience with another writer [s]. Raises StoreTrouble
    with one line that says what to do: not a database, damaged, newer than this program, read-only, full, locked.
    """
    with dialect.explained(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        revision = dialect.revision_of(path, wait)
        refuse_unknown(revision, path)
        if revision != schema.REVISIONS[-1]:
            _bring_up_to_date(path, now, wait)
        engine = dialect.engine(path, wait)
        with engine.connect() as connection:
            connection.execute(select(schema.meta.c.version)).scalar_one()
        return Store(engine, path)


def refuse_unknown(revision: str | None, path: Path) -> None:
    """Raises StoreTrouble for a database whose schema this program can't upgrade: a draft's, or a newer one's."""
    if revision in schema.DRAFTS:
        raise StoreTrouble(
            f"{path} was made before the first release (schema {revision}) and can't be upgraded",
            "Export it with the version that used it last (partsdb export FOLDER), then bring that in with this one "
            "(partsdb bring-back FOLDER --into NEW.db)",
        )
    if revision is not None and revision not in schema.REVISIONS:
        raise StoreTrouble(
            f"{path} was made by a newer version of this program (schema {revision})",
            "Update the program, or name another file with --db",
        )


def backup_name(path: Path, revision: str, now: datetime) -> Path:
    """Where the copy goes that is made before an upgrade."""
    return path.with_name(f"{path.stem}-schema{revision}-{now:%Y%m%dT%H%M%S}{path.suffix}")


def _bring_up_to_date(path: Path, now: datetime, wait: float) -> None:
    """One transaction: another program that opens the file meanwhile waits, and a kill leaves it as it was.

    The copy of an upgrade that fails goes again: on a full disk the next attempt needs its room.
    """
    engine = dialect.engine(path, wait, foreign_keys=False)
    made: list[Path] = []
    try:
        with engine.connect().execution_options(write=True) as connection, connection.begin():
            revision = dialect.revision_of(path, wait)
            refuse_unknown(revision, path)
            if revision == schema.REVISIONS[-1]:
                return
            if revision is not None:
                dialect.copy(path, backup_name(path, revision, now), wait)
                made.append(backup_name(path, revision, now))
            _upgrade(connection)
            if revision is None:
                fresh = {
                    "id": 1,
                    "database_id": str(uuid.uuid4()),
                    "version": 0,
                    "created_at": moment_text(now),
                }
                connection.execute(insert(schema.meta).values(fresh))
            if dialect.dangling(connection):
                raise StoreTrouble(f"the records of {path} don't fit together", "Nothing was changed")
    except BaseException:
        for copy in made:
            copy.unlink(missing_ok=True)
        raise
    finally:
        engine.dispose()


def _upgrade(connection: Connection, revision: str = "head") -> None:
    from alembic import command

    command.upgrade(alembic_config(connection), revision)


@contextlib.contextmanager
def build(path: Path, revision: str) -> Iterator[Connection]:
    """The empty tables of a revision in a new file, to be filled in the same transaction. Foreign keys are off."""
    engine = dialect.engine(path, PATIENCE, foreign_keys=False)
    try:
        with engine.connect().execution_options(write=True) as connection, connection.begin():
            _upgrade(connection, revision)
            yield connection
    finally:
        engine.dispose()


def alembic_config(connection: Connection) -> Config:
    """Alembic's settings for the packaged migrations, run in the transaction of that connection."""
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", "partsdb.migrations:")
    config.attributes["connection"] = connection
    config.attributes["metadata"] = schema.METADATA
    return config
