"""Every command that writes, in every kind of trouble: one clear line, code 2, and everything as it was.

A new command gets a row in support/writing_commands.py; `test_every_command_has_its_row` fails until it has one.
"""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest
import typer
from sqlalchemy import event

from partsdb.cli.app import app
from partsdb.records import Machine
from partsdb.store import dialect, open_store, restore
from partsdb.store.schema import REVISIONS
from support import stored, trouble
from support.commands import partsdb
from support.later import later_version
from support.rude_server import ok, rude_server
from support.writing_commands import (
    ALONE,
    LISTS,
    READS,
    ROOM,
    ROWS,
    Row,
    State,
    copied,
    furnish,
    no_room_words,
    refused,
    run,
    state,
)


def called(row: Row) -> str:
    """What a row is called in the list of tests."""
    return " ".join(row.line.split()[:2]) or "conversation"


each_row = pytest.mark.parametrize("row", ROWS, ids=called)
FEW = [row for row in ROWS if row.to == "files" or row.command in ("restore", "import", "machine add")]
READ_ONLY = pytest.param(trouble.read_only, id="read-only folder")


@pytest.fixture(scope="module")
def files(furnished: Path) -> Iterator[Path]:
    """The lists, a backup, an export, and the shop they are of, in a folder that everybody may read."""
    with trouble.disk(tiny=False) as folder:
        furnish(folder, furnished)
        yield folder


