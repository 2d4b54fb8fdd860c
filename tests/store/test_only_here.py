"""SQL stays in the store, and what only SQLite understands in one module of it."""

from __future__ import annotations

import ast
from pathlib import Path

SPEAKERS = ("sqlalchemy", "sqlite3", "alembic")
STATEMENTS = ("PRAGMA", "INSERT", "SELECT", "BEGIN", "ROLLBACK")
ROOT = Path(__file__).resolve().parents[2]
STORE = ROOT / "partsdb" / "store"
ELSEWHERE = sorted(
    path
    for folder in ("partsdb", "importers", "seed_data")
    for path in (ROOT / folder).rglob("*.py")
    if STORE not in path.parents
)
NOT_DIALECT = sorted(path for path in STORE.glob("*.py") if path.name != "dialect.py")


def imported(path: Path) -> set[str]:
    """The names of the modules a file imports."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        if isinstance(node, ast.ImportFrom):
            found |= {f"{node.module}.{alias.name}" for alias in node.names} | {str(node.module)}
    return found


def texts(path: Path) -> list[str]:
    """The string constants of a file that aren't docstrings."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docs = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    return [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs
    ]


def test_nothing_outside_the_store_speaks_sql() -> None:
    speaking = {
        path.name: name for path in ELSEWHERE for name in imported(path) if name.split(".")[0] in SPEAKERS
    }
    assert speaking == {}


def test_what_only_sqlite_understands_is_in_the_dialect_module() -> None:
    for path in NOT_DIALECT:
        assert not [name for name in imported(path) if name.startswith("sqlite3") or "dialects" in name], path
        assert not [text for text in texts(path) if text.startswith(STATEMENTS)], path
        assert "exec_driver_sql" not in path.read_text(encoding="utf-8"), path


def test_there_is_something_to_look_at() -> None:
    assert len(ELSEWHERE) > 50
    assert {"repository.py", "writing.py"} <= {path.name for path in NOT_DIALECT}
    assert imported(STORE / "dialect.py") >= {"sqlite3"}
