"""The records kept safe through the commands: copies, going back, everything out and in; and every kind of trouble."""

from __future__ import annotations

import contextlib
import json
import os
import sqlite3
import tempfile
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest
from sqlalchemy import event

from partsdb.records import Succession
from partsdb.store import dialect, logical_dump, open_store
from partsdb.store.schema import DRAFTS
from support import stored
from support.commands import Ran, partsdb


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder the person works in; nobody waits long for another writer."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("partsdb.store.open_store", partial(open_store, wait=0.05))
    return tmp_path


def dump(db: Path) -> list[str]:
    with open_store(db, now=stored.NOW) as store:
        return list(logical_dump(store))


def done(line: str, db: Path) -> Ran:
    ran = partsdb(line, db)
    assert (ran.code, ran.err) == (0, ""), ran
    return ran


def refused(line: str, db: Path, *words: str) -> None:
    """The command ends with one clear line that has those words, and nothing else."""
    ran = partsdb(line, db)
    assert (ran.code, ran.out) == (2, ""), ran
    assert ran.err.count("\n") == 1
    assert "Traceback" not in ran.err
    for word in words:
        assert word in ran.err


def test_a_backup_brings_everything_back_and_what_was_there_is_kept_aside(shop):
    before = dump(shop)
    done("backup", shop)
    done("machine add winder --year 1948", shop)
    after = dump(shop)
    told = json.loads(done("restore newest --json", shop).out)
    assert dump(shop) == before
    assert dump(Path(told["aside"])) == after


def test_only_as_many_backups_are_kept_as_asked(shop):
    made = [
        json.loads(partsdb("backup --keep 2 --json", shop, now=f"2026-06-0{day}T09:00+01:00").out)
        for day in range(1, 5)
    ]
    assert made[-1]["kept"] == [made[2]["made"], made[3]["made"]]
    assert [Path(one["made"]).exists() for one in made] == [False, False, True, True]
    refused("backup --keep 0", shop, "at least one")


def test_a_backup_goes_into_the_folder_named(shop, folder):
    told = json.loads(done("backup --folder elsewhere --json", shop).out)
    assert Path(told["made"]).parent == Path("elsewhere")
    done(f"restore {told['made']}", shop)


def test_going_back_without_a_backup_or_to_what_is_none_changes_nothing(shop, folder):
    before = dump(shop)
    (folder / "notes.txt").write_text("not a backup at all, only a page of notes " * 40)
    with contextlib.closing(sqlite3.connect(folder / "other.db")) as other:
        other.execute("CREATE TABLE songs (title TEXT)")
        other.commit()
    refused("restore newest", shop, "no backup")
    refused("restore none.db", shop, "no backup")
    refused("restore notes.txt", shop, "not a database")
    refused("restore other.db", shop, "another program")
    assert dump(shop) == before


def test_a_damaged_database_can_be_told_and_gone_back_from(shop):
    before = dump(shop)
    done("backup", shop)
    for file in shop.parent.glob("shop.db-*"):
        file.unlink()
    shop.write_bytes(b"garbage" * 9999)
    refused("machine list", shop, "not a database", "restore a backup")
    done("restore newest", shop)
    assert dump(shop) == before


def test_a_check_of_sound_records_says_so(shop):
    assert done("check", shop).out.startswith("Sound:")
    assert json.loads(done("check --json", shop).out)["faults"] == []


def test_a_check_that_finds_faults_lists_them_and_ends_with_code_1(shop):
    with contextlib.closing(sqlite3.connect(shop)) as raw:
        raw.execute("DELETE FROM suppliers")
        raw.commit()
    with open_store(shop, now=stored.NOW) as store:  # as an old database may have it
        store.put(
            Succession("u", "superseded by", "", "A1", "", "B2"),
            Succession("v", "superseded by", "", "B2", "", "A1"),
        )
    ran = partsdb("check", shop)
    assert ran.code == 1
    told = " ".join(ran.out.split())
    assert "names a suppliers that isn't there" in told
    assert "in a circle: A1 -> B2 -> A1" in told


def test_everything_exported_comes_back_as_an_identical_database(shop, folder):
    done('shelf add "25 µF 440 V AC run" --kind capacitor --designation "=HYPERLINK(1)"', shop)
    done("export everything", shop)
    assert "'=HYPERLINK(1)" in (folder / "everything" / "parts.csv").read_text(encoding="utf-8")
    done("bring-back everything --into new.db", shop)
    assert dump(folder / "new.db") == dump(shop)
    assert partsdb("shelf list", folder / "new.db").out == partsdb("shelf list", shop).out


