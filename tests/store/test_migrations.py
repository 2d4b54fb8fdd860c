"""The migrations build exactly the tables the store works with, one step at a time, up and down."""

from __future__ import annotations

import contextlib
import re
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from alembic import command
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory

from partsdb.store import dialect, opening
from partsdb.store.schema import METADATA, REVISIONS
from support import stored
from support.later import LATER, later_version

ROOT = Path(__file__).resolve().parents[2]


def _migrate(path: Path, target: str) -> None:
    engine = dialect.engine(path, 5, foreign_keys=False)
    with engine.connect().execution_options(write=True) as connection, connection.begin():
        config = opening.alembic_config(connection)
        present = MigrationContext.configure(connection).get_current_revision()
        if target != "base" and (present is None or present < target):
            command.upgrade(config, target)
        else:
            command.downgrade(config, target)
    engine.dispose()


def _tables(path: Path) -> dict[str, str]:
    """Every table and index of the file with its SQL, spacing, column order and defaults' quotes made alike."""
    with contextlib.closing(sqlite3.connect(path)) as raw:
        rows = raw.execute(
            "SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL AND name <> 'alembic_version'"
        )
        return {name: _alike(sql) for name, sql in rows}


def _alike(sql: str) -> str:
    """Column clauses sorted, inline checks as clauses of their own: SQL that means the same compares equal."""
    head, _, body = re.sub(r"\s+", " ", sql).replace('"', "").partition("(")
    body = re.sub(r" (CONSTRAINT ck_)", r", \1", body.rstrip(" )"))
    clauses = [clause.strip() for clause in re.split(r",(?![^(]*\))", body)]
    return head + " | ".join(sorted(re.sub(r"\s*\)$", "", clause) for clause in clauses if clause))


def test_there_is_one_line_of_revisions_and_the_program_knows_it() -> None:
    engine = dialect.engine(Path(":memory:"), 1)
    with engine.connect() as connection:
        scripts = ScriptDirectory.from_config(opening.alembic_config(connection))
    engine.dispose()
    assert scripts.get_heads() == [REVISIONS[-1]]
    assert tuple(script.revision for script in scripts.walk_revisions())[::-1] == REVISIONS


def test_migrating_from_nothing_gives_the_tables_of_the_store(tmp_path: Path) -> None:
    _migrate(tmp_path / "migrated.db", REVISIONS[-1])
    engine = dialect.engine(tmp_path / "made.db", 5)
    METADATA.create_all(engine)
    engine.dispose()
    assert _tables(tmp_path / "migrated.db") == _tables(tmp_path / "made.db")


def test_a_later_revision_follows_and_goes_back(tmp_path: Path) -> None:
    path = stored.filled(tmp_path)
    before = _tables(path)
    with later_version():
        _migrate(path, LATER)
        assert "first_made_up" in _tables(path)
        _migrate(path, REVISIONS[-1])
    assert _tables(path) == before


def test_alembic_finds_nothing_to_change(tmp_path: Path) -> None:
    stored.opened(tmp_path).close()
    engine = dialect.engine(tmp_path / "parts.db", 5)
    with engine.connect() as connection:
        command.check(opening.alembic_config(connection))
    engine.dispose()


@pytest.mark.parametrize("revision", REVISIONS)
def test_each_revision_goes_down_and_up_again(tmp_path: Path, revision: str) -> None:
    path = tmp_path / "parts.db"
    _migrate(path, revision)
    before = _tables(path)
    at = REVISIONS.index(revision)
    _migrate(path, REVISIONS[at - 1] if at else "base")
    assert _tables(path) != before
    _migrate(path, revision)
    assert _tables(path) == before


def test_the_developers_command_compares_with_the_newest_revision() -> None:
    alembic = Path(sys.executable).with_name("alembic")
    ran = subprocess.run([alembic, "check"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout + ran.stderr
