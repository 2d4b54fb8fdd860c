"""Opening a database: made by itself, upgraded with a copy beside it, and one clear line when it can't be used."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from partsdb.errors import StoreTrouble
from partsdb.records import Machine, Part
from partsdb.store import default_path, open_store, restore
from partsdb.store.schema import DRAFTS, REVISIONS
from support import stored
from support.later import LATER, later_version


@pytest.fixture
def guarded() -> Iterator[Path]:
    """A folder that this process may read but not write, also when the tests run as root."""
    with tempfile.TemporaryDirectory() as outer:
        Path(outer).chmod(0o755)
        folder = Path(outer) / "guarded"
        folder.mkdir()
        with stored.opened(folder) as store:
            store.put(Machine("m", "Strander"))
        folder.chmod(0o555)
        for file in folder.iterdir():
            file.chmod(0o444)
        with _as_nobody():
            yield folder
        folder.chmod(0o755)


@contextlib.contextmanager
def _as_nobody() -> Iterator[None]:
    me = os.geteuid()
    if me == 0:
        os.seteuid(65534)
    try:
        yield
    finally:
        if me == 0:
            os.seteuid(0)


def _one_line(caught: pytest.ExceptionInfo[StoreTrouble], *words: str) -> None:
    said = str(caught.value)
    assert "\n" not in said
    assert caught.value.do
    for word in words:
        assert word in said


def test_a_missing_database_is_made_with_its_folder(tmp_path: Path) -> None:
    path = tmp_path / "not" / "there" / "parts.db"
    with open_store(path, now=stored.NOW) as store:
        assert store.version() == 0
        assert store.shop() is None
    assert path.exists()


def test_an_empty_file_becomes_a_database(tmp_path: Path) -> None:
    path = tmp_path / "parts.db"
    path.touch()
    with open_store(path, now=stored.NOW) as store:
        assert store.all(Machine) == ()


def test_opening_again_finds_the_same_database(tmp_path: Path) -> None:
    with stored.opened(tmp_path) as store:
        store.put(Machine("m", "Strander"))
        first = store.database_id()
    with stored.opened(tmp_path) as store:
        assert store.database_id() == first
        assert store.get(Machine, "m").name == "Strander"


def test_the_environment_names_the_database(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PARTSDB_DB", str(tmp_path / "mine.db"))
    assert default_path() == tmp_path / "mine.db"
    monkeypatch.delenv("PARTSDB_DB")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert default_path().name == "parts.db"


def test_an_up_to_date_database_opens_without_alembic(tmp_path: Path) -> None:
    stored.opened(tmp_path).close()
    code = (
        "import sys; from pathlib import Path; from datetime import UTC, datetime;"
        "from partsdb.store import open_store;"
        f"open_store(Path({str(tmp_path / 'parts.db')!r}), now=datetime.now(UTC)).close();"
        "sys.exit('alembic' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_an_older_database_is_upgraded_and_a_copy_is_kept(tmp_path: Path) -> None:
    path = stored.filled(tmp_path)
    with later_version(), open_store(path, now=stored.NOW) as store:
        assert store.get(Machine, "m").name == "Strander"
        assert store.get(Part, "p") == stored.plain_part()
        store.put(Machine("n", "Winder"))
    with contextlib.closing(sqlite3.connect(path)) as raw:
        assert raw.execute("SELECT version_num FROM alembic_version").fetchone() == (LATER,)
        assert raw.execute("SELECT name FROM first_made_up").fetchall() == [("Strander",)]
    (copy,) = tmp_path.glob("parts-schema*.db")
    assert copy.name == f"parts-schema{REVISIONS[-1]}-20261125T100000.db"
    with contextlib.closing(sqlite3.connect(copy)) as raw:
        assert raw.execute("SELECT version_num FROM alembic_version").fetchone() == (REVISIONS[-1],)
        assert raw.execute("SELECT name FROM machines").fetchall() == [("Strander",)]


def test_an_older_database_that_cant_be_upgraded_stays_as_it_was(tmp_path: Path) -> None:
    path = stored.filled(tmp_path)
    with contextlib.closing(sqlite3.connect(path)) as raw:
        raw.execute("CREATE TABLE second_made_up (other TEXT)")  # the upgrade will stumble over it half way
        raw.commit()
    with later_version(), pytest.raises(StoreTrouble) as caught:
        open_store(path, now=stored.NOW)
    _one_line(caught, "can't be used")
    with contextlib.closing(sqlite3.connect(path)) as raw:
        names = {row[0] for row in raw.execute("SELECT name FROM sqlite_master")}
        assert raw.execute("SELECT version_num FROM alembic_version").fetchone() == (REVISIONS[-1],)
    assert "first_made_up" not in names
    assert not list(tmp_path.glob("parts-schema*.db"))


@pytest.mark.parametrize("revision", DRAFTS)
def test_a_database_of_a_draft_is_refused_with_the_way_to_bring_it_over(
    tmp_path: Path, revision: str
) -> None:
    path = stored.filled(tmp_path)
    with contextlib.closing(sqlite3.connect(path)) as raw:
        raw.execute("UPDATE alembic_version SET version_num = ?", (revision,))
        raw.commit()
    before = path.read_bytes()
    with pytest.raises(StoreTrouble) as caught:
        open_store(path, now=stored.NOW)
    _one_line(caught, "before the first release", f"schema {revision}")
    assert "partsdb export" in caught.value.do
    assert "partsdb bring-back" in caught.value.do
    with pytest.raises(StoreTrouble, match="before the first release"):
        restore(path, tmp_path / "other.db", stored.NOW)
    assert path.read_bytes() == before


def test_a_newer_database_is_refused_and_left_alone(tmp_path: Path) -> None:
    stored.opened(tmp_path).close()
    path = tmp_path / "parts.db"
    with contextlib.closing(sqlite3.connect(path)) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '9999'")
        raw.commit()
    before = path.read_bytes()
    with pytest.raises(StoreTrouble) as caught:
        open_store(path, now=stored.NOW)
    _one_line(caught, "newer", "9999", "Update")
    assert path.read_bytes() == before


def test_a_file_that_is_no_database_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "parts.db"
    path.write_text("designation,quantity\n6206,3\n" * 100)
    with pytest.raises(StoreTrouble) as caught:
        open_store(path, now=stored.NOW)
    _one_line(caught, "not a database")
    assert path.read_text().startswith("designation")


def test_another_programs_database_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "parts.db"
    with contextlib.closing(sqlite3.connect(path)) as raw:
        raw.execute("CREATE TABLE songs (title TEXT)")
    before = path.read_bytes()
    with pytest.raises(StoreTrouble) as caught:
        open_store(path, now=stored.NOW)
    _one_line(caught, "another program")
    assert path.read_bytes() == before


def test_a_damaged_database_says_so(tmp_path: Path) -> None:
    with stored.opened(tmp_path) as store:
        store.put(*(stored.plain_part(f"p{i}", f"ZQ {i}") for i in range(500)))
    path = tmp_path / "parts.db"
    pages = bytearray(path.read_bytes())
    pages[8192:] = os.urandom(len(pages) - 8192)
    path.write_bytes(pages)
    with pytest.raises(StoreTrouble) as caught, open_store(path, now=stored.NOW) as store:
        store.all(Part)
    _one_line(caught, "damaged", "backup")


def test_a_folder_that_may_not_be_written_says_so(guarded: Path) -> None:
    with pytest.raises(StoreTrouble) as caught:
        open_store(guarded / "new.db", now=stored.NOW)
    _one_line(caught, str(guarded), "--db")


def test_a_read_only_database_says_so_when_it_is_written(guarded: Path) -> None:
    with pytest.raises(StoreTrouble) as caught, open_store(guarded / "parts.db", now=stored.NOW) as store:
        store.put(Machine("m2", "Winder"))
    _one_line(caught, str(guarded), "--db")


def test_a_folder_in_the_place_of_the_database_says_so(tmp_path: Path) -> None:
    (tmp_path / "parts.db").mkdir()
    with pytest.raises(StoreTrouble) as caught:
        open_store(tmp_path / "parts.db", now=stored.NOW)
    _one_line(caught, "parts.db")


def test_a_locked_database_says_so_and_nothing_is_changed(tmp_path: Path) -> None:
    stored.opened(tmp_path).close()
    path = tmp_path / "parts.db"
    with contextlib.closing(sqlite3.connect(path)) as other:
        other.isolation_level = None
        other.execute("BEGIN IMMEDIATE")
        with open_store(path, now=stored.NOW, wait=0.05) as store:
            with pytest.raises(StoreTrouble) as caught:
                store.put(Machine("m", "Strander"))
            _one_line(caught, "another program", "try again")
            assert store.all(Machine) == ()
            other.execute("ROLLBACK")
            store.put(Machine("m", "Strander"))
            assert store.get(Machine, "m").name == "Strander"


def test_a_full_disk_says_so_and_nothing_is_changed(tmp_path: Path) -> None:
    with stored.opened(tmp_path) as store:
        store.put(Machine("m", "Strander"))
        version = store.version()
        with store.engine.connect() as connection:  # SQLite's own "disk is full", on this one connection
            pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
            connection.exec_driver_sql(f"PRAGMA max_page_count = {pages + 2}")
        with pytest.raises(StoreTrouble) as caught:
            store.put(*(stored.plain_part(f"p{i}", "Z" * 500) for i in range(500)))
        _one_line(caught, "full", "make room")
        assert store.all(Part) == ()
        assert store.version() == version


def test_two_programs_that_make_the_same_database_at_once_make_one(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from datetime import UTC, datetime;"
        "from partsdb.records import Machine; from partsdb.store import open_store;"
        "store = open_store(Path(sys.argv[1]), now=datetime.now(UTC));"
        "store.put(Machine(sys.argv[2], 'Strander')); print(store.database_id())"
    )
    command = [sys.executable, "-c", code, str(tmp_path / "parts.db")]
    racers = [subprocess.Popen([*command, f"m{i}"], stdout=subprocess.PIPE, text=True) for i in range(4)]
    said = {racer.communicate()[0] for racer in racers}
    assert [racer.returncode for racer in racers] == [0] * 4
    assert len(said) == 1
    with stored.opened(tmp_path) as store:
        assert store.count(Machine) == 4
        assert store.version() == 4


def test_two_programs_that_write_at_once_both_get_everything_in(tmp_path: Path) -> None:
    stored.opened(tmp_path).close()
    code = (
        "import sys; from pathlib import Path; from datetime import UTC, datetime;"
        "from partsdb.records import Machine; from partsdb.store import open_store;"
        "store = open_store(Path(sys.argv[1]), now=datetime.now(UTC), wait=30);"
        "[store.put(Machine(sys.argv[2] + str(i), 'Winder')) for i in range(40)]"
    )
    command = [sys.executable, "-c", code, str(tmp_path / "parts.db")]
    writers = [subprocess.Popen([*command, name]) for name in ("a", "b")]
    assert [writer.wait() for writer in writers] == [0, 0]
    with stored.opened(tmp_path) as store:
        assert store.count(Machine) == 80
        assert store.version() == 80


def test_the_known_revisions_are_in_order() -> None:
    assert list(REVISIONS) == sorted(REVISIONS)