def test_an_export_overwrites_nothing_and_comes_back_over_nothing(shop, folder):
    before = dump(shop)
    done("export everything --json", shop)
    refused("export everything", shop, "not empty")
    refused("bring-back everything", shop, "exists already")
    refused("bring-back nowhere --into new.db", shop, "not a whole export")
    (folder / "everything" / "parts.csv").write_text("changed")
    refused("bring-back everything --into new.db", shop, "changed")
    assert not (folder / "new.db").exists()
    assert dump(shop) == before


# --------------------------------------------------------------------------- trouble


def test_while_another_writes_one_reads_and_is_refused_to_write_in_one_line(shop):
    before = dump(shop)
    with contextlib.closing(sqlite3.connect(shop)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert "strander" in done("machine list", shop).out
        for line in ("machine add winder", "import offers prices.csv"):
            (shop.parent / "prices.csv").write_text("supplier,designation,price\nPellbrunn,PB-K40,9\n")
            refused(line, shop, "being written by another program", "try again")
        done("backup", shop)
    assert dump(shop) == before


def test_a_database_of_a_newer_version_is_left_alone_in_one_line(shop):
    done("backup", shop)
    with contextlib.closing(sqlite3.connect(shop)) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '9999'")
        raw.commit()
    for line in ("machine list", "backup", "check", "export everything"):
        refused(line, shop, "newer version", "Update the program")
    done("restore newest", shop)
    assert "strander" in done("machine list", shop).out


@pytest.mark.parametrize("draft", DRAFTS)
def test_a_database_from_before_the_first_release_is_told_what_to_do_in_one_line(shop, draft):
    with contextlib.closing(sqlite3.connect(shop)) as raw:
        raw.execute("UPDATE alembic_version SET version_num = ?", (draft,))
        raw.commit()
    for line in ("machine list", "machine add winder", "backup", "check", "export everything"):
        refused(line, shop, "before the first release", "partsdb bring-back FOLDER")


def test_a_full_disk_is_one_line_and_nothing_is_half_done(shop, monkeypatch):
    before = dump(shop)
    made = dialect.engine

    def small(path: Path, wait: float, **more: bool) -> object:
        found = made(path, wait, **more)

        @event.listens_for(found, "connect")
        def _limit(raw: sqlite3.Connection, _: object) -> None:  # SQLite's own "disk is full"
            pages = raw.execute("PRAGMA page_count").fetchone()[0]
            raw.execute(f"PRAGMA max_page_count = {pages + 1}")

        return found

    rows = "".join(f"A-{i},B-{i}-{'x' * 300}\n" for i in range(800))
    (shop.parent / "list.csv").write_text(f"old number,new number\n{rows}")
    with monkeypatch.context() as patched:
        patched.setattr(dialect, "engine", small)
        refused("import successions list.csv", shop, "is full", "make room")
    assert dump(shop) == before


@pytest.fixture
def guarded(shop: Path) -> Iterator[Path]:
    """A database that this process may read but not write, also when the tests run as root."""
    with tempfile.TemporaryDirectory() as outer:
        Path(outer).chmod(0o755)
        where = Path(outer) / "guarded"
        where.mkdir()
        with open_store(shop, now=stored.NOW) as store:
            for line in ("machine list", "backup", "export x", "restore newest"):
                partsdb(line, shop)  # everything a command loads is loaded while it may still be read
            dialect.copy(store.path, where / "shop.db", 1)
        (where / "shop.db").chmod(0o444)
        where.chmod(0o555)
        me = os.geteuid()
        os.chdir(outer)
        if me == 0:
            os.seteuid(65534)
        try:
            yield where / "shop.db"
        finally:
            if me == 0:
                os.seteuid(0)
            where.chmod(0o755)


def test_a_read_only_folder_is_one_line(guarded):
    for line in ("machine add winder", "backup", f"export {guarded.parent / 'x'}"):
        refused(line, guarded, "Allow it, or name another file")


def test_bad_rows_that_cant_be_kept_for_mending_are_said_so(shop, folder):
    (folder / "prices.csv").write_text("supplier,designation,price\nPellbrunn,PB-K40,nonsense\n")
    (folder / "prices.to-mend.csv").mkdir()
    ran = partsdb("import offers prices.csv", shop)
    assert ran.code == 2
    assert "no good row" in ran.err
    assert "nonsense" in ran.out
    assert "not kept for mending" in ran.out
    assert list(folder.glob(".*.part")) == []
