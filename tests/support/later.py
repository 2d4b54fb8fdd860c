"""A version of this program that knows one schema revision more, so that there is something to upgrade to."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path
from unittest.mock import patch

from alembic.config import Config
from sqlalchemy import Connection

from partsdb.store import opening, schema

LATER = "9001"
_FOLDER = Path(__file__).with_name("later_revisions")
_settings = opening.alembic_config


@contextlib.contextmanager
def later_version() -> Iterator[None]:
    """Inside, the program's newest revision is the made-up one that follows today's."""
    with (
        patch.object(schema, "REVISIONS", (*schema.REVISIONS, LATER)),
        patch.object(opening, "alembic_config", _with_later),
    ):
        yield


def _with_later(connection: Connection) -> Config:
    config = _settings(connection)
    config.set_main_option("path_separator", "newline")
    config.set_main_option("version_locations", f"partsdb.migrations:versions\n{_FOLDER}")
    return config