@pytest.fixture(scope="module")
def warm(files: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[Row, tuple[int, str, bool]]:
    """What each row does where there is no trouble: code, complaint, whether it changed anything.

    All that a command loads is loaded then, so that it needn't be read by one who may not.
    """
    found = {}
    for row in ROWS:
        folder = tmp_path_factory.mktemp("warm")
        copied(files / "shop.db", folder)
        before = state(folder)
        ran = run(row, files, folder)
        found[row] = (ran.code, ran.err, state(folder) != before)
    return found


@pytest.fixture(scope="module")
def records(files: Path, warm: object) -> Iterator[Path]:
    """The folder with the database that gets into trouble, again and again: nothing may change it."""
    with trouble.disk(tiny=len(ROOM) > 1) as folder:
        copied(files / "shop.db", folder)
        yield folder


@pytest.fixture(scope="module")
def before(records: Path) -> State:
    """What is in that folder before any trouble, and after all of it."""
    return state(records)


@pytest.fixture(autouse=True)
def impatient(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Nobody waits long for another writer."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("partsdb.store.open_store", partial(open_store, wait=0.05))
    monkeypatch.setattr("partsdb.services.safekeeping.restore", partial(restore, wait=0.05))


# --------------------------------------------------------------------------- the table itself


def commands(program: typer.Typer) -> set[str]:
    """Every command there is, "" for the program without one."""
    root = typer.main.get_command(program)
    found = {""} if getattr(root, "invoke_without_command", False) else set()
    todo = [("", root)]
    while todo:
        prefix, group = todo.pop()
        for name, command in group.commands.items():
            if hasattr(command, "commands"):
                todo.append((f"{prefix}{name} ", command))
            else:
                found.add(f"{prefix}{name}")
    return found


def without_row(program: typer.Typer) -> set[str]:
    """The commands that nobody has looked at in trouble."""
    return commands(program) - {row.command for row in ROWS} - READS.keys() - ALONE


def test_every_command_has_its_row():
    assert without_row(app) == set()
    assert {row.command for row in ROWS} | READS.keys() | ALONE == commands(app)


def test_a_command_without_a_row_is_found():
    planted = typer.Typer()
    machine = typer.Typer()
    machine.command("add")(lambda: None)
    machine.command("sell")(lambda: None)
    planted.add_typer(machine, name="machine")
    planted.command("burn")(lambda: None)
    assert without_row(planted) == {"machine sell", "burn"}


@each_row
def test_each_of_these_writes_where_there_is_no_trouble(row, warm):
    assert warm[row] == (0, "", True)


def test_no_other_command_writes(files, tmp_path):
    copied(files / "shop.db", tmp_path)
    before = state(tmp_path)
    for command, line in READS.items():
        ran = partsdb(line, tmp_path / "shop.db")
        assert ran.code == 0, (command, ran)
        assert state(tmp_path) == before, command


# --------------------------------------------------------------------------- trouble


@each_row
def test_while_another_writes_a_writer_is_refused_and_a_copier_isnt(row, files, records, before):
    with trouble.another_writer(records / "shop.db"):
        ran = run(row, files, records)
    if row.to == "records":
        refused(
            ran, row, "is being written by another program. Nothing was changed; wait a moment and try again"
        )
    else:
        assert (ran.code, ran.err) == (0, "")
        tidied(records)
    assert state(records) == before


def tidied(records: Path) -> None:
    """What a copier made goes again."""
    shutil.rmtree(records / "out", ignore_errors=True)
    shutil.rmtree(records / "backups", ignore_errors=True)
    for left in records.glob("new.db*"):
        left.unlink()


@pytest.mark.parametrize(
    ("kind", "row"),
    [
        pytest.param(kind.values[0], row, id=f"{kind.id}-{called(row)}")
        for kind in ROOM
        for row in (ROWS if kind is ROOM[-1] else FEW)
    ],
)
def test_where_there_is_no_room_nothing_is_half_done(row, kind, files, records, before):
    with trouble.another_reader(records / "shop.db"), kind(records / "shop.db"):
        ran = run(row, files, records)
    refused(ran, row, *no_room_words(kind))
    assert state(records) == before


@pytest.mark.parametrize("kind", [*ROOM, READ_ONLY])
def test_while_another_has_it_open_one_may_still_look(kind, records, before):
    with trouble.another_reader(records / "shop.db"), kind(records / "shop.db"):
        ran = partsdb("machine list", records / "shop.db")
    assert (ran.code, ran.err) == (0, "")
    assert state(records) == before


@pytest.mark.parametrize("kind", ROOM)
def test_where_there_is_no_room_to_look_either_that_is_one_line(kind, files, records, before):
    """The first to open a database makes a file beside it, even to look."""
    for file in records.glob("shop.db-*"):
        file.unlink()
    with kind(records / "shop.db"):
        refused(run(row := Row("machine list", "machine list"), files, records), row, *no_room_words(kind))
    assert state(records) == before


@each_row
def test_in_a_folder_that_may_not_be_written_nothing_is_changed(row, files, records, before):
    with trouble.another_reader(records / "shop.db"), trouble.read_only(records / "shop.db"):
        ran = run(row, files, records)
    refused(ran, row, "Allow it, or name another file with --db or PARTSDB_DB")
    assert state(records) == before


# these put another in its place, or make another: tests/cli/test_safekeeping.py
REPLACING = ("restore", "bring-back")
OTHERS = tuple(Row(command, READS[command]) for command in ("machine list", "equivalents"))


@pytest.mark.parametrize("row", [row for row in (*ROWS, *OTHERS) if row.command not in REPLACING], ids=called)
def test_a_database_of_a_newer_version_is_used_by_no_command(row, files, records, before):
    with trouble.newer(records / "shop.db"):
        ran = run(row, files, records)
    refused(ran, row, "was made by a newer version of this program")
    assert "Update the program" in ran.err
    assert state(records) == before


def test_trouble_half_way_through_the_conversation_keeps_what_was_entered(files, tmp_path, monkeypatch):
    db = copied(files / "shop.db", tmp_path)
    with contextlib.ExitStack() as other:
        answers = iter(["2? MFD; 440 VAC 60 CY", "2", "h"])

        def typed() -> str:
            answer = next(answers)
            if answer == "h":
                other.enter_context(trouble.another_writer(db))
            return answer

        monkeypatch.setattr("builtins.input", typed)
        refused(partsdb("", db), ROWS[0], "is being written by another program")
    monkeypatch.undo()
    taken_up = partsdb("", db, typed="y\nh\n?\np\n?\n")
    assert (taken_up.code, taken_up.err) == (0, "")
    assert "Which machine" not in taken_up.out
    assert "What is it doing?" in taken_up.out


# --------------------------------------------------------------------------- the first opening, and an upgrade

FIRST = ("machine add winder", "machine list", "bring-back {files}/everything", "restore {backup}")


@pytest.fixture
def folder(files: Path, warm: object) -> Iterator[Path]:
    """A folder without a database."""
    with trouble.disk(tiny=len(ROOM) > 1) as made:
        yield made


@pytest.mark.parametrize("line", FIRST)
@pytest.mark.parametrize("kind", [*ROOM, READ_ONLY])
def test_a_database_that_cant_be_made_is_one_line_and_then_it_can(line, kind, files, folder):
    row = Row(line.split()[0], line)
    with kind(folder / "shop.db"):
        refused(
            run(row, files, folder), row, "make room", "failed to read or write", "Allow it, or name another"
        )
    assert [path.name for path in folder.iterdir() if path.stat().st_size] == []
    assert run(row, files, folder).code == 0


def older(folder: Path) -> Path:
    """A database of today's version."""
    return stored.filled(folder).rename(folder / "shop.db")


def raw_state(folder: Path) -> tuple[list[str], list[str]]:
    """What the database says, without opening it as this program does, and the files there."""
    with contextlib.closing(sqlite3.connect(folder / "shop.db")) as raw:
        said = list(raw.iterdump())
    return said, sorted(path.name for path in folder.iterdir() if not path.name.endswith(("-wal", "-shm")))


@pytest.mark.parametrize("line", ["machine add winder", "machine list"])
@pytest.mark.parametrize(
    ("kind", "says"),
    [
        (trouble.another_writer, "being written by another program"),
        (trouble.read_only, "Allow it, or name another file"),
        *((kind.values[0], "") for kind in ROOM),
    ],
)
def test_an_upgrade_that_cant_be_made_leaves_the_older_database(line, kind, says, files, folder):
    db = older(folder)
    before = raw_state(folder)
    with later_version():
        with trouble.another_reader(db), kind(db):
            row = Row(line.split()[0], line)
            refused(run(row, files, folder), row, *([says] if says else no_room_words(kind)))
        assert raw_state(folder) == before
        assert run(Row("machine list", "machine list"), files, folder).code == 0
    assert list(folder.glob(f"shop-schema{REVISIONS[-1]}-*.db"))


def test_a_copy_made_for_an_upgrade_goes_again_when_the_upgrade_fails(files, folder, monkeypatch):
    older(folder)
    before = raw_state(folder)
    made = dialect.engine

    def small(path: Path, wait: float, **more: bool) -> object:
        found = made(path, wait, **more)

        @event.listens_for(found, "connect")
        def _limit(raw: sqlite3.Connection, _: object) -> None:  # SQLite's own "disk is full"
            raw.execute(f"PRAGMA max_page_count = {raw.execute('PRAGMA page_count').fetchone()[0]}")

        return found

    row = Row("machine list", "machine list")
    with later_version():
        with monkeypatch.context() as patched:
            patched.setattr(dialect, "engine", small)
            refused(run(row, files, folder), row, "is full. Nothing was changed; make room")
        assert raw_state(folder) == before
        assert run(row, files, folder).code == 0


# --------------------------------------------------------------------------- two writers


def test_two_writers_both_get_in_one_after_the_other(files, tmp_path, monkeypatch):
    monkeypatch.setattr("partsdb.store.open_store", open_store)
    db = copied(files / "shop.db", tmp_path)
    begun = threading.Event()

    def other() -> None:
        with contextlib.closing(sqlite3.connect(db)) as raw:
            raw.isolation_level = None
            raw.execute("BEGIN IMMEDIATE")
            raw.execute("UPDATE machines SET notes = 'seen by the other one'")
            begun.set()
            time.sleep(0.3)
            raw.execute("COMMIT")

    writer = threading.Thread(target=other)
    writer.start()
    begun.wait()
    ran = partsdb("machine add winder", db)
    writer.join()
    assert (ran.code, ran.err) == (0, "")
    with open_store(db, now=stored.NOW) as store:
        assert {m.name: m.notes for m in store.all(Machine)} == {
            "strander": "seen by the other one",
            "winder": "",
        }


def test_a_restore_waits_for_another_writer_and_not_for_ever(files, tmp_path):
    db = copied(files / "shop.db", tmp_path)
    backup = next((files / "backups").glob("*.db"))
    partsdb("machine add winder", db)
    before = state(tmp_path)
    with trouble.another_writer(db):
        row = Row("restore", f"restore {backup}")
        refused(run(row, files, tmp_path), row, "being written by another program")
    assert state(tmp_path) == before
    assert partsdb(f"restore {backup}", db).code == 0
    assert "winder" not in partsdb("machine list", db).out


# --------------------------------------------------------------------------- the answer itself, and other files


def test_an_answer_that_cant_be_printed_is_one_line(files):
    """/dev/full is the kernel's own disk without room."""
    code = "import sys; from partsdb.cli import main; main(sys.argv[1:])"
    with Path("/dev/full").open("w") as full:
        ran = subprocess.run(
            [sys.executable, "-c", code, "--db", str(files / "shop.db"), "machine", "list"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert ran.returncode == 2
    assert ran.stderr.count("\n") == 1
    assert "no space left on device" in ran.stderr


def test_a_list_that_finds_no_room_while_it_is_fetched_is_one_line(files, records, before, monkeypatch):
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    with rude_server() as server:
        address = server.serve("/prices.csv", ok(LISTS["prices.csv"].encode() + b"x" * 20_000))
        with trouble.another_reader(records / "shop.db"), trouble.short_files(records / "shop.db"):
            ran = run(row := Row("import", f"import offers {address}"), files, records)
    refused(ran, row, "can't be kept while it is read")
    assert "TMPDIR" in ran.err
    assert state(records) == before


def test_a_newer_backup_and_a_newer_export_are_left_alone(files, records, before, tmp_path):
    backup = copied(files / "shop.db", tmp_path)
    shutil.copytree(files / "everything", tmp_path / "everything")
    manifest = tmp_path / "everything" / "manifest.json"
    manifest.write_text(manifest.read_text().replace(f'"{REVISIONS[-1]}"', '"9999"'))
    with trouble.newer(backup):
        refused(
            run(row := Row("restore", f"restore {backup}"), files, records),
            row,
            "was made by a newer version of this program",
        )
    row = Row("bring-back", f"bring-back {tmp_path}/everything --into {records}/new.db")
    refused(run(row, files, records), row, "exported by a newer version. Update the program")
    assert state(records) == before
